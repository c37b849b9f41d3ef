"""Reading which joint a corner has and its measures: [joint]."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from glueline.geometries import JOINTS
from glueline.geometries.joint_kind import JointKind
from glueline.materials import Wood
from glueline.materials.names import nearest
from glueline.studies.corner.named_materials import NamedMaterials
from glueline.studies.files.key_changes import find_joint, joint_fields, joint_names
from glueline.studies.files.toml_tables import Table
from glueline.studies.files.units import ANGLE, FORCE, LENGTH, SPRING, Quantity
from glueline.studies.files.words import one_of

QUANTITIES: Mapping[str, Quantity] = {"length": LENGTH, "angle": ANGLE, "force": FORCE, "stiffness": SPRING}
"""Of a joint's measures that are written with a unit, by what the joint calls them."""


def read_kind(table: Table) -> JointKind | None:
    """The kind that the table names; None, with its problem noted, where no such joint is known."""
    name = table.text("kind", '"finger"', required=True)
    if name is None:
        return None
    kind = find_joint(name)
    if kind is None:
        near = nearest(name, joint_names())
        hint = f'did you mean "{near}"? It' if near else "it"
        table.wrong("kind", f"is not a joint known here: {hint} must be {one_of(list(JOINTS))}")
    return kind


def read_joint(
    materials: NamedMaterials, kind: JointKind | None, table: Table
) -> tuple[Any, dict[str | None, Wood | None]]:
    """The joint's measures as its dataclass, None where they are not all there; its woods by their keys."""
    if kind is None:
        return None, {}
    before = len(table.problems.entries) + len(materials.further)
    measures: dict[str, Any] = {}
    woods: dict[str | None, Wood | None] = {}
    fields = joint_fields(kind)
    for name, about in fields.items():
        words = about["words"]
        other = about.get("exclusive_with")
        required = about["required"] and other is None
        if about["quantity"] == "wood name":
            woods[name] = materials.wood(table, name, required=required)
            measures[name] = table.values.get(name)
        elif about["quantity"] == "choice":
            measures[name] = table.choice(name, about["choices"]) if table.has(name) else None
        elif about["quantity"] == "yes or no":
            measures[name] = table.yes_or_no(name, words)
        elif about["quantity"] == "slope":
            measures[name] = table.slope(name, words)
        elif about["quantity"] == "count":
            measures[name] = table.count(name, words, least=about.get("least", 1))
            if required and name not in table.values:
                table.problems.add_missing(table.key(name), f"a whole number such as 3: {words}")
        else:
            quantity = QUANTITIES[about["quantity"]]
            measures[name] = table.quantity(name, quantity, words=words, required=required)
        if other is not None and list(fields).index(name) < list(fields).index(other):
            _one_of_two(table, kind, name, other, bool(about["required"]))
    if len(table.problems.entries) + len(materials.further) > before:
        return None, woods
    return kind.parameters(**{name: value for name, value in measures.items() if value is not None}), woods


def _one_of_two(table: Table, kind: JointKind, name: str, other: str, required: bool) -> None:
    if name in table.values and other in table.values:
        table.wrong(other, f"cannot stand beside {table.key(name)}: give one of the two")
    elif required and name not in table.values and other not in table.values:
        words = f"a {kind.kind} corner needs {table.key(name)} or {table.key(other)}"
        table.problems.add_missing(table.key(name), words)
