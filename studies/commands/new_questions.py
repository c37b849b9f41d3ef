"""The questions of glueline new: each offers what is usual; the reader of files checks each answer."""

from __future__ import annotations

import re
import shutil
import textwrap
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import questionary

from glueline.geometries import JOINTS, Boards
from glueline.geometries.joint_kind import LAYS_SAID, JointKind
from glueline.materials import also_called, find_glue, glue_names, wood_names
from glueline.studies.commands.new import refusal
from glueline.studies.commands.streams import say
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.new_corner import (
    SIZES,
    SIZES_SAID,
    Tables,
    boards_of,
    corner_text,
    fitting_leg,
    problems_with,
    usual_corner,
    usual_measures,
)
from glueline.studies.files.key_changes import changed_value, joint_fields
from glueline.studies.files.units import Units

Check = Callable[[Any], "str | None"]


def ask(units: Units | None, file: str | None) -> tuple[str, str]:
    """The file to write and its text; what is given is not asked.

    Raises KeyboardInterrupt and EOFError as the keyboard gives them.
    """
    print("Enter takes what is offered; Ctrl-C leaves, and nothing is written.")
    units = units or _choose(
        "In what do you measure?",
        {"metric": ("millimetres", None), "imperial": ("inches and fractions", None)},
    )
    kind = JOINTS[_choose("Which joint?", {name: (name, each.summary) for name, each in JOINTS.items()})]
    lay = kind.lays[0]
    if len(kind.lays) > 1:
        lay = _choose("How do the boards lie?", {lay: (lay, LAYS_SAID[lay]) for lay in kind.lays})
    tables = usual_corner(kind, units, lay)
    while True:
        _ask_boards(tables, kind, units)
        _ask_joint(tables, kind, boards_of(tables), units)
        wrong = problems_with(tables)
        if not wrong:
            break
        indented = [
            textwrap.fill(each, _width(), initial_indent="  ", subsequent_indent="    ") for each in wrong
        ]
        say("\n".join(["This does not fit together; once more:", *indented]))
    _ask_value(tables, "boards.wood", "Which wood?", _wood_spellings())
    glues = [name for name in glue_names() if kind.holds_dry or find_glue(name).holds]
    tables["glue"]["kind"] = _choose("Which glue?", {name: (name, None) for name in glues})
    tables["load"]["arrangement"] = _choose(
        "How is it loaded?",
        {name: (name, f"{each.words}; it {each.sense} the corner") for name, each in ARRANGEMENTS.items()},
    )
    text = corner_text(tables, units)
    return file or _text("Save it as?", _free_name(kind), refusal), text


def _ask_boards(tables: Tables, kind: JointKind, units: Units) -> None:
    # The joint's own measures come after the boards on which they must fit.
    boards_only: Tables = {**tables, "joint": {"kind": kind.kind}}
    for size in SIZES:
        if size == "leg":
            tables["boards"]["leg"] = fitting_leg(tables, units)
        _ask_value(boards_only, f"boards.{size}", f"{_begun(SIZES_SAID[size])}?")


def _ask_joint(tables: Tables, kind: JointKind, boards: Boards, units: Units) -> None:
    """What must be stated of the joint; what follows from the boards is left to the file's notes."""
    tables["joint"] = {"kind": kind.kind, **usual_measures(kind, boards, units)}
    fields = joint_fields(kind)
    for name in list(tables["joint"])[1:]:
        _ask_value(tables, f"joint.{name}", f"{_begun(fields[name]['words'])}?")


def _ask_value(tables: Tables, key: str, question: str, spellings: Sequence[str] = ()) -> None:
    """Ask for the value of a dotted key until the reader of files takes it, and put it in its place."""
    table, _, name = key.partition(".")
    offered = tables[table][name]

    def complaint(typed: str) -> str | None:
        tried = {**tables, table: {**tables[table], name: _value(typed, offered)}}
        return next(iter(problems_with(tried, (key,))), None)

    tables[table][name] = _value(_text(question, str(offered), complaint, spellings), offered)


def _value(typed: str, offered: Any) -> Any:
    """What was typed, as a file would hold it: a number or a yes where such a one was offered."""
    return typed if isinstance(offered, str) else changed_value(typed)


def _choose(question: str, choices: Mapping[Any, tuple[str, str | None]]) -> Any:
    """One of several, the first offered; each by its name, with what is said of it while pointed at."""
    shown = [
        questionary.Choice(name, value, description=None if said is None else _in_lines(said))
        for value, (name, said) in choices.items()
    ]
    return _answer(questionary.select(question, shown, instruction="(arrow keys, then Enter)"))


def _in_lines(words: str) -> str:
    """Words that stand behind ``Description:`` in lines that this terminal has room for."""
    return textwrap.fill(words, _width(), initial_indent=" " * 15, subsequent_indent=" " * 15).strip()


def _width() -> int:
    """Letters that a line of this terminal has room for."""
    return max(shutil.get_terminal_size().columns - 1, 40)


def _answer(question: questionary.Question) -> Any:
    """What is answered; an interrupt from outside, which a choice would swallow, ends it as Ctrl-C does."""
    return question.application.run(handle_sigint=False)


def _text(question: str, offered: str, complaint: Check, spellings: Sequence[str] = ()) -> str:
    """A line of text; nothing typed takes what is offered. A long complaint stands in several lines."""
    lines = [""]

    def checked(typed: str) -> bool | str:
        wrong = complaint(typed.strip() or offered)
        if wrong is None:
            return True
        lines[:] = textwrap.wrap(re.sub(r" \(units: [^)]*\)", "", wrong), _width())
        return "\n".join(lines)

    if spellings:
        asked = questionary.autocomplete(f"{question} [{offered}]", list(spellings), validate=checked)
    else:
        asked = questionary.text(question, validate=checked, instruction=f"[{offered}]")
    # The window of complaints is one line high, which would cut them off.
    for window in asked.application.layout.find_all_windows():
        if window.height == 1:
            window.height = lambda: len(lines)
    return str(_answer(asked)).strip() or offered


def _wood_spellings() -> list[str]:
    return [spelling for name in wood_names() for spelling in (name, *also_called(name))]


def _free_name(kind: JointKind) -> str:
    """A name for the file that is not taken."""
    stem = re.sub(r"[^a-z0-9]+", "_", kind.kind)
    names = (f"{stem}{f'_{number}' if number > 1 else ''}.toml" for number in range(1, 1000))
    return next((name for name in names if refusal(name) is None), f"{stem}.toml")


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]
