"""What a rig does, as one JSON object (N, kg) and as a short text for people."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.studies.bench_day.rig.rig import (
    COVERAGE_FACTOR,
    GRAVITY,
    Correction,
    ForceLine,
    Rig,
    joint_force,
    joint_force_uncertainty,
    specimen_preload,
)
from glueline.studies.files.display import force_factor, force_unit
from glueline.studies.files.units import POUND, Units, format_force, significant
from glueline.studies.show.tables import aligned

LINES = 10
KG_PER_LB = float(POUND)
RIG_CAUTIONS = (
    "Stacked weight stores energy: weight times the height it can drop. Catch blocks close under the\n"
    "platform and under the weights, eye protection on, hands and feet clear, nobody in line with it.\n"
    "Load in steps and step back before you watch: a rig that bears the weight may not bear its fall.\n"
    "The numbers are for comparing joints; local codes and licensed practice decide what may bear people."
)


def stacked_table(up_to_kg: float, units: Units) -> NDArray[np.float64]:
    """Stacked weights in kg from nothing to ``up_to_kg``, in even steps that are round in kg or lb."""
    unit = 1.0 if units == "metric" else KG_PER_LB
    step = up_to_kg / unit / LINES
    rounded = [size for size in (0.5, 1, 2, 2.5, 5, 10, 20, 25, 50, 100, 200, 250, 500) if size >= step]
    size = (rounded[0] if rounded else step) * unit
    return np.arange(int(np.ceil(up_to_kg / size - 1e-9)) + 1, dtype=np.float64) * size


def usual_range(rig: Rig) -> float:
    """A stacked weight in kg up to which a table is worth printing: twice the largest check, else 100 kg."""
    heaviest = max((check.stacked for check in rig.checks), default=0.0) / GRAVITY
    return 2 * heaviest if heaviest > 0 else 100.0


def rig_object(rig: Rig, stacked_kg: NDArray[np.float64]) -> dict[str, Any]:
    """The rig for JSON: forces in N, weights in kg; uncertainties are expanded (about 95 %).

    Every ``preload_N`` holds the specimen's own weight as far as it counts, ``specimen_preload_N``; checks
    are without a specimen.
    """
    force, spread = joint_force(rig, stacked_kg), COVERAGE_FACTOR * joint_force_uncertainty(rig, stacked_kg)
    return {
        "kind": rig.kind,
        "arrangement": rig.arrangement,
        "force_per_stacked_kg_N": rig.line.per_stacked * GRAVITY,
        "force_per_stacked_kg_uncertainty_N": COVERAGE_FACTOR
        * GRAVITY
        * float(np.sqrt(rig.line.per_stacked_variance)),
        "preload_N": rig.line.preload,
        "preload_uncertainty_N": COVERAGE_FACTOR * float(np.sqrt(rig.line.preload_variance)),
        "specimen_preload_N": _specimen_preload(rig)[0],
        "standard_gravity_m_per_s2": GRAVITY,
        "coverage_factor": COVERAGE_FACTOR,
        "statics": _line_object(rig.statics.raised(*_specimen_preload(rig))),
        "correction": None if rig.correction is None else _correction_object(rig, rig.correction),
        "table": [
            {"stacked_kg": float(weight), "force_N": float(load), "uncertainty_N": float(error)}
            for weight, load, error in zip(stacked_kg, force, spread, strict=True)
        ],
        "checks": _check_objects(rig),
        "assumptions": list(rig.assumptions),
        "warnings": list(rig.warnings),
        "cautions": RIG_CAUTIONS.splitlines(),
    }


def rig_text(rig: Rig, stacked_kg: NDArray[np.float64], units: Units) -> str:
    """The rig for people: its transmission, what the check-weighings say, the table and the cautions."""
    rows = _line_rows(rig.line, units)
    own = _specimen_preload(rig)[0]
    if own > 0:
        rows.append(("of it the specimen's own weight", format_force(own, units)))
    if rig.correction is not None:
        found = rig.correction
        (_, per_weight), (_, preload) = _line_rows(rig.statics.raised(*_specimen_preload(rig)), units)
        unit = "kg" if units == "metric" else "lb"
        rows += [
            ("by statics alone", f"{per_weight} per {unit}, preload {preload}"),
            (
                "check-weighings over statics",
                f"{found.ratio:.3f} +- {COVERAGE_FACTOR * found.ratio_uncertainty:.3f} of the force per "
                f"{unit} from {found.used} of {len(rig.checks)} weighings; used from here on",
            ),
        ]
    parts = [
        f"{rig.kind}, {rig.arrangement}",
        aligned(rows, header=False),
        force_table(rig, stacked_kg, units),
    ]
    if rig.checks:
        parts.append(_check_table(rig, units))
    parts += [f"warning: {warning}" for warning in rig.warnings]
    parts += [f"taken: {assumption}" for assumption in rig.assumptions]
    return "\n\n".join(parts[:3]) + "\n\n" + "\n".join([*parts[3:], "", RIG_CAUTIONS])


def _specimen_preload(rig: Rig) -> tuple[float, float]:
    """Load in N that the specimen's own weight stands for, and its variance in N2."""
    return specimen_preload(rig.arrangement, rig.specimen_weight, rig.weight_error)


