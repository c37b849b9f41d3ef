"""A corner read as far as it can be: what is wrong with one of its parts leaves the others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from glueline.geometries import Boards
from glueline.geometries.joint_kind import JointKind
from glueline.materials import Wood
from glueline.studies.corner.boards_table import read_boards
from glueline.studies.corner.joint_table import read_joint, read_kind
from glueline.studies.corner.named_materials import NamedMaterials
from glueline.studies.corner.proportions import Proportion, measures
from glueline.studies.files.key_changes import TABLE_KEYS, find_joint
from glueline.studies.files.toml_tables import MOST_DIGITS, Problems, Table

FILE = "corner.toml"
"""What a corner of the page is called where a file is meant: it lies where the page was started."""


@dataclass(frozen=True)
class ReadParts:
    """What could be read of a corner; None for what could not."""

    kind: JointKind | None
    joint: Any
    boards: Boards | None
    woods: tuple[Wood | None, ...]

    @property
    def taken(self) -> dict[str, Proportion]:
        """All measures of the joint on its boards, stated or left out; none where they do not fit."""
        if self.kind is None or self.joint is None or self.boards is None:
            return {}
        if self.kind.problems(self.joint, self.boards):
            return {}
        return {each.key: each for each in measures(self.kind, self.joint, self.boards)}

    @property
    def surfaces(self) -> list[str]:
        """The glued surfaces that the joint has on its boards; none where it does not fit them."""
        if self.kind is None or self.joint is None or self.boards is None:
            return []
        if self.kind.problems(self.joint, self.boards):
            return []
        known = {words.name for words in self.kind.surfaces}
        joinings = self.kind.layout(self.joint, self.boards).joinings
        return [name for name in dict.fromkeys(each.name for each in joinings) if name in known]


def read_parts(corner: Mapping[str, Any]) -> ReadParts:
    """Kind, joint, boards and woods of a corner, as far as they can be read. Raises nothing.

    >>> parts = read_parts({"joint": {"kind": "finger"}, "boards": {"thickness": "thick"}})
    >>> parts.kind.kind, parts.joint, parts.boards
    ('finger', None, None)
    """
    problems = Problems(FILE)
    materials = NamedMaterials(FILE, problems)
    joint_table, boards_table = (
        Table(name, table_of(corner, name), problems) for name in ("joint", "boards")
    )
    kind = read_kind(joint_table)
    joint, own = read_joint(materials, kind, joint_table)
    boards, wood_a, wood_b, _ = read_boards(materials, kind, boards_table)
    return ReadParts(kind, joint, boards, (wood_a, wood_b, *own.values()))


def kind_of(corner: Mapping[str, Any]) -> JointKind | None:
    """The kind of a corner's joint by its name or an alias, None where it has none that is known."""
    name = table_of(corner, "joint").get("kind")
    return find_joint(name) if isinstance(name, str) else None


def table_of(corner: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """One of a corner's tables, empty where there is none or something else."""
    table = corner.get(name)
    return table if isinstance(table, Mapping) else {}


def without(corner: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    """The corner without some of its joint's measures."""
    gone = set(names)
    joint = {name: value for name, value in table_of(corner, "joint").items() if name not in gone}
    return {**corner, "joint": joint}


TABLES = tuple(TABLE_KEYS)
LARGEST = 2**53  # the largest number that JSON keeps whole everywhere
DEEPEST = 6  # tables and lists within each other; a corner goes four deep


def as_tables(value: Any) -> dict[str, Any]:
    """A corner as it came over the wire, as tables that the reader of files can take: nothing is no value.

    >>> as_tables({"boards": {"width": "90 mm", "wood_b": None}}), as_tables(3)
    ({'boards': {'width': '90 mm'}}, {})
    """
    tables = _plain(value, DEEPEST)
    return tables if isinstance(tables, dict) else {}


def _plain(value: Any, depth: int) -> Any:
    if not depth:
        return "..."
    if isinstance(value, Mapping):
        return {clean(str(key)): _plain(item, depth - 1) for key, item in value.items() if item is not None}
    if isinstance(value, list | tuple):
        return [_plain(item, depth - 1) for item in value if item is not None]
    if isinstance(value, bool) or (isinstance(value, int | float) and abs(value) <= LARGEST):
        return value
    return clean(_in_letters(value))


def _in_letters(value: Any) -> str:
    """A text as it is, and as text what JSON has no number for; a number too long to be written is named."""
    if isinstance(value, int) and abs(value) >= 10**MOST_DIGITS:
        return "a number of more digits than can be read"
    return str(value)


def clean(text: str) -> str:
    """Text that every file and answer can hold: no halves of letters, nothing that ends a text early."""
    return text.encode("utf-8", "replace").decode("utf-8").replace("\0", "\ufffd")
