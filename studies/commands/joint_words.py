"""The joints in words: their keys, what fits on the example's boards, and the words an answer can use."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from glueline.geometries import JOINTS
from glueline.geometries.joint_kind import JointKind
from glueline.materials.workmanship import SURFACE_KEYS
from glueline.studies.commands.joint_drawing import drawing, joint_table
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.connections import FASTENER_MODES, GLUE_MODES
from glueline.studies.corner.fitting import fitting_ends
from glueline.studies.corner.new_corner import arrangement_words
from glueline.studies.corner.proportions import Proportion, proportions
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.corner.vocabulary import CAUTIONS, YIELD
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.display import words_in_units
from glueline.studies.files.key_changes import joint_fields
from glueline.studies.files.units import Units, format_length, format_limit
from glueline.studies.files.words import all_of, one_of

SURFACES_SAID = (
    f"Any surface can have its own {all_of(SURFACE_KEYS)} in place of those of [glue]: a table\n"
    '[glue.surfaces."finger cheeks"], or --set "glue.surfaces.finger cheeks.coverage=60 %".'
)
WOOD_ALONE = tuple(mode for mode in WOOD_MODES if mode not in FASTENER_MODES)
MOST_COUNT = 200
MOST_TENTHS = 3000  # of a mm


def joints_object() -> dict[str, Any]:
    """Joints and vocabularies for JSON; lengths in mm."""
    return {
        "joints": [
            {
                "kind": kind.kind,
                "also_called": list(kind.aliases),
                "summary": kind.summary,
                "keys": {
                    name: {
                        "meaning": about["words"],
                        "quantity": about["quantity"],
                        "required": bool(about["required"]),
                        "instead_of": about.get("exclusive_with"),
                        "choices": list(about.get("choices", ())) or None,
                        "default": about.get("default"),
                        "default_on_example": _defaults(kind).get(name),
                        "range_on_example": fitting_range(kind, name, about["quantity"]),
                    }
                    for name, about in joint_fields(kind).items()
                },
                "lays": list(kind.lays),
                "thickness_b": kind.allows_thickness_b,
                "surfaces": [words.name for words in kind.surfaces],
                "pieces": list(dict.fromkeys(words.name for words in kind.pieces)),
                "where": list(kind.places),
                "drawing": _drawn(kind, "metric"),
            }
            for kind in JOINTS.values()
        ],
        "mode": {"glue": list(GLUE_MODES), "wood": list(WOOD_ALONE), "fastener": list(FASTENER_MODES)},
        "surface_keys": list(SURFACE_KEYS),
        "arrangement": list(ARRANGEMENTS),
        "note": YIELD,
    }


def joints_text(units: Units) -> str:
    """Joints and vocabularies for people."""
    parts = []
    for kind in JOINTS.values():
        parts += [f"{kind.kind} ({', '.join(kind.aliases)})", f"  {kind.summary}", ""]
        parts += [f"      {line}".rstrip() for line in _drawn(kind, units)]
        for name, about in joint_fields(kind).items():
            parts.append(f"  joint.{name}: {about['words']}{_rule(kind, name, units)}")
        if len(kind.lays) == 1:
            parts.append(f"  boards.lay: {kind.lays[0]}, as it is if left out")
        if kind.allows_thickness_b:
            parts.append("  boards.thickness_b: thickness of board B, where it differs")
        parts.append(f"  surfaces: {', '.join(words.name for words in kind.surfaces)}")
        parts.append("  where:")
        parts += [f"    {place}" for place in kind.places]
        parts.append("")
    parts += [
        f"Ranges, and what is taken where a key is left out, are those on the boards of the examples: "
        f"{_boards_of('butt', units)}; in frames {_boards_of('half-lap', units)}.",
        SURFACES_SAID,
        "",
        "mode, where the glue gives:",
        *(f"    {mode}" for mode in GLUE_MODES),
        "mode, where the wood gives:",
        *(f"    {mode}" for mode in WOOD_ALONE),
        YIELD,
        "mode, where a fastener gives (screw, fitting, dowel, or the wood that holds them):",
        *(f"    {mode}" for mode in FASTENER_MODES),
        "",
        "arrangement:",
        *(f"    {arrangement_words(arrangement)}" for arrangement in ARRANGEMENTS.values()),
        "",
        CAUTIONS,
    ]
    return "\n".join(parts)


def _boards_of(kind: str, units: Units) -> str:
    boards = read_specimen(example_path(_example_of(kind))).boards
    sizes = ("thickness", "width", "leg")
    return ", ".join(f"{name} {format_length(getattr(boards, name), units)}" for name in sizes)


def _example_of(kind: str) -> str:
    return kind.replace(" ", "_").replace("-", "_")


def _drawn(kind: JointKind, units: Units) -> list[str]:
    """The joint of the example of its kind as a drawing and as the table of a specimen; [] without one."""
    if _example_of(kind.kind) not in EXAMPLES:
        return []
    example = read_specimen(example_path(_example_of(kind.kind)))
    layout = kind.layout(kind.filled(example.joint, example.boards), example.boards)
    return [*drawing(layout, units), "", *joint_table(kind, example), ""]


def _left_out(kind: JointKind) -> dict[str, Proportion]:
    """What the joint takes on its example's boards for every key that may be left to them."""
    if _example_of(kind.kind) not in EXAMPLES:
        return {}
    example = read_specimen(example_path(_example_of(kind.kind)))
    left = {name: None for name, about in joint_fields(kind).items() if "default" in about}
    return {each.key: each for each in proportions(kind, replace(example.joint, **left), example.boards)}


