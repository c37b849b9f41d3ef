"""Bridle and half-lap: the plane model against a solid; by hand: python -m tests.studies.predict.solid_lap

Some minutes; it keeps its table in ``lopsided.txt``. The solid is that of ``solid_corner``. A bridle
is symmetric about the middle of its thickness, and half of it is modelled. A half-lap is not: it is modelled
whole and held by no more than stops rigid motion, so its legs may bend out of the plane and twist. One cause
after another is then switched off:

- ``pair``: two half-laps back to back and grown together, which is a bridle of twice the thickness with a
  tenon as thick as one board, each with half of the load: the plane stays plane by symmetry;
- ``plane held``: every point halfway through the thickness of either leg stays in the plane;
- ``centres held``: only those on the centre line of either leg do: they may twist, but not bend sideways;
- ``tips held``: an end face that is pushed may neither move across the plane nor turn out of it, as by
  friction between it and what pushes. Of a cantilever it is the clamped one, which holds nothing back.

All is linear and uncracked, so a corner that is opened has the figures of the one that is closed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import chain, product
from math import sqrt
from pathlib import Path
from typing import Any, Literal

import numpy as np
import skfem
from numpy.typing import NDArray

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.solve import ElasticSystem
from glueline.geometries import BOARD_A, BOARD_B, Boards, Bridle, HalfLap
from glueline.studies.corner.connections.cheek import GluedCheek
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.piece import Constants
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.measures import moments_on_a, pressure_centroid
from tests.studies.corners import specimen
from tests.studies.predict.solid_corner import (
    NEAR,
    Grid,
    Solid,
    bulk,
    film,
    glue_film,
    plane_compliance_of,
    solid_of,
    solid_stiffness,
    solve_by_symmetry,
)

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
Tip = Literal["A", "B"]
Held = Callable[[Solid], Array]

KEPT = Path(__file__).parent / "lopsided.txt"
DIAGONAL, CANTILEVER = "diagonal compression", "cantilever in"
FRAME = Boards(19.0, 60.0, 200.0, "frame")
HELD_TIPS: dict[str, tuple[Tip, ...]] = {DIAGONAL: ("A", "B"), CANTILEVER: ("B",)}
STIFF = 3000.0
"""Times as stiff in shear."""


def lap(arrangement: str = DIAGONAL, boards: Boards = FRAME, wood: str = "white oak") -> Specimen:
    """A half-lap with plain PVA."""
    return specimen("half-lap", arrangement, boards, wood, HalfLap())


def pair(own: Specimen) -> Specimen:
    """Two half-laps back to back."""
    boards = replace(own.boards, thickness=2 * own.boards.thickness)
    return replace(own, kind="bridle", joint=Bridle(own.boards.thickness), boards=boards)


def bridle(
    arrangement: str = DIAGONAL, boards: Boards = FRAME, wood: str = "white oak", joint: Any = None
) -> Specimen:
    """A bridle with plain PVA, its tenon a third of the thickness."""
    return specimen("bridle", arrangement, boards, wood, joint or Bridle())


def loaded(own: Specimen, grid: Grid, whole: bool = False) -> Solid:
    """A solid with the load of its own arrangement; a clamp's reaction is spread linearly over the end."""
    solid = solid_of(own, grid, whole)
    if own.arrangement.name == DIAGONAL:
        return solid
    if own.arrangement.name != CANTILEVER:
        raise ValueError(f"no solid is loaded by {own.arrangement.name}")
    leg, depth = own.boards.leg, own.boards.depth_a
    inward = np.array([0.0, 1.0, 0.0])
    load = np.kron(end_share(solid, "A") - end_share(solid, "B"), inward)
    load -= (leg - depth / 2) * end_turn(solid, "B", "z")
    return replace(solid, load=load)


def end_share(solid: Solid, tip: Tip) -> Array:
    """Share of a unit force at every node (n,) where it is even over a leg's end face."""
    return end_weights(solid, tip)[0]


def end_weights(solid: Solid, tip: Tip) -> Array:
    """Mean over a leg's end face of every node's shape function (4, n), plain and times x, y and z."""

    @skfem.LinearForm
    def weighted(v, w):  # type: ignore[no-untyped-def]
        return (w.x[w.power - 1] if w.power else 1.0) * v

    axis, leg = {"A": 0, "B": 1}[tip], solid.own.boards.leg
    facets = solid.mesh.facets_satisfying(lambda x: np.abs(x[axis] - leg) < NEAR, boundaries_only=True)
    basis = skfem.FacetBasis(solid.mesh, solid.basis.elem, facets=facets, intorder=5)
    found = np.stack([np.asarray(weighted.assemble(basis, power=power)) for power in range(4)])
    return np.asarray(found / found[0].sum())


