"""From a specimen to a model that can be solved: layout, mesh, bodies, bonds and load arrangements."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.loads import Arrangement, edge_load, even_load, even_moment
from glueline.fem.model import Body, Mesh, Model
from glueline.fem.orthotropy import plane_stiffness
from glueline.geometries import BOARD_A, BOARD_B, Layout, Piece
from glueline.geometries.mesh import LayoutMesh, apex_patches, mesh_layout
from glueline.studies.corner.connections import Connection, connections_of
from glueline.studies.corner.piece import PieceWood, out_of_plane_constraint, piece_constants, radial_in_plane
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CornerModel:
    """Everything the solver needs about one specimen.

    ``pieces`` by name; ``connections`` are all that holds them together; ``arrangements`` by name;
    ``assumptions`` tells for every piece and thickness the share of the strain across the plane that is held
    back, and why. Models with equal ``made_from`` and ``role`` have the same bodies, whatever their glue,
    strengths and load.
    """

    specimen: Specimen
    layout: Layout
    mesh: LayoutMesh
    model: Model
    pieces: Mapping[str, PieceWood]
    connections: tuple[Connection, ...]
    arrangements: dict[str, Arrangement]
    assumptions: tuple[str, ...]
    mesh_seconds: float
    made_from: tuple[object, ...]
    role: str

    @property
    def surfaces(self) -> tuple[BondedSurface, ...]:
        """The surfaces of all connections, in their order."""
        return tuple(connection.surface for connection in self.connections)

    def connection(self, name: str) -> Connection:
        """The connection called ``name``; KeyError if there is none."""
        return {connection.name: connection for connection in self.connections}[name]


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
    layout = specimen.layout
    reuse = reuse or Reuse()
    mesh = reuse.of(f"{role}: mesh", shape, lambda: mesh_layout(layout, element_size))
    mesh_seconds = time.perf_counter() - started
    pieces = {piece.name: _piece_wood(specimen, piece) for piece in layout.pieces}
    bodies, assumptions = _bodies(layout, mesh, pieces)
    model = Model(Mesh(mesh.nodes, mesh.triangles), bodies)
    return CornerModel(
        specimen=specimen,
        layout=layout,
        mesh=mesh,
        model=model,
        pieces=pieces,
        connections=connections_of(layout, pieces, specimen.glue, specimen.workmanship, mesh, model),
        arrangements=_arrangements(layout, mesh, model, specimen),
        assumptions=assumptions,
        mesh_seconds=mesh_seconds,
        made_from=(shape, tuple((piece.name, piece.constants) for piece in pieces.values())),
        role=role,
    )


def _piece_wood(specimen: Specimen, piece: Piece) -> PieceWood:
    wood = specimen.woods[piece.member.name]
    radial = radial_in_plane(piece.member, specimen.boards, specimen.sawn)
    return PieceWood(piece.name, wood, piece_constants(wood, radial), piece.grain_angle)


def _bodies(
    layout: Layout, mesh: LayoutMesh, pieces: Mapping[str, PieceWood]
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
            plane = plane_stiffness(pieces[piece.name].constants.solid, held, piece.grain_angle)
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
