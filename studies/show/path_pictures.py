"""The pictures of a followed path, by the names of their files."""

from __future__ import annotations

from collections.abc import Iterator

from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath


def path_pictures(
    break_path: BreakPath, units: Units = "metric", every: bool = False
) -> Iterator[tuple[str, bytes]]:
    """Name and PNG bytes of a path's pictures, one by one; ``every`` one has what no rig can follow."""
    from glueline.studies.show.broken_halves import broken_halves_png
    from glueline.studies.show.path_curve import path_curve_png
    from glueline.studies.show.path_moment import path_moment_png
    from glueline.studies.show.path_strip import path_strip_png

    yield "load_displacement.png", path_curve_png(break_path, units, whole=every)
    yield "damage.png", path_strip_png(break_path, units)
    halves = broken_halves_png(break_path)
    if halves is not None:
        yield "broken_halves.png", halves
    if every:
        yield "moment_along_path.png", path_moment_png(break_path, units)
