"""Answers that stand for predictions: every number invented."""

from __future__ import annotations

from typing import Any

from glueline.studies.predict.answer import Answer, MeshSize, OfWood


def made_up(load: float = 1000.0, **other: Any) -> Answer:
    """An answer with this break load in N; ``other`` replaces any attribute."""
    values: dict[str, Any] = {
        "joint": "finger",
        "arrangement": "diagonal compression",
        "method": "elastic" if other.get("band") is None else "progressive",
        "break_load": load,
        "band": None,
        "breaks_in": "glue",
        "where": 'middle of nowhere, "quoted"',
        "mode": "glue opening",
        "glue_load": load,
        "wood_load": 2 * load,
        "wood_share": OfWood(share=0.5, load=load, where="leg of board A", mode="splitting"),
        "fastener_load": None,
        "split_load": None,
        "first_damage_load": 0.5 * load,
        "first_crack_load": None,
        "highest_load": None,
        "holds_after_crack": None,
        "median": None,
        "share_at_first_crack": None,
        "events": None,
        "break_moment_Nm": 0.1 * load,
        "compliance": 0.001,
        "corner_stiffness_Nm_per_rad": 5000.0,
        "displacement_at_break": None,
        "energy_at_break_J": None,
        "why": "It was made up.",
        "ranges": None,
        "moment_share": {"mitre": 1.0},
        "scatter": None,
        "glue_gone": None,
        "path": None,
        "crushed": None,
        "glue_area": {"side_to_side": 1000.0, "side_to_end": 0.0},
        "modes": (),
        "support_reactions": (0.0, 0.0, 0.0),
        "element_size": 1.9,
        "mesh": MeshSize(nodes=7, elements=2, unknowns=14),
        "out_of_plane": (),
        "notes": (),
        "warnings": (),
        "solver": "none",
    }
    return Answer(**{**values, **other})
