"""What is let into both boards of a butt or a mitre: where they meet, and the cells about a mortise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.joinings import GlueLine, Point
from glueline.geometries.layout import Boards, Cell, Layout, Part
from glueline.geometries.mitre import MITRE, Mitre
from glueline.geometries.polygons import clipped

LEAST_WALL = 1.5  # mm of wood that must stay about a mortise or a hole
ROUNDING = 1e-9  # mm


@dataclass(frozen=True)
class JointLine:
    """The line on which the boards meet: from ``start`` along ``along``; ``into_b`` is square to it."""

    start: Point
    along: Point
    into_b: Point
    length: float

    def at(self, distance: float, depth: float) -> Point:
        """The place so many mm along the joint and into board B, below zero into board A."""
        x = self.start[0] + distance * self.along[0] + depth * self.into_b[0]
        y = self.start[1] + distance * self.along[1] + depth * self.into_b[1]
        return round(x, 9), round(y, 9)

    def cut(self, polygon: Sequence[Point], normal: Point, level: float) -> tuple[Point, ...]:
        """What lies at least ``level`` mm from the start in the direction of ``normal``."""
        own = self.start[0] * normal[0] + self.start[1] * normal[1]
        return clipped(polygon, normal, own + level)


def base_of(base: str | None, boards: Boards) -> tuple[Layout, JointLine]:
    """The layout of boards that meet as ``base`` says, "butt" by default, and the line on which they do."""
    layout = MITRE.layout(Mitre(), boards) if base == "mitre" else BUTT.layout(Butt(), boards)
    (line,) = layout.joinings
    assert isinstance(line, GlueLine)
    x, y = (line.end[0] - line.start[0]) / line.length, (line.end[1] - line.start[1]) / line.length
    return layout, JointLine(line.start, (x, y), (-y, x), line.length)


def wood_behind(base: str | None, boards: Boards, place: float, sign: float) -> float:
    """Depth of wood in mm behind a place on the joint, square to it: in board B for a ``sign`` above zero."""
    if base != "mitre":
        return boards.depth_a if sign < 0 else boards.leg - boards.depth_a
    return place  # square to a mitre the outside face is met first


def inside(
    polygon: tuple[Point, ...], line: JointLine, reach: tuple[float, float], depth: float, sign: float
) -> tuple[Point, ...]:
    """The mortise in a board."""
    back = (-sign * line.into_b[0], -sign * line.into_b[1])
    return line.cut(_strip(polygon, line, reach), back, -depth)


def _strip(polygon: tuple[Point, ...], line: JointLine, reach: tuple[float, float]) -> tuple[Point, ...]:
    """What of a board lies before and behind the mortise."""
    against = (-line.along[0], -line.along[1])
    return line.cut(line.cut(polygon, line.along, reach[0]), against, -reach[1])


def around(
    polygon: tuple[Point, ...],
    line: JointLine,
    reach: tuple[float, float],
    depth: float,
    sign: float,
    parts: Mapping[str, Part],
) -> list[Cell]:
    """The rest of a board: on either side of the mortise, and behind it."""
    against = (-line.along[0], -line.along[1])
    inward = (sign * line.into_b[0], sign * line.into_b[1])
    rest = (
        line.cut(polygon, against, -reach[0]),
        line.cut(polygon, line.along, reach[1]),
        line.cut(_strip(polygon, line, reach), inward, depth),
    )
    return [Cell(each, parts) for each in rest if each]