def end_turn(solid: Solid, tip: Tip, about: str) -> Array:
    """Couple of 1 N mm about the axis x, y or z by tractions linear over a leg's end face, forces (3 n,)."""
    weights = end_weights(solid, tip)
    centre = weights[1:].sum(axis=1)
    axis = np.eye(3)["xyz".index(about)]
    force = np.cross(axis, (weights[1:] - centre[:, None] * weights[0]).T)
    couple = np.cross(solid.basis.doflocs.T - centre, force).sum(axis=0) @ axis
    return np.asarray(force.ravel() / couple)


def with_stiff_legs(solid: Solid) -> Solid:
    """The same with legs that cannot shear across the plane, nor strain across it by Poisson's effect.

    Halfway to the plane model: a leg's cross-section then stays plane through its thickness, as if what it
    hands to a tenon and what to a shoulder had the whole leg to even out in.
    """
    own, mesh = solid.own, solid.mesh
    pieces = build_corner(own).pieces
    middle = mesh.p[:, mesh.t].mean(axis=1)
    leg = np.maximum(middle[0], middle[1]) > own.boards.depth_a
    of_a = np.arange(mesh.t.shape[1]) < solid.split
    stiffness = solid.stiffness
    for name, cells, turned in ((BOARD_A, leg & of_a, False), (BOARD_B, leg & ~of_a, True)):
        constants = pieces[name].constants
        stiff = Constants(
            replace(constants.solid, poisson_13=0.0, poisson_23=0.0),
            STIFF * constants.shear_along_across,
            STIFF * constants.shear_transverse_across,
        )
        more = solid_stiffness(stiff, turned) - solid_stiffness(constants, turned)
        stiffness = stiffness + bulk(mesh, np.flatnonzero(cells), more, solid.basis.N)
    return replace(solid, stiffness=stiffness)


def free(solid: Solid) -> Array:
    """Displacements with three pins in the plane and three across it, none of which carries anything."""
    held = pins(solid)
    return solid.solve(held, np.zeros(0, dtype=int))


def pins(solid: Solid) -> Integers:
    """Six unknowns that stop rigid motion, at points halfway through the thickness."""
    leg, depth = solid.own.boards.leg, solid.own.boards.depth_a
    middle = halfway(solid)
    tip, inner, other = (solid.nearest(middle, *place) for place in ((leg, 0.0), (depth, 0.0), (0.0, leg)))
    return np.array([3 * tip, 3 * tip + 1, 3 * inner + 1, 3 * tip + 2, 3 * inner + 2, 3 * other + 2])


def halfway(solid: Solid) -> Integers:
    """Nodes halfway through the thickness."""
    return np.flatnonzero(np.abs(solid.basis.doflocs[2] - solid.own.boards.across_a / 2) < NEAR)


def with_legs_held(solid: Solid, only_centres: bool) -> Array:
    """Displacements when points halfway through the legs stay in the plane, or only those of centre lines."""
    depth, middle = solid.own.boards.depth_a, halfway(solid)
    x, y, _ = solid.basis.doflocs[:, middle]
    chosen = np.maximum(x, y) > depth - NEAR
    if only_centres:
        chosen &= np.abs(np.minimum(x, y) - depth / 2) < NEAR
    across = 3 * middle[chosen] + 2
    return solid.solve(np.concatenate([across, pins(solid)[:3]]), across)


def with_tips_held(solid: Solid) -> Array:
    """Displacements when end faces keep their place and both their turns out of the plane, in the mean.

    By flexibility: what holds is found from the free corner's motion and from that by unit forces there,
    whose sum is in equilibrium.
    """
    count = solid.basis.N
    forces = []
    for tip in HELD_TIPS[solid.own.arrangement.name]:
        forces.append(np.kron(end_share(solid, tip), [0.0, 0.0, 1.0]))
        forces += [end_turn(solid, tip, "x"), end_turn(solid, tip, "y")]
    unit = np.stack(forces, axis=1)
    place = solid.basis.doflocs
    rigid = np.zeros((3 * count, 3))
    rigid[2::3] = np.stack([np.ones(count), place[1], -place[0]], axis=1)
    # Turning about x and y moves points off the middle plane along the plane as well.
    height = place[2] - solid.own.boards.across_a / 2
    rigid[1::3, 1], rigid[0::3, 2] = -height, height
    held = pins(solid)
    moved = solid.solve(held, held, np.column_stack([solid.load, unit]))
    own, by_unit = moved[:, 0], moved[:, 1:]
    size = unit.shape[1]
    system = np.zeros((size + 3, size + 3))
    system[:size, :size], system[:size, size:] = unit.T @ by_unit, unit.T @ rigid
    system[size:, :size] = rigid.T @ unit
    answer = np.linalg.solve(system, np.concatenate([-unit.T @ own, np.zeros(3)]))
    return np.asarray(own + by_unit @ answer[:size] + rigid @ answer[size:])


