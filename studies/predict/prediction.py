"""What a prediction holds, and its JSON as the contract words it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.limit import Limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.scatter.band import Band
from glueline.studies.predict.wood_limits import WoodSample

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Prediction:
    """The answer for one specimen. Loads in N, moments in N mm, lengths in mm, areas in mm2.

    ``u`` (unknowns,) is the displacement for P = 1 N of the whole corner; ``u_at_break`` that at the break
    load and ``tractions_at_break`` (p, 2) in MPa by surface what the glue carries then. ``limits`` lists
    every mode with its load; ``glue_load_range`` the glue load at both ends of the credible range for crossed
    grain, None without cheeks or where it was not asked for; ``reactions`` the three support forces for
    P = 1 N. An elastic answer has no ``broken``, no ``band`` and nothing else that only a path can tell.
    ``crushed`` is the same corner with faces that crush, where that was asked for.
    """

    specimen: Specimen
    corner: CornerModel
    samples: tuple[WoodSample, ...]
    method: str
    u: Array
    u_at_break: Array
    tractions_at_break: Mapping[str, Array]
    reactions: Array
    limits: tuple[Limit, ...]
    critical: Limit
    break_load: float
    break_moment: float
    glue_load: float
    wood_load: float
    glue_load_range: tuple[float, float] | None
    first_damage_load: float
    compliance: float
    corner_stiffness: float
    moment_share: dict[str, float]
    glue_area: dict[str, float]
    why: str
    seconds: dict[str, float]
    solver: str
    warnings: tuple[str, ...]
    first_crack_load: float | None = None
    displacement_at_break: float | None = None
    energy_at_break: float | None = None
    broken: BreakPath | None = None
    band: Band | None = None
    crushed: BreakPath | None = None

    def to_json(self) -> dict[str, Any]:
        """One JSON object, always in N and mm, with the keys of the contract."""
        mesh = self.corner.mesh
        return {
            "joint": self.specimen.kind,
            "arrangement": self.specimen.arrangement.name,
            "method": self.method,
            "break_load_N": self.break_load,
            "break_moment_Nm": self.break_moment / 1000,
            "first_damage_load_N": self.first_damage_load,
            "first_crack_load_N": self.first_crack_load,
            "compliance_mm_per_N": self.compliance,
            "glue_load_N": self.glue_load,
            "wood_load_N": self.wood_load,
            "glue_load_range_N": None if self.glue_load_range is None else list(self.glue_load_range),
            "break_load_range_N": (
                None
                if self.glue_load_range is None
                else [min(end, self.wood_load) for end in self.glue_load_range]
            ),
            "moment_share": dict(self.moment_share),
            "corner_stiffness_Nm_per_rad": self.corner_stiffness / 1000,
            "displacement_at_break_mm": self.displacement_at_break,
            "energy_at_break_J": None if self.energy_at_break is None else self.energy_at_break / 1000,
            "breaks_in": self.critical.kind,
            "where": self.critical.where,
            "mode": self.critical.mode,
            "why": self.why,
            "band_N": None if self.band is None else [self.band.low, self.band.high],
            "scatter": None if self.band is None else _scatter(self.band),
            "glue_gone": None if self.broken is None else dict(self.broken.glue_gone),
            "path": None if self.broken is None else _path(self.broken),
            "with_crushing": None if self.crushed is None else _crushing(self.crushed),
            "glue_area_mm2": dict(self.glue_area),
            "modes": [
                {
                    "kind": limit.kind,
                    "part": limit.part,
                    "mode": limit.mode,
                    "where": limit.where,
                    "load_N": limit.load,
                    "utilisation_at_break": self.break_load / limit.load,
                    "mean_over_mm": limit.length or None,
                    "counts_as_break": limit.breaks,
                    "note": limit.note,
                }
                for limit in self.limits
            ],
            "support_reactions_N": [float(value) for value in self.reactions * self.break_load],
            "element_size_mm": mesh.element_size,
            "mesh": {
                "nodes": len(mesh.nodes),
                "elements": len(mesh.triangles),
                "unknowns": self.corner.model.unknowns,
            },
            "out_of_plane": list(self.corner.assumptions),
            "notes": list(self.corner.layout.notes),
            "warnings": list(self.warnings),
            "seconds": dict(self.seconds),
            "solver": self.solver,
        }


def _scatter(band: Band) -> dict[str, Any]:
    return {
        "seed": band.seed,
        "variables": list(band.variables),
        "paths": band.solves,
        "wood_first_share": band.wood_first,
        "note": band.note,
    }


def _path(found: BreakPath) -> dict[str, Any]:
    path = found.path
    return {
        "states": len(path.load),
        "matrices_factored": path.factorisations,
        "energy_audit": path.audit,
        "load_N": [float(value) for value in path.load],
        "displacement_mm": [float(value) for value in path.displacement],
        "break_state": found.state,
    }


def _crushing(found: BreakPath) -> dict[str, Any]:
    return {
        "break_load_N": found.break_load,
        "glue_load_N": found.glue_load,
        "wood_load_N": found.wood_load,
        "breaks_in": found.breaks_in,
        "most_crushed_mm": float(max(values[found.state].max() for values in found.path.crushed.values())),
    }
