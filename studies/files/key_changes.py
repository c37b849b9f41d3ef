"""Changes to a specimen file from the command line: --set KEY=VALUE.

Keys are TABLE.KEY, and ``glue.surfaces.SURFACE.KEY`` for what one surface has of its own. A surface's name
holds spaces; quotes round it, as a TOML file has them, may stay or be left out.
"""

from __future__ import annotations

import copy
import dataclasses
import re
from collections.abc import Hashable, Mapping, Sequence
from functools import cache, lru_cache
from typing import Any, cast

from glueline.geometries import JOINTS
from glueline.geometries.joint_kind import JointKind
from glueline.materials.names import nearest, plain
from glueline.materials.workmanship import SURFACE_KEYS
from glueline.studies.files.failures import InputProblem
from glueline.studies.files.toml_tables import TomlRefused, parse_toml, printable

TABLE_KEYS: Mapping[str, tuple[str, ...]] = {
    "joint": (),  # kind, and what the joints in the table of joints name
    "boards": ("thickness", "thickness_b", "width", "leg", "lay", "wood", "wood_b", "sawn", "moisture"),
    "glue": ("kind", "quality", "gap", "coverage", "end_grain"),
    "load": ("arrangement",),
}

SURFACES = "surfaces"
"""The table of [glue] that holds a table for each surface with workmanship of its own."""

DEEPEST = 4
"""Tables within tables that a change reaches: the file, [glue], its surfaces, one surface."""

KEYS_RIGHT = (
    "Keys are written TABLE.KEY, such as {}; those of one glued surface glue.surfaces.SURFACE.KEY, such as "
    "glue.surfaces.finger cheeks.coverage"
)
"""How keys are written, with room for an example."""


def joint_fields(kind: JointKind) -> dict[str, Mapping[str, Any]]:
    """The keys of a joint's own measures, each with what the table of joints says about it."""
    return dict(_fields_of(cast(Hashable, kind.parameters)))


@cache
def _fields_of(parameters: Hashable) -> dict[str, Mapping[str, Any]]:
    return {field.name: field.metadata for field in dataclasses.fields(cast(Any, parameters))}


def all_joint_fields() -> dict[str, Mapping[str, Any]]:
    """The keys of every joint's measures."""
    return {name: metadata for kind in JOINTS.values() for name, metadata in joint_fields(kind).items()}


def find_joint(name: str) -> JointKind | None:
    """The joint of that name or alias, whatever its case, spaces and hyphens."""
    return JOINTS.get(name) or _joint_names().get(plain(name))


def joint_names() -> list[str]:
    """Every name and alias of a joint."""
    return list(_joint_names())


def _joint_names() -> dict[str, JointKind]:
    return {plain(name): kind for kind in JOINTS.values() for name in (*kind.aliases, kind.kind)}


def surfaces_of(kind: JointKind | None) -> list[str]:
    """The names of a joint's glued surfaces; those of every joint where none is named."""
    kinds = JOINTS.values() if kind is None else [kind]
    return list(dict.fromkeys(words.name for each in kinds for words in each.surfaces))


def surface_named(name: str) -> str:
    """The surface of any joint that goes by that name, whatever its case, spaces, hyphens; else the name."""
    return {plain(known): known for known in surfaces_of(None)}.get(plain(name), name)


def known_keys() -> list[str]:
    """Every dotted key that a specimen file can hold."""
    keys = ["joint.kind", *(f"joint.{name}" for name in all_joint_fields())]
    keys += [f"{table}.{name}" for table, names in TABLE_KEYS.items() for name in names]
    return keys + [f"glue.{SURFACES}.{name}.{key}" for name in surfaces_of(None) for key in SURFACE_KEYS]


def key_parts(key: str) -> tuple[str, ...]:
    """The tables and the name that a dotted key leads through: two, or four for a surface's own key.

    Empty where it is written otherwise.

    >>> key_parts('glue.surfaces."finger cheeks".coverage')
    ('glue', 'surfaces', 'finger cheeks', 'coverage')
    """
    table, _, name = key.strip().partition(".")
    if table not in TABLE_KEYS or not name:
        return ()
    inside, dot, rest = name.partition(".")
    if (table, inside) != ("glue", SURFACES):
        return table, name
    surface, dot, own = rest.rpartition(".")
    quoted = re.fullmatch(r"""(["'])(.*)\1""", surface.strip())
    surface = (quoted[2] if quoted else surface).strip()
    return (table, inside, surface_named(surface), own.strip()) if dot and surface and own.strip() else ()


def dotted(key: str) -> str:
    """A key as results name it: without quotes, a surface by its own name."""
    return ".".join(key_parts(key)) or key.strip()


def value_at(tables: Mapping[str, Any], key: str) -> Any:
    """What a file's tables hold at a dotted key, None if nothing; [glue] counts for a silent surface."""
    parts = key_parts(key)
    inside: Any = tables
    for part in parts:
        inside = inside.get(_as_written(part, inside)) if isinstance(inside, Mapping) else None
    return value_at(tables, f"glue.{parts[-1]}") if inside is None and len(parts) > 2 else inside


