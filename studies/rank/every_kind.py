"""Every kind of joint on the boards of one corner: the corner as it is, all others by their names alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from msgspec import Struct

from glueline.geometries import JOINTS, JointKind
from glueline.geometries.joint_kind import LAYS_SAID
from glueline.studies.corner.proportions import Proportion, measures
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.files.failures import InputError
from glueline.studies.files.words import one_of
from glueline.studies.rank.entries import Entry


@dataclass(frozen=True)
class KindEntry(Entry):
    """A kind to be ranked, with the measures that were taken for it; ``as_in_file`` for the file's own."""

    filled: tuple[Proportion, ...]
    as_in_file: bool


class NotCompared(Struct, frozen=True, kw_only=True):
    """A kind that is not in the comparison, and why."""

    kind: str
    why: str


def every_kind(own: Specimen, glue: str) -> tuple[list[KindEntry], list[NotCompared]]:
    """The kinds that fit the boards and the lay of ``own``, and those that do not, in the order of JOINTS.

    Boards, woods, glue and load are those of ``own``. Of the joint it has, only its own kind takes anything.
    """
    entries: list[KindEntry] = []
    others: list[NotCompared] = []
    for kind in JOINTS.values():
        if kind.kind == own.kind:
            entries.append(_entry(own, glue, own.left_out, True))
            continue
        try:
            specimen = _of_kind(own, kind)
        except InputError as error:
            others.append(NotCompared(kind=kind.kind, why=_why_not(own, kind, error)))
            continue
        entries.append(_entry(specimen, glue, measures(kind, specimen.joint, specimen.boards), False))
    return entries, others


def with_count(own: Specimen, key: str, count: int) -> Specimen:
    """The same corner with another count of what its joint has several of. Raises InputError."""
    return specimen_of(own.path, own.as_read, [(f"joint.{key}", str(count))])


def _entry(specimen: Specimen, glue: str, filled: tuple[Proportion, ...], as_in_file: bool) -> KindEntry:
    kind = specimen.kind
    return KindEntry(kind, kind, specimen.path, specimen, glue, filled=filled, as_in_file=as_in_file)


def _of_kind(own: Specimen, kind: JointKind) -> Specimen:
    """The corner with another kind, which takes what is usual. Raises InputError where it does not fit."""
    tables = {**own.as_read, "joint": {"kind": own.kind}}
    changes = [("joint.kind", kind.kind), ("boards.lay", own.boards.lay)]
    changes += [(f"joint.{key}", value) for key, value in _usual(own, kind).items()]
    return specimen_of(own.path, tables, changes)


def _usual(own: Specimen, kind: JointKind) -> Mapping[str, str]:
    """What must be stated of a kind, as it would be typed; nothing where its name is enough."""
    if kind.usual is None:
        return {}
    return {each.key: str(each.as_typed) for each in measures(kind, kind.usual(own.boards), own.boards)}


def _why_not(own: Specimen, kind: JointKind, error: InputError) -> str:
    """Why a kind does not fit, in a maker's words."""
    if own.boards.lay not in kind.lays:
        return f"made in a {one_of(kind.lays)} only: {LAYS_SAID[kind.lays[0]]}"
    return "; ".join(str(replace(problem, file=problem.key, key="")) for problem in error.problems)