def _line_rows(line: ForceLine, units: Units) -> list[tuple[str, str]]:
    unit, per = ("kg", 1.0) if units == "metric" else ("lb", KG_PER_LB)
    return [
        (f"force per {unit} stacked", _with_error(line.per_stacked, line.per_stacked_variance, per, units)),
        ("preload, nothing stacked", _with_error(line.preload, line.preload_variance, None, units)),
    ]


def force_table(rig: Rig, stacked_kg: NDArray[np.float64], units: Units) -> str:
    """Stacked weight, force on the joint, expanded uncertainty; in columns."""
    unit, per = ("kg", 1.0) if units == "metric" else ("lb", KG_PER_LB)
    force, spread = joint_force(rig, stacked_kg), COVERAGE_FACTOR * joint_force_uncertainty(rig, stacked_kg)
    rows = [("stacked", "force on the joint", "+- (95 %)")]
    rows += [
        (f"{significant(weight / per, 4)} {unit}", format_force(load, units), rounded_force(error, units))
        for weight, load, error in zip(stacked_kg, force, spread, strict=True)
    ]
    return aligned(rows)


def _with_error(value: float, variance: float, per_kg: float | None, units: Units) -> str:
    """A force with its expanded uncertainty, for one unit of stacked weight of ``per_kg`` kg if given."""
    scale = 1.0 if per_kg is None else per_kg * GRAVITY
    spread = COVERAGE_FACTOR * float(np.sqrt(variance))
    return f"{format_force(value * scale, units)} +- {rounded_force(spread * scale, units)}"


def rounded_force(newtons: float, units: Units) -> str:
    """A force of which only two digits mean anything, nothing below a hundredth."""
    factor, unit = force_factor(units), force_unit(units)
    return f"{significant(round(float(f'{newtons * factor:.2g}'), 2), 2)} {unit}"


def _line_object(line: ForceLine) -> dict[str, float]:
    return {
        "force_per_stacked_kg_N": line.per_stacked * GRAVITY,
        "force_per_stacked_kg_uncertainty_N": COVERAGE_FACTOR
        * GRAVITY
        * float(np.sqrt(line.per_stacked_variance)),
        "preload_N": line.preload,
        "preload_uncertainty_N": COVERAGE_FACTOR * float(np.sqrt(line.preload_variance)),
    }


def _correction_object(rig: Rig, found: Correction) -> dict[str, Any]:
    return {
        "factor": found.ratio,
        "factor_uncertainty": COVERAGE_FACTOR * found.ratio_uncertainty,
        "preload_difference_N": found.preload_difference,
        "measured": _line_object(found.line.raised(*_specimen_preload(rig))),
        "weighings_used": found.used,
        "outliers": [
            {"stacked_kg": check.stacked / GRAVITY, "scale_kg": check.scale / GRAVITY}
            for check in found.outliers
        ],
    }


def _check_objects(rig: Rig) -> list[dict[str, Any]]:
    residuals = rig.correction.residuals if rig.correction else ()
    outliers = rig.correction.outliers if rig.correction else ()
    return [
        {
            "stacked_kg": check.stacked / GRAVITY,
            "scale_kg": check.scale / GRAVITY,
            "scale_N": check.scale,
            "statics_N": float(rig.statics.force(check.stacked)),
            "residual_N": residual,
            "outlier": check in outliers,
        }
        for check, residual in zip(rig.checks, residuals, strict=True)
    ]


def _check_table(rig: Rig, units: Units) -> str:
    unit, per = ("kg", GRAVITY) if units == "metric" else ("lb", GRAVITY * KG_PER_LB)
    rows = [("check: stacked", "scale", "statics", "off the line")]
    for entry, check in zip(_check_objects(rig), rig.checks, strict=True):
        rows.append(
            (
                f"{significant(check.stacked / per, 4)} {unit}",
                f"{significant(check.scale / per, 4)} {unit}",
                f"{significant(entry['statics_N'] / per, 4)} {unit}",
                rounded_force(entry["residual_N"], units) + (" (left out)" if entry["outlier"] else ""),
            )
        )
    return aligned(rows) + "\n"