def changed_value(text: str) -> Any:
    """The value of a change: TOML where it is TOML, else the bare text."""
    return copy.deepcopy(_changed_value(text))


@lru_cache(1024)
def _changed_value(text: str) -> Any:
    if "\n" not in text and "\r" not in text:
        try:
            tables = parse_toml(f"value = {text}")
        except TomlRefused:
            return text.strip()
        if list(tables) == ["value"]:
            return tables["value"]
    return text.strip()


def apply_changes(
    tables: Mapping[str, Any], changes: Sequence[tuple[str, str]]
) -> tuple[dict[str, Any], dict[str, str], list[InputProblem]]:
    """A file's tables with all changes; what was typed, by dotted key; and what is wrong with the keys.

    A change of one of two keys that exclude each other drops the other, and a change to a yes drops the
    measure that has no meaning beside it; a change of the joint's kind drops the measures and the surfaces
    that the new joint has no use for.
    """
    changed: dict[str, Any] = _copied(tables, DEEPEST)
    typed: dict[str, str] = {}
    problems = []
    for key, text in changes:
        parts = key_parts(key)
        if not parts:
            problems.append(_unknown(key, text))
            continue
        inside: Any = changed
        for part in parts[:-1]:
            inside = inside.setdefault(_as_written(part, inside), {}) if isinstance(inside, dict) else None
        if isinstance(inside, dict):
            inside[parts[-1]] = changed_value(text)
            typed[".".join(parts)] = text
    joint = changed.get("joint")
    if isinstance(joint, dict):
        _drop(joint, typed)
        _drop_surfaces(joint, changed.get("glue"), typed)
    return changed, typed, problems


def _copied(table: Any, depth: int) -> Any:
    """Tables within tables, so deep, as copies that may be changed."""
    if not depth or not isinstance(table, Mapping):
        return table
    return {key: _copied(value, depth - 1) for key, value in table.items()}


def _as_written(part: str, table: Mapping[str, Any]) -> str:
    """The name under which a table has the surface ``part``; anything else goes by its own name only."""
    if part in table:
        return part
    return next((name for name in table if surface_named(name) == part), part)


def nearest_key(key: str) -> str | None:
    """The dotted key that ``key``, perhaps without its table, was most likely meant to be."""
    keys = known_keys()
    ends = [known for known in keys if known.partition(".")[2] == key.strip()]
    return ends[0] if ends else nearest(key, keys)


def _unknown(key: str, text: str) -> InputProblem:
    near = nearest_key(key)
    hint = f"did you mean {near}? " if near else ""
    message = f"is not a key known here: {hint}{KEYS_RIGHT.format('joint.kind or boards.wood')}"
    if key.strip() in TABLE_KEYS:
        example = f"{key.strip()}.{(*TABLE_KEYS[key.strip()], 'kind')[0]}"
        message = f"is a whole table: change its keys one by one, as TABLE.KEY, such as {example}"
    return InputProblem("command line", f"--set {printable(key, 60)}", printable(text, 60), message)


def _drop(joint: dict[str, Any], typed: Mapping[str, str]) -> None:
    from_file = [name for name in joint if f"joint.{name}" not in typed]
    fields = all_joint_fields()
    for key in typed:
        table, _, name = key.partition(".")
        other = fields[name].get("exclusive_with") if table == "joint" and name in fields else None
        if other in from_file:
            joint.pop(other, None)
        if table == "joint" and joint.get(name) is True and (void := _voided(joint, name)) in from_file:
            joint.pop(void, None)
    new = _new_joint(joint, typed)
    if new is not None:
        for name in from_file:
            if name in fields and name not in joint_fields(new):
                joint.pop(name, None)


def _voided(joint: Mapping[str, Any], name: str) -> str | None:
    """The measure that has no meaning where ``name`` is a yes; None where there is none."""
    written = joint.get("kind")
    kind = find_joint(written) if isinstance(written, str) else None
    about = {} if kind is None else joint_fields(kind).get(name, {})
    return about.get("voids")


def _drop_surfaces(joint: Mapping[str, Any], glue: Any, typed: Mapping[str, str]) -> None:
    """What the file says of surfaces that only other joints have."""
    new = _new_joint(joint, typed)
    own = glue.get(SURFACES) if isinstance(glue, dict) else None
    if new is None or not isinstance(own, dict):
        return
    others = set(surfaces_of(None)) - set(surfaces_of(new))
    for written, table in list(own.items()):
        surface = surface_named(written)
        if surface not in others or not isinstance(table, dict):
            continue
        for key in list(table):
            if f"glue.{SURFACES}.{surface}.{key}" not in typed:
                del table[key]
        if not table:
            del own[written]
    if not own:
        del glue[SURFACES]


def _new_joint(joint: Mapping[str, Any], typed: Mapping[str, str]) -> JointKind | None:
    """The joint that a change put in place of the file's, if it did."""
    kind = joint.get("kind")
    return find_joint(kind) if "joint.kind" in typed and isinstance(kind, str) else None
