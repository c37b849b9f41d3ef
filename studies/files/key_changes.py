"""Changes to a specimen file from the command line: --set KEY=VALUE."""

from __future__ import annotations

import copy
import dataclasses
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

from glueline.geometries import JOINTS
from glueline.geometries.layout import JointKind
from glueline.materials.names import nearest, plain
from glueline.studies.files.failures import InputProblem
from glueline.studies.files.toml_tables import printable

TABLE_KEYS: Mapping[str, tuple[str, ...]] = {
    "joint": (),  # kind, and what the joints in the table of joints name
    "boards": ("thickness", "thickness_b", "width", "leg", "lay", "wood", "wood_b", "sawn", "moisture"),
    "glue": ("kind", "quality", "gap", "coverage", "end_grain"),
    "load": ("arrangement",),
}


def joint_fields(kind: JointKind) -> dict[str, Mapping[str, Any]]:
    """The keys of a joint's own measures, each with what the table of joints says about it."""
    return {field.name: field.metadata for field in dataclasses.fields(kind.parameters)}


def all_joint_fields() -> dict[str, Mapping[str, Any]]:
    """The keys of every joint's measures."""
    return {name: metadata for kind in JOINTS.values() for name, metadata in joint_fields(kind).items()}


def find_joint(name: str) -> JointKind | None:
    """The joint of that name or alias, whatever its case, spaces and hyphens."""
    return _joint_names().get(plain(name))


def joint_names() -> list[str]:
    """Every name and alias of a joint."""
    return list(_joint_names())


def _joint_names() -> dict[str, JointKind]:
    return {plain(name): kind for kind in JOINTS.values() for name in (*kind.aliases, kind.kind)}


def known_keys() -> list[str]:
    """Every dotted key that a specimen file can hold."""
    keys = ["joint.kind", *(f"joint.{name}" for name in all_joint_fields())]
    return keys + [f"{table}.{name}" for table, names in TABLE_KEYS.items() for name in names]


def changed_value(text: str) -> Any:
    """The value of a change: TOML where it is TOML, else the bare text."""
    if "\n" not in text and "\r" not in text:
        try:
            tables = tomllib.loads(f"value = {text}")
        except (ValueError, RecursionError):
            return text.strip()
        if list(tables) == ["value"]:
            return tables["value"]
    return text.strip()


def apply_changes(
    tables: Mapping[str, Any], changes: Sequence[tuple[str, str]]
) -> tuple[dict[str, Any], dict[str, str], list[InputProblem]]:
    """A file's tables with all changes; what was typed, by dotted key; and what is wrong with the keys.

    A change of one of two keys that exclude each other drops the other; a change of the joint's kind drops
    the measures that the new joint has no use for.
    """
    changed = {key: dict(value) if isinstance(value, dict) else value for key, value in tables.items()}
    typed: dict[str, str] = {}
    problems = []
    for key, text in changes:
        table, dot, name = key.strip().partition(".")
        if table not in TABLE_KEYS or not dot or not name:
            problems.append(_unknown(key, text))
            continue
        inside = changed.setdefault(table, {})
        if isinstance(inside, dict):
            inside[name] = copy.copy(changed_value(text))
            typed[f"{table}.{name}"] = text
    joint = changed.get("joint")
    if isinstance(joint, dict):
        _drop(joint, typed)
    return changed, typed, problems


def nearest_key(key: str) -> str | None:
    """The dotted key that ``key``, perhaps without its table, was most likely meant to be."""
    keys = known_keys()
    ends = [known for known in keys if known.partition(".")[2] == key.strip()]
    return ends[0] if ends else nearest(key, keys)


def _unknown(key: str, text: str) -> InputProblem:
    near = nearest_key(key)
    hint = f"did you mean {near}? " if near else ""
    message = f"is not a key known here: {hint}Keys are written TABLE.KEY, such as joint.kind or boards.wood"
    return InputProblem("command line", f"--set {printable(key, 60)}", printable(text, 60), message)


def _drop(joint: dict[str, Any], typed: Mapping[str, str]) -> None:
    from_file = [name for name in joint if f"joint.{name}" not in typed]
    fields = all_joint_fields()
    for key in typed:
        table, _, name = key.partition(".")
        other = fields[name].get("exclusive_with") if table == "joint" and name in fields else None
        if other in from_file:
            joint.pop(other, None)
    kind = joint.get("kind")
    new = find_joint(kind) if "joint.kind" in typed and isinstance(kind, str) else None
    if new is not None:
        for name in from_file:
            if name in fields and name not in joint_fields(new):
                joint.pop(name, None)
