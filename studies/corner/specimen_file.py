"""Reading a specimen file: every mistake at once, each with file, key, value and what would be right."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from glueline.geometries import BOARD_B, Boards
from glueline.geometries.joint_kind import ANY_LAY, JointKind, Problem, board_problems
from glueline.materials import at_moisture
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.boards_table import measured_in, mostly_in, read_boards, read_moisture
from glueline.studies.corner.joint_table import read_joint, read_kind
from glueline.studies.corner.named_materials import DEFAULT_GLUE, NamedMaterials
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_warnings import absent_surfaces, calibration_note, moisture_warnings
from glueline.studies.corner.workmanship_tables import read_surfaces, read_workmanship
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.key_changes import TABLE_KEYS, all_joint_fields, apply_changes
from glueline.studies.files.toml_tables import Problems, Table, printable, read_toml, toml_text
from glueline.studies.files.units import Units, format_length, format_limit


def read_specimen(path: str | os.PathLike[str], changes: Sequence[tuple[str, str]] = ()) -> Specimen:
    """The specimen in a TOML file, with ``changes`` (dotted key, value as typed) made first.

    Raises InputError, and nothing else, with everything that is wrong.

    >>> from glueline.studies.examples import example_path
    >>> corner = read_specimen(example_path("finger"), [("joint.fingers", "5"), ("boards.wood", "white oak")])
    >>> corner.joint.fingers, corner.woods["board A"].name
    (5, 'White oak')
    """
    return specimen_reader(path)(changes)


def specimen_reader(
    path: str | os.PathLike[str],
) -> Callable[[Sequence[tuple[str, str]]], Specimen]:
    """Reads the specimen of a file with changes, as ``read_specimen``; the file itself is read once, here."""
    as_written = read_toml(path)

    def reader(changes: Sequence[tuple[str, str]]) -> Specimen:
        tables, typed, wrong = apply_changes(as_written, changes)
        problems = Problems(printable(os.fspath(path)), typed)
        problems.entries += wrong
        return _specimen(path, tables, problems)

    return reader


def specimen_of(
    path: str | os.PathLike[str], tables: Mapping[str, Any], changes: Sequence[tuple[str, str]] = ()
) -> Specimen:
    """The specimen in tables as a file at ``path`` would hold them, such as another's ``as_read``, changed.

    Raises InputError, and nothing else, with everything that is wrong; the changes count as the file's own.
    """
    changed, _, wrong = apply_changes(tables, changes)
    problems = Problems(printable(os.fspath(path)))
    problems.entries += wrong
    return _specimen(path, changed, problems)


def _specimen(path: str | os.PathLike[str], tables: dict[str, Any], problems: Problems) -> Specimen:
    if "rig" in tables and "joint" not in tables:
        message = "is that of a rig: give the file of a corner, and this one as --rig where a command has it"
        problems.add("rig", None, message, shown=False)
        problems.raise_if_any()
    materials = NamedMaterials(os.fspath(path), problems)
    top = Table("", tables, problems)
    parts = {table: _table(top, table) for table in TABLE_KEYS}
    top.refuse_unknown()

    kind = read_kind(parts["joint"])
    joint, own_woods = read_joint(materials, kind, parts["joint"])
    boards, wood_a, wood_b, sawn = read_boards(materials, kind, parts["boards"])
    moisture = read_moisture(parts["boards"], [wood_a, wood_b, *own_woods.values()])
    glue = materials.glue(parts["glue"])
    if glue is not None and not glue.holds and kind is not None and kind.surfaces and not kind.holds_dry:
        parts["glue"].wrong(
            "kind",
            f"leaves nothing to hold the corner: a {kind.kind} corner needs a glue, such as {DEFAULT_GLUE}",
        )
    workmanship = read_workmanship(parts["glue"])
    surfaces = read_surfaces(parts["glue"], kind)
    arrangement = parts["load"].choice("arrangement", tuple(ARRANGEMENTS), next(iter(ARRANGEMENTS)))
    for table in parts.values():
        table.refuse_unknown(all_joint_fields() if table.name == "joint" and kind is None else ())
    if boards is not None:
        _note_misfits(kind, joint, boards, tables, problems, mostly_in(parts["joint"], parts["boards"]))
    all_problems = tuple(dict.fromkeys([*problems.entries, *materials.further]))
    if all_problems:
        raise InputError(all_problems)
    if (
        kind is None
        or boards is None
        or wood_a is None
        or wood_b is None
        or glue is None
        or workmanship is None
        or arrangement is None
        or moisture is None
    ):
        raise InputError((InputProblem(problems.file, "", None, "cannot be read"),))
    for (table_name, key), absolute in materials.paths.items():
        tables[table_name][key] = absolute
    woods = {
        member.name: own_woods.get(member.wood_key) or (wood_b if member.name == BOARD_B else wood_a)
        for member in kind.members
    }
    return Specimen(
        path=os.fspath(path),
        kind=kind.kind,
        joint=joint,
        boards=boards,
        woods={name: at_moisture(wood, moisture) for name, wood in woods.items()},
        sawn=sawn,
        moisture=moisture,
        glue=glue,
        workmanship=workmanship,
        arrangement=ARRANGEMENTS[arrangement],
        surface_workmanship=surfaces,
        warnings=(
            *moisture_warnings(moisture),
            *calibration_note(glue),
            *(absent_surfaces(surfaces, kind.layout(joint, boards)) if surfaces else ()),
        ),
        units=measured_in(parts["boards"]),
        as_read=tables,
    )


def _table(top: Table, name: str) -> Table:
    values = top.values[name] if top.has(name) else {}
    if not isinstance(values, Mapping):
        top.wrong(name, f"must be a table: a line [{name}] with its keys below")
        values = {}
    return Table(name, values, top.problems)


def _note_misfits(
    kind: JointKind | None,
    joint: Any,
    boards: Boards,
    tables: Mapping[str, Any],
    problems: Problems,
    units: Units,
) -> None:
    """Note what is wrong with the corner itself, in the units the file mostly uses."""
    faults: list[Problem]
    if kind is None or joint is None:
        faults = board_problems(boards, ANY_LAY if kind is None else kind.lays)
    else:
        faults = kind.problems(joint, boards)
    for problem in faults:
        lengths = {name: _length(name, value, units) for name, value in problem.lengths.items()}
        message = problem.text.format(**lengths)
        table, _, key = problem.key.partition(".")
        values = tables.get(table, {})
        problems.add(problem.key, values.get(key), message, shown=key in values)


def _length(name: str, mm: float, units: Units) -> str:
    """A length of a geometry problem; those named least and most are limits."""
    if name == "least":
        return format_limit(mm, units, "least")
    return format_limit(mm, units, "most") if name == "most" else format_length(mm, units)


def specimen_toml(specimen: Specimen) -> str:
    """The specimen as the text of a specimen file, with all changes; it reads back to the same specimen."""
    return toml_text(specimen.as_read)


def files_of(specimens: Iterable[Specimen]) -> list[str]:
    """Every file that was read for these specimens: their own, and wood and glue files named in them."""
    paths: dict[str, None] = {}
    for specimen in specimens:
        paths[specimen.path] = None
        for table in specimen.as_read.values():
            values = table.values() if isinstance(table, Mapping) else ()
            paths.update({value: None for value in values if isinstance(value, str) and os.path.isabs(value)})
    return list(paths)
