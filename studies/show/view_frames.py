"""What a picture of a corner shows: the joint and the first stretch of its legs, or all of it loaded."""

from __future__ import annotations

from glueline.geometries import Boards
from glueline.geometries.joinings import Point

CLOSE = 2.6  # depths of the boards that a close view shows
ARROW = 0.2  # of a leg: length of an arrow


def close_frame(boards: Boards) -> tuple[Point, Point]:
    """Lowest and highest x, y in mm of a close view.

    >>> close_frame(Boards(thickness=20.0, width=90.0, leg=150.0))[1][0]  # mm
    52.0
    """
    reach = min(boards.leg, CLOSE * max(boards.depth_a, boards.depth_b))
    return (-0.14 * reach, -0.11 * reach), (reach, 1.03 * reach)


def loaded_frame(boards: Boards) -> tuple[Point, Point]:
    """Lowest and highest x, y in mm about a whole corner with its arrows and supports."""
    margin = (ARROW + 0.16) * boards.leg
    return (-margin, -margin), (boards.leg + margin, boards.leg + margin)
