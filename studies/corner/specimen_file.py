"""Reading a specimen file: every mistake at once, each with file, key, value and what would be right."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, cast

from glueline.geometries import BOARD_B, JOINTS, Boards, Layout
from glueline.geometries.joint_kind import ANY_LAY, JointKind, Problem, board_problems
from glueline.materials import Glue, SurfaceWorkmanship, Wood, at_moisture, find_glue, find_wood, wood_names
from glueline.materials.names import nearest
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.workmanship_tables import read_surfaces, read_workmanship
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.key_changes import (
    TABLE_KEYS,
    all_joint_fields,
    apply_changes,
    find_joint,
    joint_fields,
    joint_names,
)
from glueline.studies.files.own_files import by_name, is_path, read_glue_file, read_wood_file
from glueline.studies.files.toml_tables import (
    NAME_RIGHT,
    Problems,
    Table,
    is_text,
    printable,
    read_toml,
    toml_text,
)
from glueline.studies.files.units import (
    ANGLE,
    FORCE,
    IMPERIAL_LENGTHS,
    LENGTH,
    PERCENT,
    SPRING,
    Quantity,
    Units,
    format_length,
    format_limit,
)
from glueline.studies.files.words import one_of

DEFAULT_GLUE = "pva"
DEFAULT_MOISTURE = 12.0
QUANTITIES: Mapping[str, Quantity] = {"length": LENGTH, "angle": ANGLE, "force": FORCE, "stiffness": SPRING}
"""Of a joint's measures that are written with a unit, by what the joint calls them."""
DAMP, DRY = 16.0, 5.0  # percent: beyond these the specimen carries a warning


@dataclass
class Reading:
    """One specimen file being read; ``paths`` collects absolute paths of wood and glue files by key."""

    file: str
    problems: Problems
    further: list[InputProblem] = field(default_factory=list)
    paths: dict[tuple[str, str], str] = field(default_factory=dict)
    woods: dict[str, Wood | None] = field(default_factory=dict)

    def resolve(self, table: Table, key: str, name: str) -> str | None:
        """The absolute path of a wood or glue file: beside the specimen file, or here if typed on --set."""
        dotted = table.key(key)
        folder = os.getcwd() if dotted in self.problems.typed else os.path.dirname(os.path.abspath(self.file))
        path = os.path.normpath(os.path.join(folder, os.path.expanduser(name)))
        if not is_text(path):
            table.wrong(key, f"lies at a path that no record can hold, {printable(path)}: {NAME_RIGHT}")
            return None
        if not os.path.isfile(path):
            reason = "is a directory" if os.path.isdir(path) else "no such file"
            table.wrong(key, f"{reason}: {printable(path)}; paths are relative to the file that names them")
            return None
        self.paths[table.name, key] = path
        return path

    def wood(self, table: Table, key: str, *, required: bool = False) -> Wood | None:
        """The wood named at ``key``, by name or by path."""
        name = table.text(key, '"hard maple"', required=required)
        if name is None:
            return None
        if not is_path(name):
            return by_name(table, key, name, find_wood, "wood")
        path = self.resolve(table, key, name)
        if path is None:
            return None
        if path not in self.woods:
            self.woods[path] = None
            try:
                self.woods[path] = read_wood_file(path)
            except InputError as error:
                self.further += error.problems
        return self.woods[path]

    def glue(self, table: Table) -> Glue | None:
        """The glue, by name or by path; PVA where none is named."""
        name = table.text("kind", '"pva"') if table.has("kind") else DEFAULT_GLUE
        if name is None:
            return None
        if not is_path(name):
            return by_name(table, "kind", name, find_glue, "glue")
        path = self.resolve(table, "kind", name)
        if path is None:
            return None
        try:
            return read_glue_file(path)
        except InputError as error:
            self.further += error.problems
            return None


def read_specimen(path: str | os.PathLike[str], changes: Sequence[tuple[str, str]] = ()) -> Specimen:
    """The specimen in a TOML file, with ``changes`` (dotted key, value as typed) made first.

    Raises InputError, and nothing else, with everything that is wrong.

    >>> from glueline.studies.examples import example_path
    >>> corner = read_specimen(example_path("finger"), [("joint.fingers", "5"), ("boards.wood", "white oak")])
    >>> corner.joint.fingers, corner.woods["board A"].name
    (5, 'White oak')
    """
    tables, typed, wrong = apply_changes(read_toml(path), changes)
    problems = Problems(printable(os.fspath(path)), typed)
    problems.entries += wrong
    return _specimen(path, tables, problems)


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
    reading = Reading(os.fspath(path), problems)
    top = Table("", tables, problems)
    parts = {table: _table(top, table) for table in TABLE_KEYS}
    top.refuse_unknown()

    kind = _kind(parts["joint"])
    joint, own_woods = _joint(reading, kind, parts["joint"])
    boards, wood_a, wood_b, sawn = _boards(reading, kind, parts["boards"])
    moisture = _moisture(parts["boards"], [wood_a, wood_b, *own_woods.values()])
    glue = reading.glue(parts["glue"])
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
        _geometry(kind, joint, boards, tables, problems, _mostly(parts["joint"], parts["boards"]))
    all_problems = tuple(dict.fromkeys([*problems.entries, *reading.further]))
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
    for (table_name, key), absolute in reading.paths.items():
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
            *_warnings(moisture),
            *calibration_note(glue),
            *_not_here(surfaces, kind.layout(joint, boards)),
        ),
        units=_measured_in(parts["boards"]),
        as_read=tables,
    )


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


