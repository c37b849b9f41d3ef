"""The pieces that a corner is predicted to fall into, and what their glued faces look like."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.geometries import BOARD_A, BOARD_B
from glueline.studies.corner.connections import Hold
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.glue_break import mode_up_to

Array = NDArray[np.float64]

MOSTLY_GONE = 0.5  # share of its toughness spent over a face, from which on the face has parted
SLIVER = 0.02  # of a glued area: so little on one side of a crack belongs to the other


@dataclass(frozen=True)
class Fragment:
    """A piece, ``side`` 0, or what a crack leaves of it on its left, 1, or right, -1."""

    piece: str
    side: int = 0


@dataclass(frozen=True)
class Crack:
    """A crack through the wood of a ``piece``: straight through ``point``, x, y in mm, along ``direction``
    (2,), a unit vector; ``with_grain`` where it splits or shears along it.

    >>> crack = Crack("board A", (10.0, 0.0), (0.0, 1.0), with_grain=False)
    >>> crack.sides(np.array([[0.0, 5.0], [20.0, 5.0]])).tolist()
    [1, -1]
    """

    piece: str
    point: tuple[float, float]
    direction: tuple[float, float]
    with_grain: bool

    def sides(self, points: Array) -> NDArray[np.int64]:
        """On which side (n,) of it places (n, 2) lie: 1 left, -1 right, as one looks along it."""
        away = points - np.array(self.point)
        return np.where(self.direction[0] * away[:, 1] - self.direction[1] * away[:, 0] >= 0, 1, -1)


@dataclass(frozen=True)
class PartedFace:
    """A glued surface that has parted, by name: ``is_torn`` where its wood's fibres tear, else bare."""

    name: str
    is_torn: bool


@dataclass(frozen=True)
class Cluster:
    """Fragments that still hold together; ``move``, x, y in mm, parts them from the first in a picture."""

    fragments: tuple[Fragment, ...]
    move: tuple[float, float]


@dataclass(frozen=True)
class BrokenPieces:
    """What is predicted to lie on the bench: clusters, that of board A first, that of board B second."""

    clusters: tuple[Cluster, ...]
    faces: tuple[PartedFace, ...]
    crack: Crack | None


@dataclass(frozen=True)
class _Tie:
    """What ties two fragments by part of a surface: ``gone`` 1 nothing; ``away`` (2,) mm2 its face."""

    hold: Hold
    ends: tuple[Fragment, Fragment]
    gone: float
    away: Array


def broken_pieces(found: BreakPath) -> BrokenPieces | None:
    """The pieces of a followed corner; None where it still holds at the largest turn that is followed.

    Faces part where more than half of their toughness is spent at the end of the path, or at the break where
    wood ends it; as long as the boards are still tied, the one whose glue has gone furthest parts next.

    >>> from glueline import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> from glueline.studies.predict.corner_follower import follow_break
    >>> pieces = broken_pieces(follow_break(read_specimen(example_path("butt"))))
    >>> [[one.piece for one in cluster.fragments] for cluster in pieces.clusters]
    [['board A'], ['board B']]
    """
    if found.ends_held:
        return None
    corner = found.corner
    crack = _crack_of(found)
    last = len(found.path.load) - 1
    state = last if found.wood_state is None else found.state
    fragments = _fragments(corner, crack)
    ties = _ties(found, crack, found.gone(state))
    homes = _home(corner, crack, BOARD_A), _home(corner, crack, BOARD_B)
    held, parted = _parted(ties, fragments, homes)
    groups = _groups(fragments, held)
    first, second = (next(group for group in groups if home in group) for home in homes)
    others = [group for group in groups if group not in (first, second)]
    move = _move(corner, [tie for tie in parted if _joins(tie, first, second)] or parted, first, crack)
    least = min(corner.layout.boards.depth_a, corner.layout.boards.depth_b)
    middle = (0.5 * move[0] - 0.8 * least, 0.5 * move[1])
    return BrokenPieces(
        (
            Cluster(first, (0.0, 0.0)),
            Cluster(second, move),
            *(Cluster(group, middle) for group in others),
        ),
        _faces(found, parted, state),
        crack,
    )


def _crack_of(found: BreakPath) -> Crack | None:
    """Where the wood parts: along a split that was followed, else through where a criterion is met."""
    corner = found.corner
    if found.partings:
        name = min(found.partings, key=lambda each: found.partings[each])
        line = next(split for split in corner.layout.splits if split.name == name)
        along = np.subtract(line.end, line.start)
        return Crack(line.piece, line.origin, _unit(along), with_grain=True)
    part = found.wood.part
    if found.wood_state is None or part not in corner.pieces:
        return None
    with_grain = WOOD_MODES[found.wood.mode].family == SPLIT_OR_SHEAR
    angle = corner.pieces[part].grain_angle + (0.0 if with_grain else 0.5 * np.pi)
    return Crack(part, found.wood.point, _unit(np.array([np.cos(angle), np.sin(angle)])), with_grain)


def _unit(along: Array) -> tuple[float, float]:
    along = along / np.linalg.norm(along)
    return float(along[0]), float(along[1])


def _fragments(corner: CornerModel, crack: Crack | None) -> tuple[Fragment, ...]:
    made: list[Fragment] = []
    for piece in corner.pieces:
        cracked = crack is not None and crack.piece == piece
        made.extend(Fragment(piece, side) for side in ((1, -1) if cracked else (0,)))
    return tuple(made)