def _defaults(kind: JointKind) -> dict[str, Any]:
    """The same as values; lengths in mm, a slope as it is typed."""
    return {
        name: each.as_typed if each.quantity == "slope" else each.value
        for name, each in _left_out(kind).items()
    }


def fitting_range(kind: JointKind, name: str, quantity: str) -> list[float] | None:
    """Least and most of one measure that fit on the example of that joint, the others as they are there.

    Counts as they are, lengths in mm to a tenth; None for what is neither or a joint without an example.
    """
    if quantity not in ("count", "length") or _example_of(kind.kind) not in EXAMPLES:
        return None
    example = read_specimen(example_path(_example_of(kind.kind)))
    joint, boards = example.joint, example.boards
    other = joint_fields(kind)[name].get("exclusive_with")
    if other is not None:
        joint = replace(joint, **{name: 1, other: None})
    counted = quantity == "count"
    per_step, most = (1, MOST_COUNT) if counted else (10, MOST_TENTHS)

    def fits(steps: int) -> bool:
        value = steps if counted else steps / per_step
        return not kind.problems(replace(joint, **{name: value}), boards)

    # What is as large as a board may fit alone: a rebate as wide as board B is thick has no tongue.
    likely = getattr(joint, name) or 1, boards.thickness, boards.thickness_b or 1, boards.width
    ends = fitting_ends(fits, most, near=[round(per_step * each) for each in likely])
    return None if ends is None else [end if counted else end / per_step for end in ends]


def _rule(kind: JointKind, name: str, units: Units) -> str:
    about = joint_fields(kind)[name]
    words = "" if about["required"] else "; may be left out"
    if "default" in about:
        words = f"; if left out {words_in_units(about['default'], units)}"
        shown = _left_out(kind).get(name)
        if shown is not None and about["quantity"] in ("count", "length"):
            words += f", here {shown.said(units).removeprefix(f'{shown.label} ')}"
    if "choices" in about:
        words = f": {one_of(about['choices'])}{words}"
    if about.get("exclusive_with"):
        words = f"; or joint.{about['exclusive_with']} instead"
    limits = fitting_range(kind, name, about["quantity"])
    if limits is None:
        return words
    if about["quantity"] == "count":
        return f"{words}; {limits[0]:g} to {limits[1]:g}"
    least, most = format_limit(limits[0], units, "least"), format_limit(limits[1], units, "most")
    return f"{words}; {least} to {most}"