def _table(top: Table, name: str) -> Table:
    values = top.values[name] if top.has(name) else {}
    if not isinstance(values, Mapping):
        top.wrong(name, f"must be a table: a line [{name}] with its keys below")
        values = {}
    return Table(name, values, top.problems)


def _kind(table: Table) -> JointKind | None:
    name = table.text("kind", '"finger"', required=True)
    if name is None:
        return None
    kind = find_joint(name)
    if kind is None:
        near = nearest(name, joint_names())
        hint = f'did you mean "{near}"? It' if near else "it"
        table.wrong("kind", f"is not a joint known here: {hint} must be {one_of(list(JOINTS))}")
    return kind


def _joint(
    reading: Reading, kind: JointKind | None, table: Table
) -> tuple[Any, dict[str | None, Wood | None]]:
    """The joint's measures as its dataclass, None where they are not all there; its woods by their keys."""
    if kind is None:
        return None, {}
    before = len(table.problems.entries) + len(reading.further)
    measures: dict[str, Any] = {}
    woods: dict[str | None, Wood | None] = {}
    fields = joint_fields(kind)
    for name, about in fields.items():
        words = about["words"]
        other = about.get("exclusive_with")
        required = about["required"] and other is None
        if about["quantity"] == "wood name":
            woods[name] = reading.wood(table, name, required=required)
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
    if len(table.problems.entries) + len(reading.further) > before:
        return None, woods
    return kind.parameters(**{name: value for name, value in measures.items() if value is not None}), woods


def _one_of_two(table: Table, kind: JointKind, name: str, other: str, required: bool) -> None:
    if name in table.values and other in table.values:
        table.wrong(other, f"cannot stand beside {table.key(name)}: give one of the two")
    elif required and name not in table.values and other not in table.values:
        words = f"a {kind.kind} corner needs {table.key(name)} or {table.key(other)}"
        table.problems.add_missing(table.key(name), words)


def _boards(
    reading: Reading, kind: JointKind | None, table: Table
) -> tuple[Boards | None, Wood | None, Wood | None, Literal["flat", "quarter"]]:
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
    wood_a = reading.wood(table, "wood", required=True)
    wood_b = reading.wood(table, "wood_b") if table.has("wood_b") else wood_a
    sawn = table.choice("sawn", ("flat", "quarter"), "flat")
    boards = None
    if thickness is not None and width is not None and leg is not None and lay is not None:
        boards = Boards(thickness, width, leg, cast(Literal["box", "frame"], lay), thickness_b)
    return boards, wood_a, wood_b, "quarter" if sawn == "quarter" else "flat"


def _moisture(table: Table, woods: Sequence[Wood | None]) -> float | None:
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


def _measured_in(boards: Table) -> Units:
    """Imperial where every length of the boards is, else metric."""
    lengths = [unit for unit in boards.units_read if unit in LENGTH.units]
    return "imperial" if lengths and all(unit in IMPERIAL_LENGTHS for unit in lengths) else "metric"


def _mostly(*tables: Table) -> Units:
    """The units in which most lengths of the file are written."""
    written = [unit for table in tables for unit in table.units_read]
    inches = sum(unit in IMPERIAL_LENGTHS for unit in written)
    return "imperial" if inches > sum(unit in LENGTH.units for unit in written) - inches else "metric"


def _geometry(
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


def calibration_note(glue: Glue) -> tuple[str, ...]:
    """That the quality of a glue was set from breaks, from which, and how far a load can still be off.

    Nothing where it was not.
    """
    if not glue.calibrated:
        return ()
    if glue.load_factor is None:
        off = (
            "The file of this calibrated glue is an older one and does not say how far off a load can be: "
            "run calibrate again to know."
        )
    else:
        low, high = 100 / glue.load_factor, 100 * glue.load_factor
        off = (
            f"Even with this calibrated glue the load can be off: broken, corners like this may hold from "
            f"{low:.0f} % to {high:.0f} % of it on average (95 % limits)."
        )
    return f"The glue is calibrated: {glue.calibrated.rstrip('.')}.", off


def _not_here(surfaces: Mapping[str, SurfaceWorkmanship], layout: Layout) -> tuple[str, ...]:
    """Which surfaces have workmanship of their own though this corner has them not, as its kind may."""
    here = {joining.name for joining in layout.joinings}
    return tuple(
        f"This corner has no {name}: what the glue table says of it changes nothing."
        for name in surfaces
        if name not in here
    )


def _warnings(moisture: float) -> tuple[str, ...]:
    if moisture > DAMP:
        return (
            f"The wood is damp ({moisture:g} %): above {DAMP:g} % the glue line itself loses strength, "
            "and the answer is less certain.",
        )
    if moisture < DRY:
        return (
            f"The wood is very dry ({moisture:g} %): below {DRY:g} % it cracks and moves easily, and "
            "the answer is less certain.",
        )
    return ()
