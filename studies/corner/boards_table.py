"""Reading the boards of a corner: [boards], with their wood, its moisture and the units they are given in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, cast

from glueline.geometries import JOINTS, Boards
from glueline.geometries.joint_kind import ANY_LAY, JointKind
from glueline.materials import Wood, at_moisture, find_wood, wood_names
from glueline.studies.corner.named_materials import NamedMaterials
from glueline.studies.files.toml_tables import Table
from glueline.studies.files.units import IMPERIAL_LENGTHS, LENGTH, PERCENT, Units
from glueline.studies.files.words import one_of

DEFAULT_MOISTURE = 12.0


def read_boards(
    materials: NamedMaterials, kind: JointKind | None, table: Table
) -> tuple[Boards | None, Wood | None, Wood | None, Literal["flat", "quarter"]]:
    """The boards, lengths in mm, and the woods of A and B, each None where it cannot be read; how sawn."""
    thickness = table.quantity("thickness", LENGTH, required=True)
    thickness_b = table.quantity("thickness_b", LENGTH)
    if table.has("thickness_b") and kind is not None and not kind.allows_thickness_b:
        where = one_of([name for name, each in JOINTS.items() if each.allows_thickness_b])
        table.wrong(
            "thickness_b",
            f"has no place in a {kind.kind} corner, whose boards are equally thick; it belongs to {where} "
            "corners",
        )
    width = table.quantity("width", LENGTH, required=True)
    leg = table.quantity("leg", LENGTH, required=True, words="outside corner to leg tip")
    lay = table.choice("lay", ANY_LAY, ANY_LAY[0] if kind is None else kind.lays[0])
    wood_a = materials.wood(table, "wood", required=True)
    wood_b = materials.wood(table, "wood_b") if table.has("wood_b") else wood_a
    sawn = table.choice("sawn", ("flat", "quarter"), "flat")
    boards = None
    if thickness is not None and width is not None and leg is not None and lay is not None:
        boards = Boards(thickness, width, leg, cast(Literal["box", "frame"], lay), thickness_b)
    return boards, wood_a, wood_b, "quarter" if sawn == "quarter" else "flat"


def read_moisture(table: Table, woods: Sequence[Wood | None]) -> float | None:
    """Moisture in percent, checked against each wood."""
    moisture: float | None = DEFAULT_MOISTURE
    if table.has("moisture"):
        moisture = table.quantity("moisture", PERCENT, zero=True)
    if moisture is None:
        return None
    for wood in [wood for wood in woods if wood is not None] or [find_wood(wood_names()[0])]:
        try:
            at_moisture(wood, moisture)
        except ValueError as error:
            table.wrong("moisture", f"cannot be used: {error}")
            return None
    return moisture


def measured_in(boards: Table) -> Units:
    """Imperial where every length of the boards is, else metric."""
    lengths = [unit for unit in boards.units_read if unit in LENGTH.units]
    return "imperial" if lengths and all(unit in IMPERIAL_LENGTHS for unit in lengths) else "metric"


def mostly_in(*tables: Table) -> Units:
    """The units in which most lengths of the file are written."""
    written = [unit for table in tables for unit in table.units_read]
    inches = sum(unit in IMPERIAL_LENGTHS for unit in written)
    return "imperial" if inches > sum(unit in LENGTH.units for unit in written) - inches else "metric"
