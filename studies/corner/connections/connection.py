"""What every connection of two pieces knows of itself, whatever its kind.

A connection owns all that depends on its kind: how it is laid and how stiff it is, what it holds and how it
lets go, how it is called and drawn, what it passes on, which scatter it has, what a record keeps of it.
Whoever works with a corner goes through its connections and asks none for its kind.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.model import Integers
from glueline.fem.traction_law import TractionLaw
from glueline.geometries import Joining, SurfaceWords
from glueline.studies.corner.limit import BreaksIn, Limit, as_point
from glueline.studies.corner.material_values import MaterialValue
from glueline.studies.corner.piece import PieceWood

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

BESIDE_GLUE = 2.0  # mm: nearer to a glued face, a break in the wood counts as the glue's

# A bond that stores more energy at its strength than its toughness lets go at once, and all that it stored is
# spent. Its law softens over a twentieth of the way to its strength instead of none.
BRITTLE = 1.05


@dataclass(frozen=True)
class Curve:
    """Numbers along a connection: its ``points`` (n,) in order, ``distance`` (n,) mm from its start.

    The columns of ``traction`` (n, 2) are shear and opening, ``strengths`` those of shear and opening, MPa;
    ``ends`` are the words for start and end, ``length`` mm from one to the other.
    """

    points: Integers
    distance: Array
    traction: Array
    strengths: tuple[float, float]
    ends: tuple[str, str]
    length: float


@dataclass(frozen=True)
class Field:
    """Numbers over a connection: ``points`` (n, 2) mm, ``traction`` (n, 2) MPa in x, y, and ``share`` (n,).

    ``share`` is that of the strength beside the face which is used.
    """

    points: Array
    traction: Array
    share: Array


@dataclass(frozen=True)
class Hold(ABC):
    """What holds two sides together along a ``surface``: ``sides`` minus and plus, if of wood.

    Glue between two pieces, or the wood of one piece along a line on which it may split. ``edges`` (e, 3) and
    ``cells`` (c,) say where in the mesh it lies; its points stand three an edge, then six a cell. Tractions
    (p, 2) are local to the surface, in MPa.
    """

    kind: ClassVar[str]
    """What one of this kind is called."""
    modes: ClassVar[Mapping[str, str]]
    """The ways in which it gives, each with the beginning of a sentence that says so."""
    breaks_in: ClassVar[BreaksIn]
    """What has broken where it has given."""
    limits_wood: ClassVar[bool] = False
    """Whether its tractions settle limits of the wood beside it (``wood_limits``)."""

    sides: tuple[PieceWood, ...]
    surface: BondedSurface
    edges: Integers
    cells: Integers

    @property
    def name(self) -> str:
        """What it is called, unlike any other of its corner."""
        return self.surface.name

    @property
    def part(self) -> str:
        """What an answer says has given: itself."""
        return self.name

    @property
    def bears_one_way(self) -> bool:
        """Whether it bears pressure only, so that what touches must be found."""
        return False

    def tractions(self, u: Array) -> Array:
        """Local tractions (p, 2) in MPa under displacements ``u``, as far as it is whole."""
        return self.surface.tractions(u)

    @property
    def area(self) -> float:
        """Area in mm2 of all its faces."""
        return float(self.surface.weight.sum())

    @abstractmethod
    def place_at(self, point: int) -> str:
        """What the place of a point of its surface is called."""

    @abstractmethod
    def share_of_strength(self, traction: Array) -> Array:
        """Share (p,) of its elastic strength that every point uses, 1 where it first is damaged."""

    def share_of_fastener(self, traction: Array) -> Array:
        """Share (p,) of its own strength that the fastener uses which it grips or bends; else none."""
        return np.zeros(len(traction))

    @abstractmethod
    def law(self, crushing: bool = True) -> TractionLaw:
        """Its traction-separation law; without ``crushing`` faces bear whatever presses on them."""

    @property
    @abstractmethod
    def excess(self) -> float:
        """By how much toughness must grow for what is stored at the strength (``BRITTLE``), at least 1."""

    @abstractmethod
    def second_part(self, traction: Array) -> Array:
        """Part (p,) of its second way to give in the square of the share of strength, see ``mode_of``."""

    @abstractmethod
    def mode_of(self, second_part: float) -> str:
        """Name of the mode by the part that its second way to give has."""

    @property
    @abstractmethod
    def cov(self) -> float:
        """Coefficient of variation of its strength."""

    @property
    @abstractmethod
    def scatter_row(self) -> str:
        """The row of the glue table whose scatter it has, or the wood."""

    @abstractmethod
    def scaled(self, factor: float) -> Self:
        """The same with strengths and toughnesses times a factor; its stiffness stays."""

    @abstractmethod
    def growth_to(self, other: Self) -> float:
        """The most by which a strength or toughness of another of its kind is larger, as a factor."""

    @property
    def believed_ends(self) -> tuple[Self, Self] | None:
        """The same as weak and as strong as a fastener's grip can be believed to be; None if it is none."""
        return None

    def moment_on(self, piece: str, traction: Array, about: Array) -> float | None:
        """Anticlockwise moment in N mm that it passes to a piece about a place (2,); None if not touching."""
        if piece not in (self.surface.minus, self.surface.plus):
            return None
        arm = self.surface.points - about
        force = self.surface.forces_on_minus(traction)
        turning = float((arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]).sum())
        return turning if piece == self.surface.minus else -turning

    def beside(self, points: Array) -> Flags:
        """Which places (n, 2) of its pieces are so near to it that they belong to it."""
        return np.zeros(len(points), dtype=bool)

    def judged_from(self, piece: PieceWood) -> list[float]:
        """Where, in mm across the grain of a piece of it, judging begins beside it: a row is laid there."""
        return []

    def wood_limits(self, traction: Array) -> tuple[Limit, ...]:
        """Limits of the wood beside it that its tractions for P = 1 N alone settle."""
        return ()


