"""What the parts of a joint are called: whose wood a piece is of, and the places on surfaces and in pieces.

The table of joints and every answer draw from the same objects, so an answer names no place that the table
does not offer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

BOARD_A = "board A"
BOARD_B = "board B"


@dataclass(frozen=True)
class Member:
    """What is of one wood, and the ``singular`` where it is several.

    ``wood_key`` names its wood in the joint's table, None for the boards, which have theirs; without an entry
    there it is board A's. ``rings`` "as sawn" lie as the boards are sawn; "in plane" has R across the grain
    in the plane of the corner, as in slips cut with their rings through the thickness.

    >>> from glueline.geometries import JOINTS
    >>> [member.name for member in JOINTS["splined mitre"].members]
    ['board A', 'board B', 'splines']
    """

    name: str
    singular: str
    wood_key: str | None = None
    rings: Literal["as sawn", "in plane"] = "as sawn"


MEMBER_A, MEMBER_B = Member(BOARD_A, BOARD_A), Member(BOARD_B, BOARD_B)


@dataclass(frozen=True)
class PieceWords:
    """A piece by name. ``in_corner`` is its part in the corner rectangle, as it stands in a list and in a
    sentence; None for a piece that has one place only.

    >>> board_a, _ = board_words()
    >>> board_a.place(beyond=40.0, depth=19.0)  # mm past the corner, mm
    'leg of board A'
    """

    name: str
    member: Member
    in_corner: tuple[str, str] | None = None

    @property
    def spoken(self) -> dict[str, str]:
        """Every place in it that an answer can name, each as it stands in a sentence."""
        if self.in_corner is None:
            return {self.name: f"the {self.name}"}
        beside, leg = f"{self.name} beside the corner", f"leg of {self.name}"
        return {self.in_corner[0]: self.in_corner[1], beside: beside, leg: f"the {leg}"}

    @property
    def places(self) -> tuple[str, ...]:
        """Every place in it that an answer can name."""
        return tuple(self.spoken)

    def place(self, beyond: float, depth: float) -> str:
        """The place ``beyond`` mm past the corner rectangle in a board ``depth`` mm deep."""
        in_corner, beside, leg = self.places
        return in_corner if beyond <= 0 else beside if beyond < depth else leg


@dataclass(frozen=True)
class SurfaceWords:
    """A glued surface by name: its first, middle and last part, and the shares of it at which they meet.

    ``is_plural`` for names such as cheeks, for the verbs of sentences.

    >>> line_words("mitre").place(0.05)
    'outside end of the mitre'
    """

    name: str
    parts: tuple[str, str, str]
    bounds: tuple[float, float]
    is_plural: bool = False

    @property
    def places(self) -> tuple[str, ...]:
        """Every place on it that an answer can name."""
        return tuple(f"{part} of the {self.name}" for part in self.parts)

    @property
    def spoken(self) -> dict[str, str]:
        """The same, each as it stands in a sentence."""
        return {place: f"the {place}" for place in self.places}

    def place(self, share: float) -> str:
        """The place at a ``share`` of the way from its first part to its last."""
        first, last = self.bounds
        return self.places[0 if share < first else 2 if share > last else 1]


def line_words(
    name: str, start: str = "outside end", end: str = "inside end", is_plural: bool = False
) -> SurfaceWords:
    """A glue line with a name for either end, which is a fifth of it."""
    return SurfaceWords(name, (start, "middle", end), (0.2, 0.8), is_plural)


def area_words(name: str, is_plural: bool = True) -> SurfaceWords:
    """A glued area with thirds from the outer to the inner corner."""
    return SurfaceWords(name, ("outer part", "middle part", "inner part"), (1 / 3, 2 / 3), is_plural)


def board_words(in_corner: str = "{} in the corner", article: str = "") -> tuple[PieceWords, PieceWords]:
    """Boards A and B, with the words for what either is in the corner rectangle and their article."""
    first, second = (
        PieceWords(member.name, member, (place, f"{article}{place}"))
        for member, place in ((each, in_corner.format(each.name)) for each in (MEMBER_A, MEMBER_B))
    )
    return first, second
