"""A specimen file to begin with: a kind of joint on usual boards, every line with what it means."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from glueline.geometries import JOINTS, Boards
from glueline.geometries.joint_kind import LAYS_SAID, JointKind
from glueline.geometries.layout import Lay
from glueline.materials import glue_names
from glueline.studies.corner.arrangements import ARRANGEMENTS, LoadArrangement
from glueline.studies.corner.named_materials import DEFAULT_GLUE
from glueline.studies.corner.proportions import Proportion, measures
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.files.display import words_in_units
from glueline.studies.files.failures import InputError
from glueline.studies.files.key_changes import joint_fields
from glueline.studies.files.toml_tables import toml_value
from glueline.studies.files.units import LENGTH, UnitError, Units, format_cut, format_length, read
from glueline.studies.files.words import one_of

Tables = dict[str, dict[str, Any]]

USUAL_SIZES: Mapping[tuple[Units, Lay], tuple[str, str, str]] = {
    ("metric", "box"): ("19 mm", "90 mm", "150 mm"),
    ("metric", "frame"): ("19 mm", "60 mm", "200 mm"),
    ("imperial", "box"): ("3/4 in", "3 1/2 in", "6 in"),
    ("imperial", "frame"): ("3/4 in", "2 1/2 in", "8 in"),
}
"""Thickness, width and leg that are offered: common practice, no source."""
USUAL_GAP: Mapping[Units, str] = {"metric": "0.2 mm", "imperial": "1/64 in"}
EXAMPLES: Mapping[str, str] = {"count": "3", "wood name": '"red oak"'}
"""What a note shows for a measure that nothing is taken for, by its quantity; else the thickness."""
SIZES = ("thickness", "width", "leg")
SIZES_SAID = {
    "thickness": "thickness of the boards",
    "width": "width of the boards",
    "leg": "length of each board, from the outside corner to its tip",
}
WIDEST, NOTES_AT = 100, 28  # letters of a line, and of a key with its value that has its note beside it


def usual_corner(kind: JointKind, units: Units, lay: Lay | None = None) -> Tables:
    """The tables of a specimen file: usual boards for a joint, and the measures usual on them.

    >>> usual_corner(JOINTS["finger"], "imperial")["joint"]
    {'kind': 'finger', 'fingers': 5}
    """
    lay = lay or kind.lays[0]
    sizes = dict(zip(SIZES, USUAL_SIZES[units, lay], strict=True))
    boards = {**sizes, "lay": lay, "wood": "hard maple", "sawn": "flat", "moisture": "12 %"}
    tables: Tables = {
        "joint": {"kind": kind.kind},
        "boards": boards,
        "glue": {"kind": DEFAULT_GLUE},
        "load": {"arrangement": next(iter(ARRANGEMENTS))},
    }
    tables["joint"] |= usual_measures(kind, boards_of(tables), units)
    return tables


def usual_measures(kind: JointKind, boards: Boards, units: Units) -> dict[str, Any]:
    """What must be stated of a joint, as common practice has it on these boards, as a file would hold it."""
    if kind.usual is None:
        return {}
    usual = kind.usual(boards)
    stated = [each for each in measures(kind, usual, boards) if getattr(usual, each.key) is not None]
    return {each.key: _typed(each, units) for each in stated}


def boards_of(tables: Mapping[str, Mapping[str, Any]]) -> Boards:
    """The boards of tables whose sizes can be read. Raises UnitError."""
    boards = tables["boards"]
    thickness, width, leg = (read(boards[size], LENGTH)[0] for size in SIZES)
    return Boards(thickness, width, leg, boards["lay"])


def problems_with(tables: Mapping[str, Any], keys: tuple[str, ...] = ()) -> list[str]:
    """What the reader of files says is wrong with tables: of all of them, or of these dotted keys only."""
    try:
        specimen_of("new", tables)
    except InputError as error:
        return [each.message for each in error.problems if not keys or each.key in keys]
    return []


def corner_text(tables: Tables, units: Units) -> str:
    """The text of a specimen file with these tables, in ASCII: comments say what each line means."""
    kind = JOINTS[tables["joint"]["kind"]]
    lines = [
        f"# {_a(kind.kind)} corner, as `glueline new` begins it. Change what differs in yours;",
        "# what stands after a # is a note. What it holds:  glueline predict FILE",
        "",
        "[joint]",
        _line("kind", kind.kind, kind.summary),
        *_joint_lines(kind, tables, units),
        "",
        "[boards]",
        *(_line(size, tables["boards"][size], SIZES_SAID[size]) for size in SIZES),
        _line("lay", tables["boards"]["lay"], LAYS_SAID[tables["boards"]["lay"]]),
        _line(
            "wood", tables["boards"]["wood"], "`glueline list woods` names those known; or a wood file's path"
        ),
        _line("# wood_b", "red oak", "board B, where it is of another wood"),
        _line("sawn", tables["boards"]["sawn"], "or quarter"),
        _line("moisture", tables["boards"]["moisture"], "of the wood when it is loaded"),
        "",
        "[glue]",
        _line("kind", tables["glue"]["kind"], f"one of {', '.join(glue_names())}; or a glue file's path"),
        _line("# gap", USUAL_GAP[units], "between the surfaces, where they do not fit closely"),
        _line("# coverage", "80 %", "of the surfaces, where the glue missed some"),
        "",
        "[load]",
        "# how it is loaded:",
        *(f"#     {arrangement_words(each)}" for each in ARRANGEMENTS.values()),
        f"arrangement = {toml_value(tables['load']['arrangement'])}",
    ]
    return "\n".join(lines) + "\n"


def arrangement_words(arrangement: LoadArrangement) -> str:
    """A load arrangement, how it is seen, and what it does to the corner."""
    return f"{arrangement.name}: {arrangement.words}; {arrangement.sense} the corner"


def _joint_lines(kind: JointKind, tables: Tables, units: Units) -> Iterator[str]:
    """The joint's measures that are stated, then those left out, as notes with what is taken for them."""
    stated = tables["joint"]
    fields = joint_fields(kind)
    for name, about in fields.items():
        if name in stated:
            yield _line(name, stated[name], about["words"])
    joint = specimen_of("new", tables).joint
    taken = {each.key: each for each in measures(kind, joint, boards_of(tables))}
    for name, about in fields.items():
        if name in stated:
            continue
        said = about["words"]
        if about.get("exclusive_with") in stated:
            said += f" (in place of {about['exclusive_with']})"
        elif about.get("default"):
            said += f"; left out: {words_in_units(about['default'], units)}"
        if about.get("choices"):
            said += f"; {one_of(about['choices'])}"
        yield from textwrap.wrap(said, WIDEST, initial_indent="# ", subsequent_indent="#   ")
        thickness = toml_value(tables["boards"]["thickness"])
        example = EXAMPLES.get(about["quantity"], thickness)
        value = toml_value(_typed(taken[name], units)) if name in taken else example
        yield f"# {name} = {value}"


