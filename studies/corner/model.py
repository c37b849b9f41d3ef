"""From a specimen to a model that can be solved: layout, mesh, bodies, bonds and how it is loaded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.fem.beam import Beam
from glueline.fem.bond import BondedSurface
from glueline.fem.loads import Arrangement
from glueline.fem.model import Body, Mesh, Model
from glueline.fem.orthotropy import plane_stiffness
from glueline.fem.slit import Slit, part
from glueline.geometries import Layout, Piece, Rod, with_splits
from glueline.geometries.joinings import Point
from glueline.geometries.mesh import LayoutMesh, mesh_layout
from glueline.materials import Wood, wooden_rod
from glueline.studies.corner.connections import (
    Connection,
    Hold,
    WoodSplit,
    connections_of,
    fasteners_of,
    hardware_beam,
)
from glueline.studies.corner.piece import PieceWood, out_of_plane_constraint, piece_constants, radial_in_plane
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CornerModel:
    """Everything the solver needs about one specimen.

    ``pieces`` by name, rods too; ``connections`` are all that holds them together, ``bearings`` what holds
    beside them without glue, ``splits`` the lines on which one may split; ``loading`` is P = 1 N with its
    supports; ``assumptions`` tells for every piece and thickness the share of strain across the plane that
    is held back, and why. Models with equal ``made_from`` and ``role`` have the same bodies, whatever their
    glue, strengths and load.
    """

    specimen: Specimen
    layout: Layout
    mesh: LayoutMesh
    model: Model
    pieces: Mapping[str, PieceWood]
    connections: tuple[Connection, ...]
    bearings: tuple[Hold, ...]
    splits: tuple[WoodSplit, ...]
    loading: Arrangement
    assumptions: tuple[str, ...]
    made_from: tuple[object, ...]
    role: str

    @property
    def split_places(self) -> tuple[tuple[str, Point], ...]:
        """Piece and place, x, y in mm, through which each of its split lines runs."""
        return tuple((line.piece, line.origin) for line in self.layout.splits)

    @property
    def glued(self) -> tuple[Connection, ...]:
        """The connections that glue holds."""
        return tuple(each for each in self.connections if each.is_glued)

    @property
    def holds(self) -> tuple[Hold, ...]:
        """All that may give: connections, what bears beside them, then splits."""
        return (*self.connections, *self.bearings, *self.splits)

    @property
    def surfaces(self) -> tuple[BondedSurface, ...]:
        """The surfaces of all that may give, in their order."""
        return tuple(hold.surface for hold in self.holds)

    def connection(self, name: str) -> Connection:
        """The connection called ``name``; KeyError if there is none."""
        return {connection.name: connection for connection in self.connections}[name]


def build_corner(
    specimen: Specimen,
    element_size: float | None = None,
    reuse: Reuse | None = None,
    role: str = "corner",
    splits: Sequence[tuple[str, Point]] = (),
) -> CornerModel:
    """Lay out, mesh and assemble the model of a specimen. Raises geometries.mesh.MeshFailure, and ValueError
    where the load lies too far off its line.

    ``role`` is the name under which ``reuse`` keeps its mesh; ``splits`` are pieces and places, x, y in mm,
    through which a split line runs along the grain.

    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> corner = build_corner(read_specimen(example_path("finger")), element_size=4.0)  # mm
    >>> {connection.name: round(connection.area) for connection in corner.connections}  # mm2
    {'notch floors of board B': 950, 'notch floors of board A': 760, 'finger cheeks': 2888}
    """
    shape = (specimen.kind, specimen.joint, specimen.boards, element_size, tuple(splits))
    layout = with_splits(specimen.layout, splits)
    reuse = reuse or Reuse()
    mesh = reuse.shared(f"{role}: mesh", shape, lambda: mesh_layout(layout, element_size))
    pieces = {piece.name: _piece_wood(specimen, piece) for piece in layout.pieces}
    pieces |= {rod.name: _piece_wood(specimen, rod) for rod in layout.rods}
    made_from = (shape, tuple((piece.name, piece.constants) for piece in pieces.values()))
    rods = tuple(pieces[rod.name].wood for rod in layout.rods)
    model, slits, assumptions = reuse.shared(
        f"{role}: bodies", (made_from, rods), lambda: _modelled(layout, mesh, pieces)
    )
    connections = connections_of(layout, pieces, specimen.glue, specimen.workmanship_on, mesh, model)
    return CornerModel(
        specimen=specimen,
        layout=layout,
        mesh=mesh,
        model=model,
        pieces=pieces,
        connections=connections,
        bearings=fasteners_of(layout, pieces, connections, model),
        splits=tuple(
            WoodSplit.along(line, pieces[line.piece], _width(model, slit, line.piece), slit, layout, model)
            for line, slit in zip(layout.splits, slits, strict=True)
        ),
        loading=specimen.arrangement.loading(layout.boards, mesh, model, specimen.load_off_line),
        assumptions=assumptions,
        made_from=made_from,
        role=role,
    )


def _modelled(
    layout: Layout, mesh: LayoutMesh, pieces: Mapping[str, PieceWood]
) -> tuple[Model, list[Slit], tuple[str, ...]]:
    """Bodies and beams without what ties them, the slits of the layout's split lines, and the assumptions."""
    bodies, assumptions = _bodies(layout, mesh, pieces)
    plain, bodies, slits = _parted(layout, mesh, bodies)
    beams = [_beam(rod, pieces[rod.name].wood) for rod in layout.rods]
    model = Model(plain, bodies, beams=(*beams, *(hardware_beam(each) for each in layout.hardware)))
    return model, slits, assumptions


def _parted(
    layout: Layout, mesh: LayoutMesh, bodies: tuple[Body, ...]
) -> tuple[Mesh, tuple[Body, ...], list[Slit]]:
    """Mesh and bodies with a slit for every split line of the layout."""
    plain, slits = Mesh(mesh.nodes, mesh.triangles), []
    for line in layout.splits:
        place = next(index for index, body in enumerate(bodies) if body.name == line.piece)
        plain, parted, slit = part(plain, bodies[place], mesh.edges_on(line.start, line.end))
        bodies = (*bodies[:place], parted, *bodies[place + 1 :])
        slits.append(slit)
    return plain, bodies, slits


def _width(model: Model, slit: Slit, piece: str) -> Array:
    """Size (e,) of a piece across the plane on every edge of a slit."""
    body = model.body(piece)
    middles = model.nodes_of(body)[:, 3:]
    owners = {int(node): row for row, nodes in enumerate(middles) for node in nodes}
    return np.asarray(body.thickness[[owners[int(node)] for node in slit.right[:, 2]]])


def _beam(rod: Rod, wood: Wood) -> Beam:
    """A rod of wood with nodes two to a diameter, and one at each end."""
    made, direction = wooden_rod(wood), np.subtract(rod.end, rod.start)
    return Beam(
        rod.name,
        np.array(rod.start),
        direction,
        np.linspace(0.0, rod.length, max(8, round(2 * rod.length / rod.diameter)) + 1),
        made.axial_stiffness(rod.diameter),
        made.bending_stiffness(rod.diameter),
        made.shear_stiffness(rod.diameter),
        rod.number,
    )


def _piece_wood(specimen: Specimen, piece: Piece | Rod) -> PieceWood:
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
