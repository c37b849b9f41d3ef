"""Load arrangements: each knows its load and supports, its lever arm, and what goes with it on a bench.

P is what a machine or stacked weights apply. Forces in N, lengths in mm, moments in N mm. A load or a
reaction at a tip is spread evenly over that leg's end face; one that misses its line is the load on its line
and a couple on the face. ``off_line`` is by how many mm it misses, above zero toward the longer lever arm.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray

from glueline.fem.loads import Arrangement, edge_load, even_load, even_moment
from glueline.fem.model import Body, Model
from glueline.geometries import Boards
from glueline.geometries.layout import Leg, distance_to_segment
from glueline.geometries.mesh import LayoutMesh

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Arrow:
    """A load P in a picture: it acts at ``at`` (x, y in mm) in the unit direction ``toward``.

    A load that ``pulls`` is drawn from its place outward, one that presses ends there.
    """

    at: tuple[float, float]
    toward: tuple[float, float]
    pulls: bool = False


@dataclass(frozen=True)
class Support:
    """What a corner stands on in a picture, or what ``clamps`` it: at ``at``, on its ``outward`` side."""

    at: tuple[float, float]
    outward: tuple[float, float]
    clamps: bool = False


@dataclass(frozen=True)
class LoadSketch:
    """How an arrangement looks: where P acts and what stands against it."""

    arrows: tuple[Arrow, ...]
    supports: tuple[Support, ...]


@dataclass(frozen=True)
class LoadArrangement(ABC):
    """One way to load a corner; ``sense`` says what P does to its angle.

    >>> boards = Boards(thickness=19.0, width=90.0, leg=150.0)  # mm
    >>> press = ARRANGEMENTS["diagonal compression"]
    >>> press.sense, round(press.moment_per_load(boards), 1)  # N mm for each N
    ('closes', 85.9)
    """

    name: str
    sense: Literal["closes", "opens"]

    own_weight_share: ClassVar[float]
    """Share of the specimen's own weight that counts as load on a rig.

    By equal moment at the corner, for two slender legs of equal weight and the load line upright.
    """
    off_line_share: ClassVar[float]
    """Share of the lesser depth that P may realistically miss its line by; judgement."""

    def __str__(self) -> str:
        """The name, as files and answers have it."""
        return self.name

    @property
    @abstractmethod
    def words(self) -> str:
        """How a maker sees it: what is pushed where."""

    @abstractmethod
    def loading(self, boards: Boards, mesh: LayoutMesh, model: Model, off_line: float = 0.0) -> Arrangement:
        """P = 1 N on a model, and three supports that hold it: statically determinate.

        Raises ValueError where a load so far off its line cannot be applied.
        """

    @abstractmethod
    def moment_per_load(self, boards: Boards, off_line: float = 0.0) -> float:
        """Moment in N mm at the inner corner for P = 1 N, never below zero, by statics of A's tip."""

    @abstractmethod
    def sketch(self, boards: Boards) -> LoadSketch:
        """Where P acts and what holds the corner, as a picture shows it."""

    def near_load(self, boards: Boards, points: Array) -> Flags:
        """Which points (p, 2) are within a depth of a loaded or held face: wood there is not judged."""
        near = [points @ np.array(leg.along) >= leg.length - leg.depth for leg in boards.legs]
        return np.asarray(np.any(near, axis=0))

    def most_off_line(self, boards: Boards) -> float:
        """How far P may realistically miss its line on these boards, mm."""
        return self.off_line_share * min(boards.depth_a, boards.depth_b)

    @property
    def _closing(self) -> float:
        """Sign of P along the direction in which it closes the corner."""
        return 1.0 if self.sense == "closes" else -1.0


@dataclass(frozen=True)
class Diagonal(LoadArrangement):
    """The tips are pushed together, or pulled apart, along the line that joins their centres.

    Off its line, the force passes farther from the corner.
    """

    own_weight_share = 0.5
    """1/4 by the upper leg's weight, 1/4 by the force at its tip that keeps it from tipping over."""
    off_line_share = 1 / 6
    """The middle third of an end face."""

    @property
    def words(self) -> str:
        """Both tips alike."""
        return f"the tips of the legs are {'pushed together' if self.sense == 'closes' else 'pulled apart'}"

    def loading(self, boards: Boards, mesh: LayoutMesh, model: Model, off_line: float = 0.0) -> Arrangement:
        """Equal and opposite forces on the two tips."""
        tip_a, tip_b = _tips(boards, mesh, model)
        toward_b = _unit(_between_tips(boards))
        squeeze = tip_a.force(toward_b) - tip_b.force(toward_b)
        squeeze += off_line * (tip_a.couple() - tip_b.couple())
        return Arrangement(self.name, self._closing * squeeze, _standing(boards, tip_a, tip_b))

    def moment_per_load(self, boards: Boards, off_line: float = 0.0) -> float:
        """(L - 1.5 t) / sqrt 2 + off_line for equal boards of depth t."""
        return _moment_of_tip_force(boards, _unit(_between_tips(boards))) + off_line

    def sketch(self, boards: Boards) -> LoadSketch:
        """P on A's tip; B's stands against it."""
        toward_b, (leg_a, leg_b) = _unit(_between_tips(boards)), boards.legs
        arrow = Arrow(leg_a.tip_centre, _pair(self._closing * toward_b), pulls=self.sense == "opens")
        return LoadSketch((arrow,), (Support(leg_b.tip_centre, _pair(toward_b)),))


