"""A joint as the table of joints knows it, and what is wrong with a corner in a maker's words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from glueline.geometries.layout import Boards, Lay, Layout
from glueline.geometries.words import Member, PieceWords, SurfaceWords

ANY_LAY: tuple[Lay, ...] = ("box", "frame")
LAYS_SAID: Mapping[Lay, str] = {
    "box": "it stands on edge, the boards' thickness in the plane of the corner, as in a drawer",
    "frame": "it lies flat, the boards' width in the plane of the corner, as in a door",
}


@dataclass(frozen=True)
class Problem:
    """What is wrong with a corner in a maker's words; ``text`` has placeholders for ``lengths`` in mm.

    >>> from glueline.geometries import JOINTS, Butt
    >>> short = JOINTS["butt"].problems(Butt(), Boards(thickness=19.0, width=90.0, leg=40.0))[0]
    >>> short.key, short.lengths
    ('boards.leg', {'depth': 19.0, 'least': 57.0})
    """

    key: str
    text: str
    lengths: Mapping[str, float] = field(default_factory=dict)


def as_given(joint: Any, _: Boards) -> Any:
    """Measures of which none is a proportion of the boards."""
    return joint


def key_with_default(quantity: str, label: str, words: str, default: str, **more: Any) -> Any:
    """A field of a joint's parameters that may be left out: None then, until ``JointKind.filled``.

    ``quantity`` is "count", "length", "angle", "force", "stiffness", "slope", "yes or no", "choice" (with
    ``choices``) or "wood name"; ``default`` says in words what is taken instead, and where that comes from.
    A yes or no may name what it ``voids``: a field that has no meaning beside a yes.
    """
    about = {"quantity": quantity, "label": label, "words": words, "required": False, "default": default}
    return field(default=None, metadata={**about, **more})


@dataclass(frozen=True)
class JointKind:
    """A joint as the table of joints knows it: its parameters, its words, its check and its layout.

    ``surfaces`` and ``pieces`` are the words of all that its layouts may hold. ``filled`` gives parameters
    with what was left out as a proportion of the boards; ``problems`` and ``layout`` take either. ``lays``
    are those that it has, the usual one first.

    ``usual`` gives the measures that a maker would take on boards for what must be stated, None where nothing
    must: common practice, which has no source. ``cuts`` counts by their kind, for both boards together, what
    is cut for one corner: each flat face that is sawn or chopped, the boards' own ends too, each slot sawn in
    one pass, each mortise and each hole. None where that is not counted.

    ``fastener_surfaces`` are the words of what bought fasteners hold on to in the boards; ``holds_dry`` says
    that they hold the corner without glue as well.

    >>> from glueline.geometries import JOINTS
    >>> JOINTS["mitre"].places[:2]
    ('outside end of the mitre', 'middle of the mitre')
    """

    kind: str
    aliases: tuple[str, ...]
    summary: str
    parameters: type[Any]
    surfaces: tuple[SurfaceWords, ...]
    pieces: tuple[PieceWords, ...]
    allows_thickness_b: bool
    problems: Callable[[Any, Boards], list[Problem]]
    layout: Callable[[Any, Boards], Layout]
    filled: Callable[[Any, Boards], Any] = as_given
    lays: tuple[Lay, ...] = ANY_LAY
    usual: Callable[[Boards], Any] | None = None
    cuts: Callable[[Any, Boards], Mapping[str, int]] | None = None
    fastener_surfaces: tuple[SurfaceWords, ...] = ()
    holds_dry: bool = False

    @property
    def members(self) -> tuple[Member, ...]:
        """What needs a wood, each once: the boards, then whatever else the joint is made of."""
        return tuple(dict.fromkeys(piece.member for piece in self.pieces))

    @property
    def places(self) -> tuple[str, ...]:
        """Every place that an answer for this joint can name."""
        surfaces = *self.surfaces, *self.fastener_surfaces
        on_surfaces = [place for words in surfaces for place in words.places]
        in_pieces = [place for words in self.pieces for place in words.places]
        return tuple(dict.fromkeys([*on_surfaces, *in_pieces]))


WIDEST_IN_FRAME = 600.0  # mm; common practice, no source


def board_problems(boards: Boards, lays: tuple[Lay, ...] = ANY_LAY) -> list[Problem]:
    """What is wrong with the boards whatever the joint, which has these ``lays``."""
    if boards.lay not in lays:
        (only,) = lays
        text = f'must be "{only}" for this joint: {LAYS_SAID[only]}; leave the line out or write "{only}"'
        return [Problem("boards.lay", text)]
    problems = []
    limit = {"least": 3.0, "most": 300.0}
    for key, value in (("boards.thickness", boards.thickness), ("boards.thickness_b", boards.thickness_b)):
        if value is not None and not 3.0 <= value <= 300.0:
            problems.append(Problem(key, "must lie between {least} and {most}", limit))
    if not 6.0 <= boards.width <= 1500.0:
        problems.append(
            Problem("boards.width", "must lie between {least} and {most}", {"least": 6.0, "most": 1500.0})
        )
    elif boards.lay == "frame" and boards.width > WIDEST_IN_FRAME:
        text = (
            "is too much for a frame: at most {most}; wider wood is a panel, which moves so much with "
            "moisture that no frame holds it by glue"
        )
        problems.append(Problem("boards.width", text, {"most": WIDEST_IN_FRAME}))
    if problems:
        return problems
    deepest = max(boards.depth_a, boards.depth_b)
    if boards.leg < 3 * deepest:
        problems.append(
            Problem(
                "boards.leg",
                "is too short for boards {depth} deep in the plane of the corner: the leg, from the outside "
                "corner to the tip, must be at least {least}",
                {"depth": deepest, "least": 3 * deepest},
            )
        )
    if boards.leg > 5000.0 or boards.leg > 60 * min(boards.depth_a, boards.depth_b):
        most = min(5000.0, 60 * min(boards.depth_a, boards.depth_b))
        problems.append(
            Problem("boards.leg", "is too long to be a corner specimen: at most {most}", {"most": most})
        )
    return problems


def cannot_be(problems: list[Problem]) -> bool:
    """Whether boards are so wrong that what fits on them would only mislead."""
    return any(problem.key.startswith("boards.") and problem.key != "boards.leg" for problem in problems)
