"""What a rig does, as one JSON object (N, kg) and as a short text for people."""

from __future__ import annotations

import msgspec
import numpy as np
from msgspec import field
from numpy.typing import NDArray

from glueline.studies.bench_day.rig.rig import (
    COVERAGE_FACTOR,
    GRAVITY,
    Correction,
    ForceLine,
    Rig,
    joint_force,
    joint_force_uncertainty,
)
from glueline.studies.files.columns import aligned
from glueline.studies.files.display import (
    force_factor,
    force_unit,
    format_weight,
    weight_size,
    weight_unit,
    words_in_units,
)
from glueline.studies.files.units import Units, format_force, format_length, significant

LINES = 10
RIG_CAUTIONS = (
    "Stacked weight stores energy: weight times the height it can drop. Catch blocks close under the\n"
    "platform and under the weights, eye protection on, hands and feet clear, nobody in line with it.\n"
    "Load in steps and step back before you watch: a rig that bears the weight may not bear its fall.\n"
    "The numbers are for comparing joints; local codes and licensed practice decide what may bear people."
)


def stacked_table(up_to_kg: float, units: Units) -> NDArray[np.float64]:
    """Stacked weights in kg from nothing to ``up_to_kg``, in even steps that are round in kg or lb."""
    unit = weight_size(units)
    step = up_to_kg / unit / LINES
    rounded = [size for size in (0.5, 1, 2, 2.5, 5, 10, 20, 25, 50, 100, 200, 250, 500) if size >= step]
    size = (rounded[0] if rounded else step) * unit
    return np.arange(int(np.ceil(up_to_kg / size - 1e-9)) + 1, dtype=np.float64) * size


def usual_range(rig: Rig) -> float:
    """A stacked weight in kg up to which a table is worth printing: twice the largest check, else 100 kg."""
    heaviest = max((check.stacked for check in rig.checks), default=0.0) / GRAVITY
    return 2 * heaviest if heaviest > 0 else 100.0


class WrittenLine(msgspec.Struct, frozen=True):
    """A force line for JSON: N a kg stacked, and N with nothing stacked; uncertainties are expanded."""

    per_stacked: float = field(name="force_per_stacked_kg_N")
    per_stacked_uncertainty: float = field(name="force_per_stacked_kg_uncertainty_N")
    preload: float = field(name="preload_N")
    preload_uncertainty: float = field(name="preload_uncertainty_N")


class WrittenWeighing(msgspec.Struct, frozen=True):
    """A check-weighing that was left out: kg stacked and read."""

    stacked: float = field(name="stacked_kg")
    scale: float = field(name="scale_kg")


class WrittenCorrection(msgspec.Struct, frozen=True):
    """What the check-weighings say of the statics; ``factor`` is the measured over the calculated force."""

    factor: float
    factor_uncertainty: float
    preload_difference: float = field(name="preload_difference_N")
    measured: WrittenLine
    weighings_used: int
    outliers: tuple[WrittenWeighing, ...]


class WrittenForce(msgspec.Struct, frozen=True):
    """The force in N on the joint under one stacked weight in kg, with its expanded uncertainty in N."""

    stacked: float = field(name="stacked_kg")
    force: float = field(name="force_N")
    uncertainty: float = field(name="uncertainty_N")


class WrittenCheck(msgspec.Struct, frozen=True):
    """A check-weighing beside the statics and the measured line, ``residual`` (N) off it."""

    stacked: float = field(name="stacked_kg")
    scale: float = field(name="scale_kg")
    scale_force: float = field(name="scale_N")
    statics_force: float = field(name="statics_N")
    residual: float = field(name="residual_N")
    outlier: bool


class WrittenRig(WrittenLine, frozen=True):
    """The rig for JSON: forces in N, weights in kg; uncertainties are expanded (about 95 %).

    Every ``preload`` holds the specimen's own weight as far as it counts, ``specimen_preload``; checks are
    without a specimen.
    """

    kind: str
    arrangement: str
    specimen_preload: float = field(name="specimen_preload_N")
    gravity: float = field(name="standard_gravity_m_per_s2")
    coverage_factor: float
    statics: WrittenLine
    correction: WrittenCorrection | None
    table: tuple[WrittenForce, ...]
    checks: tuple[WrittenCheck, ...]
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def written_rig(rig: Rig, stacked_kg: NDArray[np.float64]) -> WrittenRig:
    """The rig for JSON, with its table at ``stacked_kg`` (n,)."""
    force, spread = joint_force(rig, stacked_kg), COVERAGE_FACTOR * joint_force_uncertainty(rig, stacked_kg)
    return WrittenRig(
        **msgspec.structs.asdict(_written_line(rig.line)),
        kind=rig.kind,
        arrangement=rig.arrangement.name,
        specimen_preload=rig.specimen_preload[0],
        gravity=GRAVITY,
        coverage_factor=COVERAGE_FACTOR,
        statics=_written_line(rig.statics.raised(*rig.specimen_preload)),
        correction=None if rig.correction is None else _written_correction(rig, rig.correction),
        table=tuple(
            WrittenForce(float(weight), float(load), float(error))
            for weight, load, error in zip(stacked_kg, force, spread, strict=True)
        ),
        checks=_written_checks(rig),
        assumptions=rig.assumptions,
        warnings=rig.warnings,
        cautions=tuple(RIG_CAUTIONS.splitlines()),
    )