@dataclass(frozen=True)
class ApexPress(LoadArrangement):
    """It stands like a roof on two frictionless supports at the tips and is pressed on the outer corner.

    P is spread over the apex patches, square to the line that joins the tips' centres; off its line, it moves
    toward board A's tip.
    """

    own_weight_share = 0.5
    """Each leg's half weight at half its reach undoes half of its support's moment."""
    off_line_share = 1 / 16
    """So little that it still presses on both faces."""

    @property
    def words(self) -> str:
        """The roof."""
        return "it stands on its tips like a roof and is pressed on the outer corner"

    def loading(self, boards: Boards, mesh: LayoutMesh, model: Model, off_line: float = 0.0) -> Arrangement:
        """P in the patches, in equal pressure on its line; off it one of them carries more."""
        patches = np.array(boards.apex_patches)
        length = np.linalg.norm(patches[:, 1] - patches[:, 0], axis=1)
        toward_b = _unit(_between_tips(boards))
        toward_a = patches.mean(axis=1) @ -toward_b
        share = length / length.sum() + off_line / (toward_a[0] - toward_a[1]) * np.array([1.0, -1.0])
        if share.min() < 0:
            raise ValueError(f"an apex load {off_line:g} mm off its line does not press on both faces")
        down = -_outward(toward_b)
        load = np.zeros(model.unknowns)
        for patch, pressure in zip(boards.apex_patches, share / length, strict=True):
            load += _pressed(mesh, model, mesh.edges_on(*patch), down * pressure)
        force = np.array([load[0::2].sum(), load[1::2].sum()])
        return Arrangement(self.name, load / (force @ down), _standing(boards, *_tips(boards, mesh, model)))

    def moment_per_load(self, boards: Boards, off_line: float = 0.0) -> float:
        """(1/2 + off_line / S) (L - t / 2) / sqrt 2 for equal boards of depth t with S between the tips."""
        patches, across = np.array(boards.apex_patches), _between_tips(boards)
        length = np.linalg.norm(patches[:, 1] - patches[:, 0], axis=1)
        middle = length @ patches.mean(axis=1) / length.sum()
        # What stands on A's tip, as on a beam between the tips: moments about the tip of B.
        from_b = (np.array(boards.legs[1].tip_centre) - middle) @ _unit(across) + off_line
        share = float(from_b / np.linalg.norm(across))
        return share * _moment_of_tip_force(boards, _outward(_unit(across)))

    def sketch(self, boards: Boards) -> LoadSketch:
        """P on the outer corner; both tips stand."""
        down = _pair(-_outward(_unit(_between_tips(boards))))
        stands = tuple(Support(leg.tip_centre, down) for leg in boards.legs)
        return LoadSketch((Arrow((0.0, 0.0), down),), stands)

    def near_load(self, boards: Boards, points: Array) -> Flags:
        """Also what is within the greater depth of a patch."""
        depth = max(boards.depth_a, boards.depth_b)
        apart = np.min([distance_to_segment(points, *patch) for patch in boards.apex_patches], axis=0)
        return np.asarray(super().near_load(boards, points) | (apart <= depth))


@dataclass(frozen=True)
class Cantilever(LoadArrangement):
    """Board B's tip is clamped, and board A's is pushed square to A, toward B or away from it.

    Off its line, the force acts beyond the tip.
    """

    own_weight_share = 0.25
    """The loaded leg lies level: half the specimen's weight at half the reach."""
    off_line_share = 1 / 6
    """The middle third of an end face."""

    @property
    def words(self) -> str:
        """Which tip is held and which is pushed."""
        way = "inward" if self.sense == "closes" else "outward"
        return f"the tip of board B is clamped, that of board A is pushed {way}"

    def loading(self, boards: Boards, mesh: LayoutMesh, model: Model, off_line: float = 0.0) -> Arrangement:
        """A force on A's tip; B's end face does not move or turn in the mean."""
        tip_a, tip_b = _tips(boards, mesh, model)
        inward = tip_a.force(np.array(tip_a.leg.inward)) + off_line * tip_a.couple()
        leg = tip_b.leg
        clamped = [tip_b.force(np.array(leg.inward)), tip_b.force(np.array(leg.along)), tip_b.couple()]
        return Arrangement(self.name, self._closing * inward, np.stack(clamped))

    def moment_per_load(self, boards: Boards, off_line: float = 0.0) -> float:
        """L - t + off_line for equal boards of depth t."""
        return _moment_of_tip_force(boards, np.array(boards.legs[0].inward)) + off_line

    def sketch(self, boards: Boards) -> LoadSketch:
        """P square to A's tip; B's is clamped."""
        leg_a, leg_b = boards.legs
        arrow = Arrow(leg_a.tip_centre, _pair(self._closing * np.array(leg_a.inward)))
        return LoadSketch((arrow,), (Support(leg_b.tip_centre, _pair(np.array(leg_b.along)), clamps=True),))


