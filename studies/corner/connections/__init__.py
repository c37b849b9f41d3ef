"""What holds two pieces together: one object a kind, each of which knows itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from glueline.fem.model import Model
from glueline.fem.traction_law import TractionLaw
from glueline.geometries import Cheek, GlueLine, HoleBond, Layout
from glueline.geometries.mesh import LayoutMesh
from glueline.materials import Glue, Workmanship
from glueline.studies.corner.connections.bearing import Bearing
from glueline.studies.corner.connections.cheek import GluedCheek
from glueline.studies.corner.connections.connection import (
    BESIDE_GLUE,
    BRITTLE,
    Connection,
    Curve,
    Field,
    Hold,
)
from glueline.studies.corner.connections.dowel import GluedDowel, dowel_walls
from glueline.studies.corner.connections.dry_face import DryFace
from glueline.studies.corner.connections.glue_line import GluedLine
from glueline.studies.corner.connections.grip import Grip
from glueline.studies.corner.connections.hardware import FITTINGS, WITHDRAWAL, hardware_beam, hardware_holds
from glueline.studies.corner.connections.split import WoodSplit
from glueline.studies.corner.piece import PieceWood
from glueline.studies.corner.wood_modes import WOOD_MODES

KINDS: Mapping[type, Any] = {GlueLine: GluedLine, Cheek: GluedCheek, HoleBond: GluedDowel}
"""What a joining of the layout is made into; a new kind of connection is one line here."""

DRY_KINDS: Mapping[type, Any] = {GlueLine: DryFace}
"""What it is made into where there is no glue."""

GLUE_MODES: Mapping[str, str] = {
    mode: beginning for kind in KINDS.values() for mode, beginning in kind.modes.items()
}
"""How a glued surface gives, each with the beginning of a sentence that says so."""

FASTENER_MODES: Mapping[str, str] = {
    **Grip.modes,
    **Bearing.modes,
    **{name: WOOD_MODES[name].beginning for name in ("bending of the dowel", "plug before the head")},
}
"""How bought fasteners, dowels and their holes give; the beginnings of sentences too."""

FIBRE_MODES = frozenset[str]().union(*(kind.fibre_modes for kind in KINDS.values()))
"""Those of them in which fibres of the wood beside the glue tear."""


def connections_of(
    layout: Layout,
    pieces: Mapping[str, PieceWood],
    glue: Glue,
    workmanship_on: Callable[[str], Workmanship],
    mesh: LayoutMesh,
    model: Model,
) -> tuple[Connection, ...]:
    """All that holds the ``pieces`` of a layout together, laid on ``mesh`` and the bodies of ``model``.

    ``workmanship_on`` tells how the surface of a name is glued.

    The glue line of a butt, on the corner that ``build_corner`` makes:

    >>> from glueline.studies.corner.model import build_corner
    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> specimen = read_specimen(example_path("butt"))
    >>> made = build_corner(specimen, element_size=4.0)  # mm
    >>> asked = specimen.glue, specimen.workmanship_on, made.mesh, made.model
    >>> [face] = connections_of(made.layout, made.pieces, *asked)
    >>> face.legend, round(face.area)  # mm2
    ('glue line: butt face', 1710)
    """
    made = []
    for joining in layout.joinings:
        sides = pieces[joining.minus], pieces[joining.plus]
        own = workmanship_on(joining.name)
        kind = (KINDS if glue.holds else {**KINDS, **DRY_KINDS})[type(joining)]
        made.append(kind.laid(joining, sides, glue, own, mesh, model))
    return tuple(made)


def fasteners_of(
    layout: Layout, pieces: Mapping[str, PieceWood], connections: Sequence[Connection], model: Model
) -> tuple[Hold, ...]:
    """What holds beside them without glue: the walls of dowels' holes, and bought fasteners."""
    walls = (dowel_walls(each, model) for each in connections if isinstance(each, GluedDowel))
    return (*walls, *hardware_holds(layout.hardware, pieces, model))


def laws_of(connections: Sequence[Hold], crushing: bool = True) -> dict[str, TractionLaw]:
    """The law of every connection by name; without ``crushing`` faces bear whatever presses on them."""
    return {connection.name: connection.law(crushing) for connection in connections}


__all__ = [
    "BESIDE_GLUE",
    "BRITTLE",
    "FASTENER_MODES",
    "FIBRE_MODES",
    "FITTINGS",
    "GLUE_MODES",
    "KINDS",
    "WITHDRAWAL",
    "Bearing",
    "Connection",
    "Curve",
    "Field",
    "Grip",
    "Hold",
    "WoodSplit",
    "connections_of",
    "fasteners_of",
    "hardware_beam",
    "laws_of",
]
