"""What is to be known of a joint before it is broken: preload, how far it gives, what has to be bought."""

from __future__ import annotations

from glueline.studies.bench_day.expected import Expected
from glueline.studies.bench_day.plan.load_steps import STEP_SHARE, allowed_share, step_share
from glueline.studies.bench_day.rig.rig import Rig
from glueline.studies.files.units import MM_PER_INCH, Units, format_force, format_length
from glueline.studies.files.words import counted

GIVE_SHARE = 0.5  # of the gap above the catch block that a joint may give before it is said


def joint_notes(
    expected: Expected, rig: Rig, drop: float, step_kg: float, replicates: int, units: Units
) -> tuple[str, ...]:
    """The notes on one joint, in the units shown; ``drop`` is the gap above the catch block in mm."""
    return (
        *_of_weights(expected, rig, step_kg, units),
        *_of_give(expected, drop, units),
        *_bought(expected, replicates),
    )


def _of_weights(expected: Expected, rig: Rig, step_kg: float, units: Units) -> list[str]:
    notes = []
    preload = format_force(rig.line.preload, units)
    if rig.line.preload >= expected.band[0]:
        notes.append(
            f"the empty rig's own force on the joint, {preload}, reaches this joint's 5 % value: some may "
            "break before any weight is stacked"
        )
    elif rig.line.preload > STEP_SHARE * expected.load:
        notes.append(f"the empty rig's own force on the joint, {preload}, is more than a tenth of the load")
    share = step_share(expected, rig, step_kg)
    if share > allowed_share(expected) * 1.001:
        notes.append(
            f"even the smallest plate is {100 * share:.0f} % of the predicted load: lighter plates would help"
        )
    return notes


def _of_give(expected: Expected, drop: float, units: Units) -> list[str]:
    """How far a joint gives that gives much, and that it may not break at all."""
    notes = []
    if expected.give is not None and expected.give > GIVE_SHARE * drop:
        notes.append(
            f"it gives {_about(expected.give, units)} by then, which catch blocks "
            f"{format_length(drop, units)} below the load point may stop: leave "
            f"{_about(2 * expected.give, units)} (--drop)"
        )
    if expected.still_holds:
        notes.append(
            "by calculation nothing lets go: the load is that at the largest turn that is followed, and no "
            "break. A specimen that has given so far has done its part: write down the weight as held, and "
            "leave broke blank"
        )
    return notes


def _bought(expected: Expected, replicates: int) -> list[str]:
    """What has to be bought besides wood and glue, and that a joint is made without glue."""
    notes = [
        f"bring {counted(replicates * each.number, each.singular)}, {each.number} for each specimen"
        for each in expected.specimen.layout.hardware
    ]
    if not expected.specimen.glue.holds:
        notes.append("put together without glue")
    return notes


def _about(length: float, units: Units) -> str:
    """A length in mm to two digits."""
    if units == "metric":
        return format_length(float(f"{length:.2g}"), units)
    return f"{length / MM_PER_INCH:.2g} in"
