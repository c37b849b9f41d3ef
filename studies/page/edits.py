"""What was typed or chosen at a word of the sentence, put into the corner as a file would hold it.

It is kept even where it is wrong: the reader of files says so afterwards.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from glueline.geometries import Boards
from glueline.geometries.joint_kind import JointKind, board_problems, cannot_be
from glueline.studies.corner.new_corner import boards_of, fitting_leg, usual_corner, usual_measures
from glueline.studies.files.key_changes import (
    apply_changes,
    changed_value,
    dotted,
    find_joint,
    key_parts,
    surfaces_of,
    value_at,
)
from glueline.studies.files.toml_tables import toml_value
from glueline.studies.files.units import IMPERIAL_LENGTHS, LENGTH, UnitError, Units, read
from glueline.studies.files.words import one_of
from glueline.studies.page.asked import EITHER, OWN_SURFACES, Asked, asked_of
from glueline.studies.page.read_parts import TABLES, clean, kind_of, read_parts, table_of
from glueline.studies.page.texts import quantity_text, standing_unit
from glueline.studies.page.unit_switch import in_units

LONGEST_TYPED = 500  # letters that are kept
LARGEST_COUNT = 10**9  # beyond it a number is kept as text
UNITS_KEY = "units"
ANSWERS = {"yes": "true", "no": "false", "y": "true", "n": "false"}


@dataclass(frozen=True)
class Edited:
    """A corner after an edit, the units that it is shown in, and what is wrong with the edit's key."""

    corner: dict[str, Any]
    units: Units
    wrong: tuple[tuple[str, str], ...] = ()


def edited(corner: Mapping[str, Any], units: Units, key: str, value: str) -> Edited:
    """The corner with what was typed or chosen at a key. Raises nothing; ``corner`` stays as it is.

    An empty value takes the key out again. The key ``units`` turns the corner into other units, a kind of
    joint brings its usual measures, and a choice between two measures takes the middle of what fits.

    >>> corner = {"joint": {"kind": "butt"}, "boards": {"width": "90 mm"}}
    >>> edited(corner, "metric", "boards.width", "80").corner["boards"]
    {'width': '80 mm'}
    """
    key, text = (clean(each[:LONGEST_TYPED]) for each in (key, value.strip()))
    if key == UNITS_KEY:
        if text not in ("metric", "imperial"):
            return Edited(dict(corner), units, ((key, "must be metric or imperial"),))
        chosen: Units = "imperial" if text == "imperial" else "metric"
        return Edited(in_units(corner, chosen), chosen)
    kind = kind_of(corner)
    if dotted(key) == "joint.kind" and (new := find_joint(text)) is not None and new is not kind:
        return Edited(with_kind(corner, new, units), units)
    if EITHER in key:
        return _chosen_of_two(corner, units, key, text, kind)
    if dotted(key) == OWN_SURFACES:
        if text not in surfaces_of(kind):
            right = f"must be one of the glued surfaces: {one_of(surfaces_of(kind))}"
            return Edited(dict(corner), units, ((key, right),))
        key, text = f"{OWN_SURFACES}.{text}.coverage", str(value_at(corner, "glue.coverage") or "100 %")
    asked = asked_of(key, kind)
    if not text and asked is not None and _may_go(corner, asked):
        return Edited(_taken_out(corner, key_parts(key)), units)
    changed, _, wrong = apply_changes(_tables(corner), [(key, as_typed(corner, asked, text, units))])
    return Edited(changed, units, tuple((key, each.message) for each in wrong))


def _may_go(corner: Mapping[str, Any], asked: Asked) -> bool:
    """Whether a key may be left out: where another that excludes it is there, even what is required."""
    return not asked.required or (asked.other is not None and value_at(corner, asked.other) is not None)


def as_typed(corner: Mapping[str, Any], asked: Asked | None, text: str, units: Units) -> str:
    """What was typed as the command line would take it; a bare number with the unit that stood there."""
    if asked is None:
        return toml_value(text)
    if asked.shape == "yes or no":
        text = ANSWERS.get(text.casefold(), text.casefold() if text.casefold() in ("true", "false") else text)
        return text if text in ("true", "false") else toml_value(text)
    if asked.shape == "count":
        count = changed_value(text)
        whole = isinstance(count, int) and not isinstance(count, bool) and abs(count) <= LARGEST_COUNT
        return text if whole else toml_value(text)
    unquoted = changed_value(text)
    text = unquoted if isinstance(unquoted, str) else text
    return toml_value(_with_unit(corner, asked, text, units))


