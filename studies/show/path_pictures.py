"""The pictures of a followed path, by the names of their files."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath

PathDrawing = tuple[str, Callable[[], bytes | None]]
"""The name of a picture and what draws it, to PNG bytes; to None where there is nothing to show."""


def path_drawings(break_path: BreakPath, units: Units = "metric", every: bool = False) -> list[PathDrawing]:
    """How a path's pictures are drawn, each by itself; ``every`` one has what no rig can follow."""
    from glueline.studies.show.broken_halves import broken_halves_png
    from glueline.studies.show.path_curve import path_curve_png
    from glueline.studies.show.path_moment import path_moment_png
    from glueline.studies.show.path_strip import path_strip_png

    drawings: list[PathDrawing] = [
        ("load_displacement.png", partial(path_curve_png, break_path, units, whole=every)),
        ("damage.png", partial(path_strip_png, break_path, units)),
        ("broken_halves.png", partial(broken_halves_png, break_path)),
    ]
    if every:
        drawings.append(("moment_along_path.png", partial(path_moment_png, break_path, units)))
    return drawings