def _typed(each: Proportion, units: Units) -> Any:
    """A measure as a maker would type it: to a tenth of a mm, or to a fraction of an inch."""
    if each.quantity != "length":
        return each.as_typed
    return format_length(round(each.value, 1), units) if units == "metric" else format_cut(each.value, units)


def _line(key: str, value: Any, said: str) -> str:
    """A key and its value with a note beside it, or above it where either would be too wide."""
    pair = f"{key} = {toml_value(value)}"
    beside = f"{pair:<{NOTES_AT}}  # {said}"
    if len(pair) <= NOTES_AT and len(beside) <= WIDEST:
        return beside
    note = textwrap.wrap(said, WIDEST, initial_indent="# ", subsequent_indent="#   ")
    return "\n".join([*note, pair])


def _a(noun: str) -> str:
    return f"{'An' if noun[0] in 'aeiou' else 'A'} {noun}"


def fitting_leg(tables: Tables, units: Units) -> str:
    """The leg that stands there if it fits the thickness and the width, else four times their depth."""
    offered: str = tables["boards"]["leg"]
    try:
        boards = boards_of(tables)
    except UnitError:
        return offered
    deepest = max(boards.depth_a, boards.depth_b)
    if boards.leg >= 3 * deepest:
        return offered
    return format_length(round(4 * deepest), units) if units == "metric" else format_cut(4 * deepest, units)
