"""From a specimen to a model that can be solved: layout, mesh, bodies, bonds and load arrangements."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, pi

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.loads import Arrangement, edge_load, even_load, even_moment
from glueline.fem.model import Body, Mesh, Model
from glueline.fem.orthotropy import OrthotropicSolid, plane_stiffness
from glueline.fem.ties import BondArea, BondLine, bonded_surfaces
from glueline.geometries import BOARD_A, BOARD_B, JOINTS, Layout
from glueline.geometries.layout import Cheek, GlueLine, Part
from glueline.geometries.mesh import LayoutMesh, apex_patches, mesh_layout
from glueline.materials import Bond, CheekBond, Wood, bond, cheek_bond
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Constants:
    """Constants of one piece as it lies: ``solid`` in plane axes, shear moduli of the planes across it."""

    solid: OrthotropicSolid
    shear_along_across: float
    shear_transverse_across: float


@dataclass(frozen=True)
class CornerModel:
    """Everything the solver needs about one specimen.

    ``bonds`` by surface name; ``arrangements`` by name; ``assumptions`` tells for every piece and thickness
    the share of the strain across the plane that is held back, and why. Models with equal ``made_from`` and
    ``role`` have the same bodies, whatever their glue, strengths and load.
    """

    specimen: Specimen
    layout: Layout
    mesh: LayoutMesh
    model: Model
    surfaces: tuple[BondedSurface, ...]
    bonds: dict[str, Bond | CheekBond]
    arrangements: dict[str, Arrangement]
    constants: dict[str, Constants]
    assumptions: tuple[str, ...]
    mesh_seconds: float
    made_from: tuple[object, ...]
    role: str


def radial_in_plane(specimen: Specimen, member: str) -> bool:
    """Whether the in-plane direction across the grain is radial: flat-sawn boards on edge, and splines."""
    if member == "spline":
        return True
    return (specimen.boards.lay == "box") == (specimen.sawn == "flat")


def wood_of(specimen: Specimen, member: str) -> Wood:
    """The wood of a member: a, b or spline."""
    if member == "a":
        return specimen.wood_a
    return specimen.wood_b if member == "b" else (specimen.spline_wood or specimen.wood_a)


def piece_constants(wood: Wood, radial: bool) -> Constants:
    """Engineering constants with axis 1 along the grain, 2 across it in the plane, 3 across the plane."""
    tr = wood.poisson_rt * wood.modulus_tangential / wood.modulus_radial
    if radial:
        solid = OrthotropicSolid(
            wood.modulus_along,
            wood.modulus_radial,
            wood.modulus_tangential,
            wood.shear_modulus_lr,
            wood.poisson_lr,
            wood.poisson_lt,
            wood.poisson_rt,
        )
        return Constants(solid, wood.shear_modulus_lt, wood.shear_modulus_rt)
    solid = OrthotropicSolid(
        wood.modulus_along,
        wood.modulus_tangential,
        wood.modulus_radial,
        wood.shear_modulus_lt,
        wood.poisson_lt,
        wood.poisson_lr,
        tr,
    )
    return Constants(solid, wood.shear_modulus_lr, wood.shear_modulus_rt)


def out_of_plane_constraint(part: Part) -> float:
    """Share of the strain across the plane that is held back: 1 - depth / width, at least 0.

    A board is free at its edges over about half its depth on either side (Saint-Venant's principle), and
    held in between; one narrower than deep is free throughout. It lies between plane stress (0) and plane
    strain (1).
    """
    return max(0.0, 1.0 - part.depth / part.single)


def cheek_stiffness(corner: Layout, cheek: Cheek, glue: float, constants: dict[str, Constants]) -> Array:
    """Mean stiffness (2, 2) in N/mm3 of a cheek's faces, the wood's own shear in series with the glue.

    C = I / k_s + sum over both sides of (c / 3) R diag(1 / G_along_across, 1 / G_transverse_across) R^T:
    shear that falls linearly to nothing over the distance c stores the energy of c / 3 of even shear.
    """
    total = np.zeros((2, 2))
    for face in cheek.faces:
        compliance = np.eye(2) / glue
        for name, away in ((cheek.minus, face.to_no_shear_minus), (cheek.plus, face.to_no_shear_plus)):
            angle = corner.piece(name).grain_angle
            turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
            own = constants[name]
            soft = np.diag([1 / own.shear_along_across, 1 / own.shear_transverse_across])
            compliance += away / 3 * turn @ soft @ turn.T
        total += np.linalg.inv(compliance)
    return total / len(cheek.faces)


def grain_to_face(layout: Layout, line: GlueLine, piece: str) -> float:
    """Angle in rad, 0 to pi/2, between a piece's grain and the face of a glue line."""
    along = atan2(line.end[1] - line.start[1], line.end[0] - line.start[0])
    angle = abs(along - layout.piece(piece).grain_angle) % pi
    return min(angle, pi - angle)


def build_corner(
    specimen: Specimen,
    element_size: float | None = None,
    reuse: Reuse | None = None,
    role: str = "corner",
) -> CornerModel:
    """Lay out, mesh and assemble the model of a specimen. Raises geometries.mesh.MeshFailure.

    ``role`` is the name under which ``reuse`` keeps its mesh.
    """
    started = time.perf_counter()
    shape = (specimen.kind, specimen.joint, specimen.boards, element_size)
    layout = JOINTS[specimen.kind].layout(specimen.joint, specimen.boards)
    reuse = reuse or Reuse()
    mesh = reuse.of(f"{role}: mesh", shape, lambda: mesh_layout(layout, element_size))
    mesh_seconds = time.perf_counter() - started
    constants = {
        piece.name: piece_constants(wood_of(specimen, piece.member), radial_in_plane(specimen, piece.member))
        for piece in layout.pieces
    }
    bodies, assumptions = _bodies(layout, mesh, constants)
    bonds = _bonds(specimen, layout)
    model = Model(
        Mesh(mesh.nodes, mesh.triangles),
        bodies,
        (*_bond_lines(layout, mesh, bonds), *_bond_areas(layout, mesh, bonds, constants)),
    )
    return CornerModel(
        specimen=specimen,
        layout=layout,
        mesh=mesh,
        model=model,
        surfaces=bonded_surfaces(model),
        bonds=bonds,
        arrangements=_arrangements(layout, mesh, model, specimen),
        constants=constants,
        assumptions=assumptions,
        mesh_seconds=mesh_seconds,
        made_from=(shape, tuple(constants.items())),
        role=role,
    )


def _bodies(
    layout: Layout, mesh: LayoutMesh, constants: dict[str, Constants]
) -> tuple[tuple[Body, ...], tuple[str, ...]]:
    bodies, reasons = [], []
    for piece in layout.pieces:
        cells, thickness, stiffness = [], [], []
        for index, cell in enumerate(layout.cells):
            if piece.name not in cell.parts:
                continue
            part = cell.parts[piece.name]
            held = out_of_plane_constraint(part)
            own = np.flatnonzero(mesh.cell_of == index)
            cells.append(own)
            thickness.append(np.full(len(own), part.across))
            plane = plane_stiffness(constants[piece.name].solid, held, piece.grain_angle)
            stiffness.append(np.broadcast_to(plane, (len(own), 3, 3)))
            reasons.append(
                f"{piece.name}, {part.single:.3g} mm wide and {part.depth:.3g} mm deep: {100 * held:.0f} % "
                "of the strain across the plane is held back (0 % plane stress, 100 % plane strain)"
            )
        bodies.append(
            Body(
                piece.name,
                np.concatenate(cells),
                np.concatenate(thickness),
                np.concatenate(stiffness),
                piece.grain_angle,
            )
        )
    return tuple(bodies), tuple(dict.fromkeys(reasons))


def _bonds(specimen: Specimen, layout: Layout) -> dict[str, Bond | CheekBond]:
    bonds: dict[str, Bond | CheekBond] = {}

    def wood(name: str) -> Wood:
        return wood_of(specimen, layout.piece(name).member)

    for line in layout.glue_lines:
        bonds[line.name] = bond(
            specimen.glue,
            wood(line.minus),
            grain_to_face(layout, line, line.minus),
            wood(line.plus),
            grain_to_face(layout, line, line.plus),
            specimen.workmanship,
        )
    for cheek in layout.cheeks:
        bonds[cheek.name] = cheek_bond(
            specimen.glue, wood(cheek.minus), wood(cheek.plus), specimen.workmanship
        )
    return bonds


def _bond_lines(layout: Layout, mesh: LayoutMesh, bonds: dict[str, Bond | CheekBond]) -> tuple[BondLine, ...]:
    lines = []
    for line in layout.glue_lines:
        edges = mesh.edges_on(line.start, line.end)
        middles = np.linalg.norm(mesh.nodes[edges[:, 2]] - np.array(line.start), axis=1)
        glue = bonds[line.name]
        if not isinstance(glue, Bond):
            raise TypeError(f"{line.name} is a glue line but has the bond of a cheek")
        lines.append(
            BondLine(
                line.name,
                line.minus,
                line.plus,
                edges,
                np.array([line.width_at(float(distance)) for distance in middles]),
                glue.opening_stiffness,
                glue.shear_stiffness,
            )
        )
    return tuple(lines)


def _bond_areas(
    layout: Layout,
    mesh: LayoutMesh,
    bonds: dict[str, Bond | CheekBond],
    constants: dict[str, Constants],
) -> tuple[BondArea, ...]:
    areas = []
    for cheek in layout.cheeks:
        cells = np.flatnonzero(np.isin(mesh.cell_of, cheek.cells))
        stiffness = cheek_stiffness(layout, cheek, bonds[cheek.name].shear_stiffness, constants)
        areas.append(
            BondArea(
                cheek.name,
                cheek.minus,
                cheek.plus,
                cells,
                np.broadcast_to(stiffness, (len(cells), 2, 2)).copy(),
                len(cheek.faces),
            )
        )
    return tuple(areas)


def _arrangements(
    layout: Layout, mesh: LayoutMesh, model: Model, specimen: Specimen
) -> dict[str, Arrangement]:
    """The five load arrangements as unit loads and three supports each, all statically determinate.

    A load at a tip that misses its line is the load on its line and a couple on the face.
    """
    at_apex = specimen.load_off_line if specimen.arrangement == "apex press" else 0.0
    at_tips = specimen.load_off_line - at_apex
    boards = layout.boards
    tip_a = mesh.edges_on((boards.leg, 0.0), (boards.leg, boards.depth_a))
    tip_b = mesh.edges_on((0.0, boards.leg), (boards.depth_b, boards.leg))
    across = np.array([boards.depth_b / 2 - boards.leg, boards.leg - boards.depth_a / 2])
    toward_b = across / np.linalg.norm(across)
    upward = np.array([-toward_b[1], toward_b[0]])  # from the tips' line toward the outer corner

    def at_a(direction: Array) -> Array:
        return even_load(model, BOARD_A, tip_a, direction)

    def at_b(direction: Array) -> Array:
        return even_load(model, BOARD_B, tip_b, direction)

    if upward @ np.array([1.0, 1.0]) > 0:
        upward = -upward
    couple_a = even_moment(model, BOARD_A, tip_a, np.array([1.0, 0.0]))
    couple_b = even_moment(model, BOARD_B, tip_b, np.array([0.0, 1.0]))
    turn = at_tips * float(toward_b[0] * upward[1] - toward_b[1] * upward[0])
    squeeze = at_a(toward_b) - at_b(toward_b) + turn * (couple_a - couple_b)
    standing = np.stack([at_a(upward), at_b(upward), at_a(toward_b) + at_b(toward_b)])
    clamped = np.stack(
        [
            at_b(np.array([1.0, 0.0])),
            at_b(np.array([0.0, 1.0])),
            couple_b,
        ]
    )
    inward = at_a(np.array([0.0, 1.0])) + at_tips * couple_a
    press = _apex_load(layout, mesh, model, -upward, at_apex)
    return {
        item.name: item
        for item in (
            Arrangement("diagonal compression", squeeze, standing),
            Arrangement("diagonal tension", -squeeze, standing),
            Arrangement("apex press", press, standing),
            Arrangement("cantilever in", inward, clamped),
            Arrangement("cantilever out", -inward, clamped),
        )
    }


def _apex_load(
    layout: Layout, mesh: LayoutMesh, model: Model, direction: Array, off_line: float = 0.0
) -> Array:
    """Unit load over a quarter of the depth on each outer face, shared by the pieces by their width there.

    ``off_line`` mm toward board A's tip, one of the two patches carries more of it. Raises ValueError where
    the other would have to pull.
    """
    patches = np.array(apex_patches(layout))
    length = np.linalg.norm(patches[:, 1] - patches[:, 0], axis=1)
    along = patches.mean(axis=1) @ np.array([direction[1], -direction[0]])
    share = length / length.sum() + off_line / (along[0] - along[1]) * np.array([1.0, -1.0])
    if share.min() < 0:
        raise ValueError(f"an apex load {off_line:g} mm off its line does not press on both faces")
    load = np.zeros(model.unknowns)
    for (start, end), pressure in zip(patches, share / length, strict=True):
        edges = mesh.edges_on(start, end)
        for body in model.bodies:
            reached = np.asarray(np.isin(edges, mesh.triangles[body.cells]).all(axis=1))
            for edge, here in zip(edges, reached, strict=True):
                if not here:
                    continue
                width = _width_at(body, mesh, edge)
                load += edge_load(model, body.name, edge[None], width, _constant(direction * pressure))
    total_force = np.array([load[0::2].sum(), load[1::2].sum()])
    return np.asarray(load / (total_force @ direction))


def _width_at(body: Body, mesh: LayoutMesh, edge: NDArray[np.int64]) -> float:
    """Size across the plane of the body's cell that owns an outer edge."""
    owner = np.flatnonzero(np.isin(mesh.triangles[body.cells], edge).sum(axis=1) == 3)
    return float(body.thickness[owner[0]])


def _constant(value: Array) -> Callable[[Array], Array]:
    return lambda points: np.tile(value, (len(points), 1))


def corner_moment_per_load(layout: Layout, arrangement: str, off_line: float = 0.0) -> float:
    """Moment in N mm at the inner corner (t, t) for P = 1 N, ``off_line`` mm off its line.

    Diagonal P (L - 1.5 t)/sqrt 2, apex P (L - t/2)/(2 sqrt 2), cantilever P (L - t), for equal boards;
    here from the statics of the forces at board A's tip, whatever the two depths.
    """
    boards = layout.boards
    inner = np.array(layout.inner_corner)
    tip = np.array([boards.leg, boards.depth_a / 2])
    across = np.array([boards.depth_b / 2, boards.leg]) - tip
    unit = across / np.linalg.norm(across)
    if arrangement.startswith("diagonal"):
        force = unit
    elif arrangement == "apex press":
        # An apex load toward board A's tip stands more on it, as on a beam between the tips.
        share = _tip_share(boards.leg, boards.depth_a, boards.depth_b) + off_line / np.linalg.norm(across)
        force = share * np.array([unit[1], -unit[0]])
        off_line = 0.0
    else:
        force = np.array([0.0, 1.0])
    arm = tip - inner
    return float(abs(arm[0] * force[1] - arm[1] * force[0]) + off_line)


def _tip_share(leg: float, depth_a: float, depth_b: float) -> float:
    """Share of an apex load that stands on board A's tip, by statics about board B's tip."""
    tip_a, tip_b = np.array([leg, depth_a / 2]), np.array([depth_b / 2, leg])
    across = tip_b - tip_a
    length = float(np.linalg.norm(across))
    # The patches are even loads of length depth_b / 4 along x and depth_a / 4 along y.
    patch_x, patch_y = depth_b / 4, depth_a / 4
    centre = np.array([patch_x**2 / 2, patch_y**2 / 2]) / (patch_x + patch_y)
    return float((tip_b - centre) @ across / length**2)