def _with_unit(corner: Mapping[str, Any], asked: Asked, text: str, units: Units) -> str:
    if asked.quantity is None:
        return text
    try:
        read(text, asked.quantity)
    except UnitError:
        unit = standing_unit(asked, value_at(corner, asked.key), units)
        # A fraction alone is one of an inch: under millimetres the reader asks which was meant.
        if "/" in text and asked.quantity == LENGTH and unit not in IMPERIAL_LENGTHS:
            return text
        try:
            read(f"{text} {unit}", asked.quantity)
        except UnitError:
            return text
        return f"{text} {unit}"
    return text


def with_kind(corner: Mapping[str, Any], kind: JointKind, units: Units) -> dict[str, Any]:
    """The corner with another joint on its boards, of usual measures, and its lay changed where it must be.

    >>> from glueline.geometries import JOINTS
    >>> box = usual_corner(JOINTS["butt"], "metric")
    >>> with_kind(box, JOINTS["bridle"], "metric")["boards"]["lay"]
    'frame'
    """
    old = read_parts(corner)
    tables, _, _ = apply_changes(_tables(corner), [("joint.kind", toml_value(kind.kind))])
    boards = dict(table_of(tables, "boards"))
    lay = boards.get("lay") if old.boards is None else old.boards.lay
    if lay is not None and lay not in kind.lays:
        boards["lay"] = kind.lays[0]
        if old.boards is not None:
            boards["leg"] = fitting_leg({"boards": boards}, units)
    elif lay is not None and lay != kind.lays[0]:
        boards["lay"] = lay
    if not kind.allows_thickness_b:
        boards.pop("thickness_b", None)
    tables["boards"] = boards
    fits = _usual_boards(kind, boards, units)
    tables["joint"] = {"kind": kind.kind, **usual_measures(kind, fits, units)}
    return tables


def _usual_boards(kind: JointKind, boards: Mapping[str, Any], units: Units) -> Boards:
    """The boards where they can be, else those usual for the joint."""
    parts = read_parts({"joint": {"kind": kind.kind}, "boards": boards})
    if parts.boards is None or cannot_be(board_problems(parts.boards, kind.lays)):
        return boards_of(usual_boards(kind, units))
    return parts.boards


def usual_boards(kind: JointKind, units: Units) -> dict[str, Any]:
    """Tables with the boards usual for a joint."""
    return {"boards": usual_corner(kind, units)["boards"]}


def _chosen_of_two(
    corner: Mapping[str, Any], units: Units, key: str, value: str, kind: JointKind | None
) -> Edited:
    """The corner with one of two measures in place of the other, at the middle of what fits."""
    from glueline.studies.page.sentence_ranges import stops_of

    asked, chosen = asked_of(key, kind), asked_of(value, kind)
    if asked is None or chosen is None or value not in [choice.value for choice in asked.choices]:
        return Edited(dict(corner), units, ((key, "must be one of the two"),))
    if value_at(corner, value) is not None:
        return Edited(dict(corner), units)
    stops = stops_of(corner, units, value)["stops"]
    usual = _usual_of(kind, corner, chosen, units)
    middle = stops[len(stops) // 2] if stops else "" if chosen.quantity is None else _one(chosen, units)
    return edited(corner, units, value, usual or middle)


def _usual_of(kind: JointKind | None, corner: Mapping[str, Any], asked: Asked, units: Units) -> str | None:
    if kind is None:
        return None
    boards = _usual_boards(kind, table_of(corner, "boards"), units)
    usual = usual_measures(kind, boards, units).get(asked.name)
    return None if usual is None else str(usual)


def _one(asked: Asked, units: Units) -> str:
    """A text of the right form where nothing fits."""
    return "" if asked.quantity is None else quantity_text(1.0, asked.quantity, units)


def _taken_out(corner: Mapping[str, Any], parts: tuple[str, ...]) -> dict[str, Any]:
    """The corner without one key, and without tables of surfaces that are empty then."""
    tables, _, _ = apply_changes(_tables(corner), [])
    path = [tables]
    for part in parts[:-1]:
        inside = path[-1].get(part)
        if not isinstance(inside, dict):
            return tables
        path.append(inside)
    path[-1].pop(parts[-1], None)
    for depth in range(len(path) - 1, 1, -1):
        if not path[depth]:
            del path[depth - 1][parts[depth - 1]]
    return tables


def _tables(corner: Mapping[str, Any]) -> dict[str, Any]:
    """The corner with every table that may be changed; what stands in place of one is kept."""
    return {**{name: {} for name in TABLES}, **corner}