HELD: dict[str, Held] = {
    "free": free,
    "tips held": with_tips_held,
    "centres held": lambda solid: with_legs_held(solid, True),
    "plane held": lambda solid: with_legs_held(solid, False),
}


def compliance(solid: Solid, u: Array) -> float:
    """Compliance in mm/N of what is modelled: a half carries the whole of P."""
    return float(solid.load @ u)


def free_of_half_lap(own: Specimen, grid: Grid) -> float:
    """Compliance in mm/N of a half-lap that may bend out of the plane and twist."""
    solid = loaded(own, grid, whole=True)
    return compliance(solid, free(solid))


def one_of_a_pair(own: Specimen, grid: Grid, stiff_legs: bool = False) -> float:
    """Compliance in mm/N of a half-lap that its twin keeps in the plane; ``grid`` is that of the half-lap."""
    # A tenon's half gets half of the elements.
    return 2 * of_bridle(pair(own), replace(grid, across=2 * grid.across), stiff_legs)


def of_bridle(own: Specimen, grid: Grid, stiff_legs: bool = False) -> float:
    """Compliance in mm/N of a bridle, on request with legs that cannot shear across the plane."""
    solid = loaded(own, grid)
    solid = with_stiff_legs(solid) if stiff_legs else solid
    return compliance(solid, solve_by_symmetry(solid)) / 2


def turns(solid: Solid, u: Array) -> tuple[float, float]:
    """How much A's end face turns more than B's, rad for 1 N: about the corner's bisector, the load line.

    Half-turned about the bisector a half-lap is itself, A and B exchanged, under the same diagonal load: so
    the first is nothing, and flat platens that keep both ends from tilting toward them hold nothing back.
    """
    x, y = (float((end_turn(solid, "A", axis) - end_turn(solid, "B", axis)) @ u) for axis in "xy")
    return (x + y) / sqrt(2), (y - x) / sqrt(2)


def plane_share(own: Specimen) -> tuple[float, Array]:
    """The cheeks' share of the moment on board A by the plane model, and the place (2,) it is taken about."""
    corner = build_corner(own)
    stiffness = bulk_stiffness(corner.model)
    for surface in corner.surfaces:
        stiffness = stiffness + surface.stiffness_matrix()
    u = ElasticSystem(corner.model, stiffness).solve(corner.loading).u
    tractions = {hold.name: hold.tractions(u) for hold in corner.holds}
    about = pressure_centroid(corner, tractions)
    moments = moments_on_a(corner, tractions, about)
    cheeks = sum(moments[each.part] for each in corner.connections if isinstance(each, GluedCheek))
    return cheeks / sum(moments.values()), about


def solid_share(solid: Solid, u: Array, about: Array) -> float:
    """The cheeks' share of the moment on board A about a place (2,), the same as in the plane model."""
    return film_moment(solid, u, about, True) / film_moment(solid, u, about, False)


def film_moment(solid: Solid, u: Array, about: Array, only_cheeks: bool) -> float:
    """Moment in N mm about z that the film passes to board A about a place (2,)."""
    matrix = glue_film(solid.mesh, solid.split, film(solid.own), solid.basis, only_cheeks)
    nodes = np.unique(solid.basis.element_dofs[:, : solid.split])
    force = -(matrix @ u).reshape(-1, 3)[nodes]
    arm = solid.basis.doflocs[:2, nodes].T - about
    return float((arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]).sum())


COARSE, FINE, FINEST = Grid(6, 10, 2), Grid(8, 14, 3), Grid(10, 16, 4)
BOARDS: tuple[tuple[str, Boards], ...] = (
    ("white oak", FRAME),
    ("hard maple", FRAME),
    ("eastern white pine", FRAME),
    ("white oak", Boards(12.0, 60.0, 200.0, "frame")),
    ("white oak", Boards(28.0, 60.0, 200.0, "frame")),
    ("white oak", Boards(19.0, 40.0, 200.0, "frame")),
    ("white oak", Boards(19.0, 90.0, 300.0, "frame")),
    ("white oak", Boards(19.0, 60.0, 300.0, "frame")),
)