def rig_text(rig: Rig, stacked_kg: NDArray[np.float64], units: Units) -> str:
    """The rig for people: its transmission, what the check-weighings say, the table and the cautions."""
    rows = _line_rows(rig.line, units)
    own = rig.specimen_preload[0]
    if own > 0:
        rows.append(("of it the specimen's own weight", format_force(own, units)))
    if rig.correction is not None:
        fitted, unit = rig.correction, weight_unit(units)
        (_, per_weight), (_, preload) = _line_rows(rig.statics.raised(*rig.specimen_preload), units)
        rows += [
            ("by distances and weights alone", f"{per_weight} per {unit}, {preload} with nothing stacked"),
            (
                "by the scale, against that",
                f"{fitted.ratio:.3f} +- {COVERAGE_FACTOR * fitted.ratio_uncertainty:.3f} of the force per "
                f"{unit} from {fitted.used} of {len(rig.checks)} weighings; used from here on",
            ),
        ]
    if rig.lever is not None:
        lengths = (f"{name} {format_length(mm, units)}" for name, mm in rig.lever.distances.items())
        rows.append(("measured from the hinge", ", ".join(lengths)))
    parts = [
        f"{rig.kind}, {rig.arrangement}",
        aligned(rows, head=0),
        force_table(rig, stacked_kg, units),
    ]
    if rig.checks:
        parts.append(_check_table(rig, units))
    parts += [f"warning: {words_in_units(warning, units)}" for warning in rig.warnings]
    parts += [f"taken: {words_in_units(assumption, units)}" for assumption in rig.assumptions]
    return "\n\n".join(parts[:3]) + "\n\n" + "\n".join([*parts[3:], "", RIG_CAUTIONS])


def _line_rows(line: ForceLine, units: Units) -> list[tuple[str, str]]:
    per_unit = weight_size(units) * GRAVITY
    per_stacked = _with_error(line.per_stacked, line.per_stacked_variance, per_unit, units)
    return [
        (f"force per {weight_unit(units)} stacked", per_stacked),
        ("force with nothing stacked", _with_error(line.preload, line.preload_variance, 1.0, units)),
    ]


def force_table(rig: Rig, stacked_kg: NDArray[np.float64], units: Units) -> str:
    """Stacked weight, force on the joint, expanded uncertainty; in columns."""
    force, spread = joint_force(rig, stacked_kg), COVERAGE_FACTOR * joint_force_uncertainty(rig, stacked_kg)
    rows = [("stacked", "force on the joint", "+- (95 %)")]
    rows += [
        (format_weight(weight, units), format_force(load, units), rounded_force(error, units))
        for weight, load, error in zip(stacked_kg, force, spread, strict=True)
    ]
    return aligned(rows)


def _with_error(value: float, variance: float, scale: float, units: Units) -> str:
    """A force with its expanded uncertainty; ``scale`` N of force go into one of ``value``."""
    spread = COVERAGE_FACTOR * float(np.sqrt(variance))
    return f"{format_force(value * scale, units)} +- {rounded_force(spread * scale, units)}"


def rounded_force(newtons: float, units: Units) -> str:
    """A force of which only two digits mean anything, nothing below a hundredth."""
    factor, unit = force_factor(units), force_unit(units)
    return f"{significant(round(float(f'{newtons * factor:.2g}'), 2), 2)} {unit}"


def _written_line(line: ForceLine) -> WrittenLine:
    return WrittenLine(
        line.per_stacked * GRAVITY,
        COVERAGE_FACTOR * GRAVITY * float(np.sqrt(line.per_stacked_variance)),
        line.preload,
        COVERAGE_FACTOR * float(np.sqrt(line.preload_variance)),
    )


def _written_correction(rig: Rig, correction: Correction) -> WrittenCorrection:
    return WrittenCorrection(
        correction.ratio,
        COVERAGE_FACTOR * correction.ratio_uncertainty,
        correction.preload_difference,
        _written_line(correction.line.raised(*rig.specimen_preload)),
        correction.used,
        tuple(
            WrittenWeighing(check.stacked / GRAVITY, check.scale / GRAVITY) for check in correction.outliers
        ),
    )


def _written_checks(rig: Rig) -> tuple[WrittenCheck, ...]:
    if rig.correction is None:
        return ()
    return tuple(
        WrittenCheck(
            check.stacked / GRAVITY,
            check.scale / GRAVITY,
            check.scale,
            float(rig.statics.force(check.stacked)),
            residual,
            check in rig.correction.outliers,
        )
        for check, residual in zip(rig.checks, rig.correction.residuals, strict=True)
    )


def _check_table(rig: Rig, units: Units) -> str:
    rows = [("check: stacked", "scale", "statics", "off the line")]
    rows += [
        (
            format_weight(check.stacked, units),
            format_weight(check.scale, units),
            format_weight(check.statics_force / GRAVITY, units),
            rounded_force(check.residual, units) + (" (left out)" if check.outlier else ""),
        )
        for check in _written_checks(rig)
    ]
    return aligned(rows) + "\n"
