"""The joints in words: their keys, what fits on the example's boards, and the words an answer can use."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from glueline.geometries import JOINTS
from glueline.geometries.joint_kind import JointKind
from glueline.materials.workmanship import SURFACE_KEYS
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.connections import GLUE_MODES
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.corner.vocabulary import CAUTIONS, YIELD
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.key_changes import joint_fields
from glueline.studies.files.units import Units, format_length, format_limit
from glueline.studies.files.words import all_of

SURFACES_SAID = (
    f"Any surface can have its own {all_of(SURFACE_KEYS)} in place of those of [glue]: a table\n"
    '[glue.surfaces."finger cheeks"], or --set "glue.surfaces.finger cheeks.coverage=60 %".'
)
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
                        "range_on_example": fitting_range(kind, name, about["quantity"]),
                    }
                    for name, about in joint_fields(kind).items()
                },
                "thickness_b": kind.allows_thickness_b,
                "surfaces": [words.name for words in kind.surfaces],
                "pieces": [words.name for words in kind.pieces],
                "where": list(kind.places),
            }
            for kind in JOINTS.values()
        ],
        "mode": {"glue": list(GLUE_MODES), "wood": list(WOOD_MODES)},
        "surface_keys": list(SURFACE_KEYS),
        "arrangement": list(ARRANGEMENTS),
        "note": YIELD,
    }


def joints_text(units: Units) -> str:
    """Joints and vocabularies for people."""
    parts = []
    for kind in JOINTS.values():
        parts += [f"{kind.kind} ({', '.join(kind.aliases)})", f"  {kind.summary}"]
        for name, about in joint_fields(kind).items():
            parts.append(f"  joint.{name}: {about['words']}{_rule(kind, name, units)}")
        if kind.allows_thickness_b:
            parts.append("  boards.thickness_b: thickness of board B, where it differs")
        parts.append(f"  surfaces: {', '.join(words.name for words in kind.surfaces)}")
        parts.append("  where:")
        parts += [f"    {place}" for place in kind.places]
        parts.append("")
    example = read_specimen(example_path("butt")).boards
    boards = ", ".join(
        f"{name} {format_length(getattr(example, name), units)}" for name in ("thickness", "width", "leg")
    )
    parts += [
        f"Ranges are what fits on the boards of the examples: {boards}.",
        SURFACES_SAID,
        "",
        "mode, where the glue gives:",
        *(f"    {mode}" for mode in GLUE_MODES),
        "mode, where the wood gives:",
        *(f"    {mode}" for mode in WOOD_MODES),
        YIELD,
        "",
        "arrangement:",
        *(f"    {arrangement}" for arrangement in ARRANGEMENTS),
        "",
        CAUTIONS,
    ]
    return "\n".join(parts)


def fitting_range(kind: JointKind, name: str, quantity: str) -> list[float] | None:
    """Least and most of one measure that fit on the example of that joint, the others as they are there.

    Counts as they are, lengths in mm to a tenth; None for a wood or a joint without an example.
    """
    if quantity == "wood name" or kind.kind.replace(" ", "_") not in EXAMPLES:
        return None
    example = read_specimen(example_path(kind.kind.replace(" ", "_")))
    joint, boards = example.joint, example.boards
    other = joint_fields(kind)[name].get("exclusive_with")
    if other is not None:
        joint = replace(joint, **{name: 1, other: None})
    counted = quantity == "count"
    steps = range(1, MOST_COUNT + 1) if counted else [tenth / 10 for tenth in range(1, MOST_TENTHS + 1)]
    fits = [step for step in steps if not kind.problems(replace(joint, **{name: step}), boards)]
    return [fits[0], fits[-1]] if fits else None


def _rule(kind: JointKind, name: str, units: Units) -> str:
    about = joint_fields(kind)[name]
    words = "" if about["required"] else "; may be left out"
    if about.get("exclusive_with"):
        words = f"; or joint.{about['exclusive_with']} instead"
    limits = fitting_range(kind, name, about["quantity"])
    if limits is None:
        return words
    if about["quantity"] == "count":
        return f"{words}; {limits[0]:g} to {limits[1]:g}"
    least, most = format_limit(limits[0], units, "least"), format_limit(limits[1], units, "most")
    return f"{words}; {least} to {most}"