def _home(corner: CornerModel, crack: Crack | None, board: str) -> Fragment:
    """The fragment with the tip of a board's leg."""
    boards = corner.layout.boards
    tips = {BOARD_A: (boards.leg, 0.5 * boards.depth_a), BOARD_B: (0.5 * boards.depth_b, boards.leg)}
    if crack is None or crack.piece != board:
        return Fragment(board)
    return Fragment(board, int(crack.sides(np.array([tips[board]]))[0]))


def _ties(found: BreakPath, crack: Crack | None, gone: dict[str, Array]) -> list[_Tie]:
    """What every surface ties, in parts where a crack runs through one of its pieces."""
    ties = []
    for hold in found.corner.holds:
        surface = hold.surface
        if surface.minus == surface.plus or not {surface.minus, surface.plus} <= set(found.corner.pieces):
            continue
        sides = np.zeros(len(surface.weight), dtype=int)
        if crack is not None and crack.piece in (surface.minus, surface.plus):
            sides = crack.sides(surface.points)
        for side in np.unique(sides):
            own = sides == side
            if surface.weight[own].sum() < SLIVER * surface.weight.sum():
                continue
            ends = [
                Fragment(name, int(side) if crack and crack.piece == name else 0)
                for name in (surface.minus, surface.plus)
            ]
            share = float(np.average(gone[hold.name][own], weights=surface.weight[own]))
            on_edges = own[: 3 * len(hold.edges)]
            normals = surface.axes[: len(on_edges)][on_edges][:, 1]
            weights = surface.weight[: len(on_edges)][on_edges]
            ties.append(_Tie(hold, (ends[0], ends[1]), share, weights @ normals))
    return ties


def _parted(
    ties: Iterable[_Tie], fragments: Sequence[Fragment], homes: tuple[Fragment, Fragment]
) -> tuple[list[_Tie], list[_Tie]]:
    """Ties that hold and ties that have parted, so many that the boards come apart."""
    order = sorted(ties, key=lambda tie: tie.gone)
    held = [tie for tie in order if tie.gone < MOSTLY_GONE]
    parted = [tie for tie in order if tie.gone >= MOSTLY_GONE]
    while held and any(set(homes) <= set(group) for group in _groups(fragments, held)):
        parted.append(held.pop())
    return held, parted


def _groups(fragments: Sequence[Fragment], held: Sequence[_Tie]) -> list[tuple[Fragment, ...]]:
    """Fragments that hang together, each group in their order."""
    number = {fragment: place for place, fragment in enumerate(fragments)}
    for _ in fragments:
        for tie in held:
            low = min(number[end] for end in tie.ends)
            for end in tie.ends:
                number[end] = low
    return [
        tuple(fragment for fragment in fragments if number[fragment] == group)
        for group in sorted(set(number.values()))
    ]


def _joins(tie: _Tie, first: tuple[Fragment, ...], second: tuple[Fragment, ...]) -> bool:
    return {tie.ends[0] in first, tie.ends[1] in first} == {True, False} and (
        tie.ends[0] in second or tie.ends[1] in second
    )


def _move(
    corner: CornerModel, parted: Sequence[_Tie], first: tuple[Fragment, ...], crack: Crack | None
) -> tuple[float, float]:
    """How far apart to draw the second cluster: off along its leg where faces overlap, else off the face."""
    boards = corner.layout.boards
    least = min(boards.depth_a, boards.depth_b)
    if any(len(tie.hold.cells) for tie in parted):
        return 0.0, 1.25 * boards.depth_a
    away = np.zeros(2)
    for tie in parted:
        away += tie.away if tie.ends[0] in first else -tie.away
    if crack is not None and not np.linalg.norm(away) > 0:
        own = next((one for one in first if one.piece == crack.piece), None)
        left = np.array([-crack.direction[1], crack.direction[0]])
        away = left * (1.0 if own is None or own.side < 0 else -1.0)
    if not np.linalg.norm(away) > 0:
        away = np.array([-1.0, 1.0])
    direction = np.array(_unit(away))
    across, up = (0.45 * least + _stands_in(corner, first, direction)) * direction
    return float(across), float(up)


def _stands_in(corner: CornerModel, first: tuple[Fragment, ...], away: Array) -> float:
    """How deep, in mm, rods of the first cluster stand in what is moved ``away`` (2,) from it."""
    whole = {one.piece for one in first if one.side == 0}
    depths = [0.0]
    for rod in corner.layout.inserts:
        ends = np.array([rod.start, rod.end])
        face = next((each.edges[0][0] for each in corner.layout.joinings if each.edges), None)
        if rod.name in whole and face is not None:
            depths.append(float(((ends - np.array(face)) @ away).max()))
    return max(depths)


def _faces(found: BreakPath, parted: Sequence[_Tie], state: int) -> tuple[PartedFace, ...]:
    """Glued faces that have parted, each once."""
    faces = {}
    for tie in parted:
        for each in found.corner.glued:
            if each.name == tie.hold.name:
                faces[each.name] = PartedFace(each.name, mode_up_to(found, each, state) in each.fibre_modes)
    return tuple(faces.values())
