"""The pieces that a corner is predicted to fall into, as outlines that a page draws."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.broken_pieces import BrokenPieces, Crack, Fragment, PartedFace, broken_pieces
from glueline.studies.show.piece_outlines import (
    chords_of,
    hardware_board,
    left_of_crack,
    outline_of,
    own_part,
    teeth_on,
)
from glueline.studies.show.rod_outlines import still_outline

Array = NDArray[np.float64]
Data = dict[str, Any]


def broken_marks(found: BreakPath) -> list[Data] | None:
    """One entry for all that still hangs together, that of board A first; None where nothing comes apart.

    ``move`` in mm parts it from the first; ``fills`` are outlines (n, 2) by the name of their piece, the ones
    in front last; ``lines`` are outlines and cracks; ``faces`` parted glued faces, bare or torn, each a line
    or an area. Places are those of the whole corner, in mm.
    """
    pieces = broken_pieces(found)
    if pieces is None:
        return None
    corner = found.corner
    marks: list[Data] = []
    for cluster in pieces.clusters:
        fills, lines, faces = [], [], []
        for one in cluster.fragments:
            fills += _fills(corner, one, pieces.crack)
            lines += _lines(corner, one, pieces.crack)
            faces += _faces(corner, one, pieces)
        bought = _hardware(corner, {one.piece for one in cluster.fragments}, marks)
        fills += bought
        lines += [_closed(each["outline"]) for each in bought]
        marks.append({"move": [*cluster.move], "fills": fills, "lines": lines, "faces": faces})
    return marks


def _fills(corner: CornerModel, one: Fragment, crack: Crack | None) -> list[Data]:
    rods = {rod.name: rod for rod in corner.layout.rods}
    if one.piece in rods:
        outlines: Iterable[Array] = [still_outline(corner, rods[one.piece])]
    else:
        outlines = [np.array(cell.polygon) for cell in corner.layout.cells if one.piece in cell.parts]
    kept = (left_of_crack(outline, one, crack, corner) for outline in outlines)
    return [{"piece": one.piece, "outline": outline.tolist()} for outline in kept if len(outline) > 2]


def _lines(corner: CornerModel, one: Fragment, crack: Crack | None) -> list[list[list[float]]]:
    """Where a fragment ends, and the crack's own teeth."""
    if one.piece in (rod.name for rod in corner.layout.rods):
        rod = next(rod for rod in corner.layout.rods if rod.name == one.piece)
        outline = left_of_crack(still_outline(corner, rod), one, crack, corner)
        return [_closed(outline.tolist())] if len(outline) else []
    cracked = crack if one.side else None
    ends = [np.array(stretch) for stretch in outline_of(corner.layout, one.piece)]
    if cracked is None:
        return [each.tolist() for each in ends]
    parts = [own_part(each, one, cracked) for each in ends]
    teeth = [
        teeth_on(chord, cracked, corner)
        for cell in corner.layout.cells
        if one.piece in cell.parts
        for chord in chords_of(np.array(cell.polygon), cracked)
    ]
    return [each.tolist() for each in (*parts, *teeth) if len(each)]


def _closed(outline: list[list[float]]) -> list[list[float]]:
    """An outline that ends where it begins."""
    return [*outline, outline[0]]


def _faces(corner: CornerModel, one: Fragment, pieces: BrokenPieces) -> list[Data]:
    """Parted glued faces of a fragment."""
    marks: list[Data] = []
    for face in pieces.faces:
        surface = corner.connection(face.name).surface
        if one.piece in (surface.minus, surface.plus):
            marks += _face(corner, one, face, pieces.crack)
    return marks


def _face(corner: CornerModel, one: Fragment, face: PartedFace, crack: Crack | None) -> list[Data]:
    joining = corner.connection(face.name).joining
    lines = [np.array(edge) for edge in joining.edges]
    if one.side and crack is not None:
        lines = [own_part(line, one, crack) for line in lines]
    areas = [np.array(corner.layout.cells[index].polygon) for index in joining.cells]
    areas = [left_of_crack(area, one, crack, corner) for area in areas]
    return [
        *({"torn": face.is_torn, "line": line.tolist()} for line in lines if len(line)),
        *({"torn": face.is_torn, "area": area.tolist()} for area in areas if len(area) > 2),
    ]


def _hardware(corner: CornerModel, held: set[str], before: list[Data]) -> list[Data]:
    """Bought fasteners go with the board in which they start, or with the first part of it."""
    drawn = {fill["piece"] for mark in before for fill in mark["fills"]}
    return [
        {"piece": each.name, "outline": still_outline(corner, each).tolist()}
        for each in corner.layout.hardware
        if each.name not in drawn and hardware_board(corner, each) in held
    ]