DIAGONAL_COMPRESSION = Diagonal("diagonal compression", "closes")
DIAGONAL_TENSION = Diagonal("diagonal tension", "opens")
APEX_PRESS = ApexPress("apex press", "opens")
CANTILEVER_IN = Cantilever("cantilever in", "closes")
CANTILEVER_OUT = Cantilever("cantilever out", "opens")

ARRANGEMENTS: dict[str, LoadArrangement] = {
    each.name: each
    for each in (DIAGONAL_COMPRESSION, DIAGONAL_TENSION, APEX_PRESS, CANTILEVER_IN, CANTILEVER_OUT)
}
"""The load arrangements by name; the first is taken where none is given."""


@dataclass(frozen=True)
class _Tip:
    """The end face of a leg in a model, by its ``edges`` (e, 3), to be loaded or held."""

    model: Model
    leg: Leg
    edges: Integers

    def force(self, direction: Array) -> Array:
        """A unit force (unknowns,) in ``direction`` (2,); as a support, it holds the face's mean."""
        return even_load(self.model, self.leg.board, self.edges, direction)

    def couple(self) -> Array:
        """A unit couple (unknowns,), anticlockwise; as a support, it holds the face's mean turn."""
        return even_moment(self.model, self.leg.board, self.edges, np.array(self.leg.along))


def _tips(boards: Boards, mesh: LayoutMesh, model: Model) -> tuple[_Tip, _Tip]:
    leg_a, leg_b = boards.legs
    return _Tip(model, leg_a, mesh.edges_on(*leg_a.tip)), _Tip(model, leg_b, mesh.edges_on(*leg_b.tip))


def _standing(boards: Boards, tip_a: _Tip, tip_b: _Tip) -> Array:
    """Supports (3, unknowns): both tips square to the line that joins them, and together along it."""
    toward_b = _unit(_between_tips(boards))
    upward = _outward(toward_b)
    return np.stack([tip_a.force(upward), tip_b.force(upward), tip_a.force(toward_b) + tip_b.force(toward_b)])


def _between_tips(boards: Boards) -> Array:
    """From the centre of A's tip to that of B's, (2,) mm."""
    tip_a, tip_b = (np.array(leg.tip_centre) for leg in boards.legs)
    return np.asarray(tip_b - tip_a)


def _outward(toward_b: Array) -> Array:
    """Unit vector square to the tips' line, given along it (2,), that points to the outer corner's side."""
    return np.array([-toward_b[1], toward_b[0]])


def _pair(vector: Array) -> tuple[float, float]:
    return float(vector[0]), float(vector[1])


def _unit(vector: Array) -> Array:
    return np.asarray(vector / np.linalg.norm(vector))


def _moment_of_tip_force(boards: Boards, force: Array) -> float:
    """Size of the moment in N mm at the inner corner of a ``force`` (2,) at the centre of A's tip."""
    arm = np.array(boards.legs[0].tip_centre) - np.array(boards.inner_corner)
    return float(abs(arm[0] * force[1] - arm[1] * force[0]))


def _pressed(mesh: LayoutMesh, model: Model, edges: Integers, pressure: Array) -> Array:
    """Load (unknowns,) of an even ``pressure`` (2,) in MPa on outer ``edges`` (e, 3) of all pieces there."""
    load = np.zeros(model.unknowns)
    for body in model.bodies:
        reached = np.asarray(np.isin(edges, mesh.triangles[body.cells]).all(axis=1))
        for edge in edges[reached]:
            width = _width_at(body, mesh, edge)
            load += edge_load(model, body.name, edge[None], width, _constant(pressure))
    return load


def _width_at(body: Body, mesh: LayoutMesh, edge: Integers) -> float:
    """Size across the plane of the body's cell that owns an outer edge."""
    owner = np.flatnonzero(np.isin(mesh.triangles[body.cells], edge).sum(axis=1) == 3)
    return float(body.thickness[owner[0]])


def _constant(value: Array) -> Callable[[Array], Array]:
    return lambda points: np.tile(value, (len(points), 1))
