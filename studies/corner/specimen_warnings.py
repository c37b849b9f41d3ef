"""What a specimen is warned of: its moisture, a calibrated glue, workmanship of surfaces that it lacks."""

from __future__ import annotations

from collections.abc import Mapping

from glueline.geometries import Layout
from glueline.materials import Glue, SurfaceWorkmanship

DAMP, DRY = 16.0, 5.0  # percent: beyond these the specimen carries a warning


def moisture_warnings(moisture: float) -> tuple[str, ...]:
    """What wood of that moisture, in percent, does to the answer; nothing at a usual one."""
    if moisture > DAMP:
        return (
            f"The wood is damp ({moisture:g} %): above {DAMP:g} % the glue line itself loses strength, "
            "and the answer is less certain.",
        )
    if moisture < DRY:
        return (
            f"The wood is very dry ({moisture:g} %): below {DRY:g} % it cracks and moves easily, and "
            "the answer is less certain.",
        )
    return ()


def calibration_note(glue: Glue) -> tuple[str, ...]:
    """That the quality of a glue was set from breaks, from which, and how far a load can still be off.

    Nothing where it was not.
    """
    if not glue.calibrated:
        return ()
    if glue.load_factor is None:
        off = (
            "The file of this calibrated glue is an older one and does not say how far off a load can be: "
            "run calibrate again to know."
        )
    else:
        low, high = 100 / glue.load_factor, 100 * glue.load_factor
        off = (
            f"Even with this calibrated glue the load can be off: broken, corners like this may hold from "
            f"{low:.0f} % to {high:.0f} % of it on average (95 % limits)."
        )
    return f"The glue is calibrated: {glue.calibrated.rstrip('.')}.", off


def absent_surfaces(surfaces: Mapping[str, SurfaceWorkmanship], layout: Layout) -> tuple[str, ...]:
    """Which surfaces have workmanship of their own though this corner has them not, as its kind may."""
    here = {joining.name for joining in layout.joinings}
    return tuple(
        f"This corner has no {name}: what the glue table says of it changes nothing."
        for name in surfaces
        if name not in here
    )
