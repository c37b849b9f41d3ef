"""The fixed vocabulary of places: where on a glue line, a cheek or a piece something happens."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glueline.geometries import BOARD_A, JOINTS, Layout
from glueline.geometries.layout import GlueLine, JointKind

Array = NDArray[np.float64]


def place_on_line(line: GlueLine, distance: float) -> str:
    """Name of the place ``distance`` mm along a glue line: one of its ends (a fifth of it) or its middle."""
    if distance < 0.2 * line.length:
        return f"{line.start_name} of the {line.name}"
    if distance > 0.8 * line.length:
        return f"{line.end_name} of the {line.name}"
    return f"middle of the {line.name}"


def place_on_cheek(layout: Layout, name: str, point: Array) -> str:
    """Name of a place on a cheek by its distance from the outer and the inner corner."""
    inner = np.array(layout.inner_corner)
    share = float(point @ inner / (inner @ inner))
    part = "outer" if share < 1 / 3 else "inner" if share > 2 / 3 else "middle"
    return f"{part} part of the {name}"


def place_in_wood(layout: Layout, piece: str, point: Array) -> str:
    """Name of a place in a piece: the fingers, the corner, beside the corner, or the leg."""
    boards = layout.boards
    if layout.piece(piece).member == "spline":
        return piece
    if piece == BOARD_A:
        beyond, depth = float(point[0]) - boards.depth_b, boards.depth_a
    else:
        beyond, depth = float(point[1]) - boards.depth_a, boards.depth_b
    if beyond <= 0:
        return f"fingers of {piece}" if layout.kind == "finger" else f"{piece} in the corner"
    return f"{piece} beside the corner" if beyond < depth else f"leg of {piece}"


def places_of(joint: JointKind) -> tuple[str, ...]:
    """Every place that a result for this joint can name."""
    found = []
    for surface in joint.surfaces:
        if "cheeks" in surface:
            found += [f"{part} part of the {surface}" for part in ("outer", "middle", "inner")]
        elif surface.startswith("slot floors"):
            found += [f"{part} of the {surface}" for part in ("face end", "middle", "mitre end")]
        else:
            found += [f"{part} of the {surface}" for part in ("outside end", "middle", "inside end")]
    for piece in joint.pieces:
        if piece.startswith("board"):
            corner = f"fingers of {piece}" if joint.kind == "finger" else f"{piece} in the corner"
            found += [corner, f"{piece} beside the corner", f"leg of {piece}"]
        else:
            found.append(piece)
    return tuple(found)


def all_places() -> dict[str, tuple[str, ...]]:
    """Places by joint."""
    return {kind: places_of(joint) for kind, joint in JOINTS.items()}
