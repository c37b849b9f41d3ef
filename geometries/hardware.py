"""Bought fasteners that hold without glue: screws, and fittings let into slots.

Each lies with a straight axis in the plane, several alike side by side across it. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot

from glueline.geometries.joinings import Point
from glueline.geometries.words import SurfaceWords


@dataclass(frozen=True)
class Reach:
    """The stretch of a fastener's axis in one ``board``, from ``start`` to ``end`` as it runs, x, y in mm.

    >>> from glueline.geometries import JOINTS, Boards, SlotFitting
    >>> (fittings,) = JOINTS["slot fitting"].layout(SlotFitting(), Boards(20.0, 90.0, 150.0)).hardware
    >>> fittings.reaches[1].place_at((10.0, 29.0)), fittings.reaches[1].length  # mm
    ('floor end of the fittings in board B', 10.0)
    """

    words: SurfaceWords
    board: str
    start: Point
    end: Point

    @property
    def name(self) -> str:
        """What it is called."""
        return self.words.name

    @property
    def length(self) -> float:
        """Length in the plane in mm."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def place_at(self, point: Point) -> str:
        """What the place of a point beside it is called."""
        x, y = self.end[0] - self.start[0], self.end[1] - self.start[1]
        along = (point[0] - self.start[0]) * x + (point[1] - self.start[1]) * y
        return self.words.place(along / (x * x + y * y))


@dataclass(frozen=True)
class Screw:
    """``number`` screws side by side: the head bears on one board, the thread holds in the other.

    ``diameter`` is that over the thread, ``head_diameter`` that of the round head; ``slant`` in rad is by how
    much the axis rises out of the plane, so that lengths along it are those in the plane over its cosine.

    >>> from glueline.geometries import JOINTS, Boards, PocketScrew
    >>> (screws,) = JOINTS["pocket screw"].layout(PocketScrew(), Boards(19.0, 90.0, 150.0)).hardware
    >>> screws.number, round(screws.under_head.length, 1), round(screws.threaded.length, 1)  # mm, mm
    (2, 15.8, 15.8)
    """

    name: str
    singular: str
    under_head: Reach
    threaded: Reach
    diameter: float
    head_diameter: float
    number: int
    slant: float = 0.0

    @property
    def reaches(self) -> tuple[Reach, Reach]:
        """In one board and in the other, as the axis runs."""
        return self.under_head, self.threaded

    @property
    def start(self) -> Point:
        """Where the head bears."""
        return self.under_head.start

    @property
    def end(self) -> Point:
        """The point."""
        return self.threaded.end


@dataclass(frozen=True)
class Fitting:
    """``number`` flat fittings side by side, let into a slot in either board.

    ``thickness`` is that in the plane, ``across`` the length of one along z. Pulled along its axis one holds
    ``strength`` N and gives by 1 / ``stiffness`` mm a newton (N/mm), both boards together.

    >>> from glueline.geometries import JOINTS, Boards, SlotFitting
    >>> (fittings,) = JOINTS["slot fitting"].layout(SlotFitting(), Boards(19.0, 90.0, 150.0)).hardware
    >>> fittings.number, fittings.thickness, [reach.length for reach in fittings.reaches]  # mm, mm
    (1, 3.8, [9.5, 9.5])
    """

    name: str
    singular: str
    reaches: tuple[Reach, Reach]
    thickness: float
    across: float
    number: int
    strength: float
    stiffness: float
    strength_is_judged: bool = False
    stiffness_is_judged: bool = False

    @property
    def diameter(self) -> float:
        """Its size in the plane square to its axis."""
        return self.thickness

    @property
    def start(self) -> Point:
        """The floor of its slot in board A."""
        return self.reaches[0].start

    @property
    def end(self) -> Point:
        """The floor of its slot in board B."""
        return self.reaches[1].end


Hardware = Screw | Fitting
"""What is bought and let in."""


def fastener_words(
    name: str, parts: Mapping[str, tuple[str, str]], plural: bool = True
) -> dict[str, SurfaceWords]:
    """Words by board for fasteners called ``name``; ``parts`` name either end in each board, as they run."""
    return {
        board: SurfaceWords(f"{name} in {board}", (start, "middle", end), (0.2, 0.8), plural)
        for board, (start, end) in parts.items()
    }


FAR_ENOUGH = 5.0  # diameters of wood before a screw's end of the board (common practice, no source)


def splitting_notes(name: str, to_end: float = FAR_ENOUGH) -> tuple[str, ...]:
    """What is not judged of the wood round what is let in and called ``name``; ``to_end`` is how many
    diameters the axis of a screw lies from the end of the board that its thread holds in.

    >>> splitting_notes("screws", 2.3)[1]  # doctest: +ELLIPSIS
    'The screws stand 2.3 diameters from the end of board A: under 5 the wood may split as they are driven...'
    """
    even = (
        f"What the {name} do to the wood is taken as even across the width: that a board begins to split at "
        "one of them, or between two, is not seen before it splits over all its width."
    )
    if to_end >= FAR_ENOUGH:
        return (even,)
    return (
        even,
        f"The {name} stand {to_end:.1f} diameters from the end of board A: under {FAR_ENOUGH:.0f} the wood "
        "may split as they are driven unless holes are bored for them (common practice, no source). This is "
        "not judged.",
    )