def causes() -> Iterator[str]:
    """Plane model over solid by what is held, for grids and arrangements."""
    for arrangement, grid in (
        (DIAGONAL, COARSE),
        (DIAGONAL, FINE),
        (DIAGONAL, FINEST),
        (CANTILEVER, COARSE),
        (CANTILEVER, FINE),
    ):
        own = lap(arrangement)
        plane = plane_compliance_of(own)
        solid = loaded(own, grid, whole=True)
        found = [compliance(solid, hold(solid)) for hold in HELD.values()]
        found += [one_of_a_pair(own, grid, stiff) for stiff in (False, True)]
        yield (
            f"{arrangement:22s}{f'{grid.depth}, {grid.leg}, {grid.across}':>12s}{1e3 * plane:14.4f}"
            f"{1e3 * found[0]:18.4f}" + "".join(f"{plane / each:18.3f}" for each in found)
        )


def of_bridles() -> Iterator[str]:
    """Bridles by arrangement and grid, also with stiff legs, and the cheeks' shares of the moment."""
    for arrangement, grid in product((DIAGONAL, CANTILEVER), (COARSE, FINE, FINEST)):
        own = bridle(arrangement)
        plane, (share, about) = plane_compliance_of(own), plane_share(own)
        solid = loaded(own, grid)
        row = f"{arrangement:22s}{f'{grid.depth}, {grid.leg}, {grid.across}':>12s}{1e3 * plane:14.4f}"
        shares = ""
        for each in (solid, with_stiff_legs(solid)):
            u = solve_by_symmetry(each)
            row += f"{2 * plane / compliance(each, u):18.3f}"
            shares += f"{solid_share(each, u, about):18.2f}"
        yield f"{row}{share:18.2f}{shares}"


def over_boards() -> Iterator[str]:
    """Half-lap and bridle on several boards and woods, diagonal compression, with the cheeks' shares."""
    for wood, boards in BOARDS:
        half, whole = lap(boards=boards, wood=wood), bridle(boards=boards, wood=wood)
        row = f"{wood:20s}{f'{boards.thickness:g} x {boards.width:g} x {boards.leg:g}':>16s}"
        for own, is_lap in ((half, True), (whole, False)):
            plane, (share, about) = plane_compliance_of(own), plane_share(own)
            coarse = free_of_half_lap(own, COARSE) if is_lap else of_bridle(own, COARSE)
            solid = loaded(own, FINE, whole=is_lap)
            u = free(solid) if is_lap else solve_by_symmetry(solid)
            fine = compliance(solid, u) / (1 if is_lap else 2)
            row += f"{plane / coarse:11.3f}{plane / fine:8.3f}{share:8.2f}{solid_share(solid, u, about):8.2f}"
        yield row


def columns(names: Sequence[str]) -> str:
    """Heads of 18 letters beside grid and plane compliance."""
    return f"{'':22s}{'grid':>12s}{'plane, mm/kN':>14s}" + "".join(f"{name:>18s}" for name in names)


HEADS = f"{'coarser':>11s}{'finer':>8s}{'plane':>8s}{'solid':>8s}"
SECTIONS: tuple[tuple[tuple[str, ...], Callable[[], Iterator[str]]], ...] = (
    (
        (
            "Half-laps and bridles: compliance of the plane model, as shipped, over that of a solid.",
            "Plain PVA, flat sawn; boards thickness x width x leg in mm; linear and uncracked: an opened",
            "corner has the figures of the closed one. What each column holds back: solid_lap.py beside it;",
            "grid: elements over the width of a board, a leg, half of the thickness (a bridle: each part).",
            "",
            "Half-lap, white oak, 19 x 60 x 200: one cause after another switched off in the solid.",
            columns(("solid, mm/kN", *HELD, "pair", "pair, stiff legs")),
        ),
        causes,
    ),
    (
        (
            "",
            "Bridle, white oak, 19 x 60 x 200, tenon a third of it; share: of the corner moment, in the",
            "cheeks, about the place where the plane model's faces press on each other.",
            columns(("plane/solid", "with stiff legs", "share: plane", "solid", "with stiff legs")),
        ),
        of_bridles,
    ),
    (
        (
            "",
            "Diagonal compression; grids 6, 10, 2 and 8, 14, 3.",
            f"{'':36s}{'half-lap, free':>19s}{'share':>16s}{'bridle':>19s}{'share':>16s}",
            f"{'':36s}{HEADS}{HEADS}",
        ),
        over_boards,
    ),
)


def main() -> None:
    """Compute, print and keep."""
    lines: list[str] = []
    for heads, rows in SECTIONS:
        for line in chain(heads, rows()):
            print(line, flush=True)
            lines.append(line)
    KEPT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