@dataclass(frozen=True)
class Connection(Hold):
    """Two pieces glued together; ``joining`` says where it lies in the layout."""

    fibre_modes: ClassVar[frozenset[str]] = frozenset()
    """Those of them that tear fibres of the wood beside it, which a maker may note as glue or as wood."""
    breaks_in: ClassVar[BreaksIn] = "glue"
    is_glued: ClassVar[bool] = True
    """Whether glue holds it, or its faces only touch."""

    joining: Joining

    @property
    def words(self) -> SurfaceWords:
        """What it and its places are called."""
        return self.joining.words

    @property
    def legend(self) -> str:
        """Kind and name, for the legend of a picture."""
        return f"{self.kind}: {self.name}"

    def place_at(self, point: int) -> str:
        """What the place of a point of its surface is called."""
        return self.joining.place_at(as_point(self.surface.points[point]))

    def pressing_on(self, piece: str, traction: Array) -> Array:
        """Forces (p,) in N, none below zero, with which its faces press on a piece square to themselves."""
        return np.zeros(len(traction))

    @abstractmethod
    def elastic_limit(self, traction: Array) -> Limit:
        """The limit by mean stress over its critical length, from local tractions (p, 2) for P = 1 N."""

    @property
    def credible(self) -> tuple[float, float]:
        """Factors on its strengths and toughnesses between which ``scatter_row`` can be believed; 1 and 1
        where that is no judgement on a glue.
        """
        return 1.0, 1.0

    @property
    def crossed_ends(self) -> tuple[Self, Self] | None:
        """The same as weak and as strong across crossed grain as can be believed; None if none crosses."""
        return None

    @property
    @abstractmethod
    def pairing(self) -> str:
        """The grain of the two faces: side_to_side, side_to_end, end_to_end or grain_45."""

    @property
    def effects(self) -> tuple[str, ...]:
        """What workmanship and moisture did to it, in plain sentences."""
        return ()

    def pressed_too_hard(self, traction: Array) -> Flags:
        """Where (p,) its faces press on each other harder than the wood can bear."""
        return np.zeros(len(traction), dtype=bool)

    @abstractmethod
    def recorded(self) -> tuple[tuple[str, ...], list[MaterialValue]]:
        """Notes and values for the record of materials."""

    def curves(self, traction: Array) -> tuple[Curve, ...]:
        """What can be drawn along it."""
        return ()

    def fields(self, traction: Array) -> tuple[Field, ...]:
        """What can be drawn over it."""
        return ()

    @abstractmethod
    def columns(self, traction: Array) -> dict[str, Array]:
        """Columns (p,) of the table of tractions besides those that every connection has."""
