"""Everyday uses as load cases of our own: what each assumes, and the corner moment that follows by statics.

A case gives the moment on the whole joint of the piece; the specimen stands for its share of the joint's
width. Numbers without a source are our own judgement and can be set otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from glueline.studies.bench_day.service.frame_statics import (
    box_share,
    end_moment_of_even_load,
    end_moment_of_middle_load,
    portal_middle_load_moment,
    portal_sway_moment,
    racked_box_moment,
    resting_fill_force,
    tipped_portal_moment,
)
from glueline.studies.files.units import LENGTH, WEIGHT, Quantity

Sense = Literal["opens", "closes", "either"]

SECOND, MINUTE, YEAR = 1.0, 60.0, 365.25 * 86400.0
SUDDEN = 2.0
"""A load let go at once stresses twice as much as at rest (mechanics textbooks; energy of a spring)."""
AT_REST = 0.5
"""Side pressure over pressure down of loose fill at rest, 1 - sin 30 degrees (Jaky 1944, from memory)."""
SITTER_CENTRE = 250.0
"""mm from the seat to a sitter's centre of gravity; our own judgement."""
SHOVE = 0.4
"""Sideways push of a shifting sitter over the weight; our own judgement."""
JUDGEMENT = "our own judgement"


@dataclass(frozen=True)
class Assumption:
    """A number a use starts from: its key, its value as text, what it is, and where it comes from."""

    key: str
    value: str
    quantity: Quantity
    words: str
    source: str = JUDGEMENT


@dataclass(frozen=True)
class LoadCase:
    """One load case on the whole joint of the piece."""

    name: str
    moment: float  # N mm
    seconds: float
    sense: Sense  # whether it opens or closes the corner
    model: str  # the statics in words


@dataclass(frozen=True)
class Use:
    """An everyday use. ``cases`` takes the assumptions (N, mm) and board A's E I over board B's."""

    name: str
    summary: str
    assumptions: tuple[Assumption, ...]
    joint_width: float | None  # mm, the usual one; None for the specimen's own
    safety_factor: float
    cases: Callable[[Mapping[str, float], float], tuple[LoadCase, ...]]
    cautions: tuple[str, ...]


def _drawer(given: Mapping[str, float], stiffness: float) -> tuple[LoadCase, ...]:
    front, side, contents = given["front"], given["side"], given["contents"]
    front_share = box_share(front, side, stiffness)
    fill = resting_fill_force(contents, given["joint_width"], front, AT_REST)
    return (
        LoadCase(
            "pulled open while it sticks",
            end_moment_of_middle_load(given["pull"], front) * front_share,
            5 * SECOND,
            "opens",
            "pull at the middle of the front, a beam between the sides",
        ),
        LoadCase(
            "stopped with a jolt, contents against the front",
            end_moment_of_even_load(SUDDEN * contents, front) * front_share,
            SECOND,
            "opens",
            "twice the contents' weight spread over the front",
        ),
        LoadCase(
            "full for ten years",
            end_moment_of_even_load(fill, side) * box_share(side, front, 1 / stiffness),
            10 * YEAR,
            "opens",
            "loose contents press on a side with half their depth's weight",
        ),
    )


def _box(given: Mapping[str, float], stiffness: float) -> tuple[LoadCase, ...]:
    length, depth, contents = given["length"], given["depth"], given["contents"]
    long_share = box_share(length, depth, stiffness)
    fill = resting_fill_force(contents, given["joint_width"], depth, AT_REST)
    return (
        LoadCase(
            "tipped onto its long side",
            end_moment_of_even_load(SUDDEN * contents, length) * long_share,
            SECOND,
            "opens",
            "twice the contents' weight spread over the long side",
        ),
        LoadCase(
            "dragged by the handle of one end",
            end_moment_of_middle_load(given["pull"], depth) * box_share(depth, length, 1 / stiffness),
            MINUTE,
            "opens",
            "pull at the middle of the end, a beam between the long sides",
        ),
        LoadCase(
            "full for ten years",
            end_moment_of_even_load(fill, length) * long_share,
            10 * YEAR,
            "opens",
            "loose contents press on the long side with half their depth's weight",
        ),
    )


def _stool(given: Mapping[str, float], stiffness: float) -> tuple[LoadCase, ...]:
    person, span, height = given["person"], given["span"], given["height"]
    return (
        LoadCase(
            "someone drops onto it",
            portal_middle_load_moment(SUDDEN * person, span, height, stiffness),
            SECOND,
            "closes",
            "twice the sitter's weight at the middle of the seat, feet that do not slide",
        ),
        LoadCase(
            "the sitter shifts sideways",
            portal_sway_moment(SHOVE * person, height),
            5 * SECOND,
            "either",
            f"{SHOVE:g} of the sitter's weight sideways at the seat, no stretcher",
        ),
        LoadCase(
            "rocked onto one leg board",
            tipped_portal_moment(person, span, height, SITTER_CENTRE),
            MINUTE,
            "closes",
            "the sitter balances with all weight on one leg board",
        ),
    )


def _shelf(given: Mapping[str, float], stiffness: float) -> tuple[LoadCase, ...]:
    span, height = given["span"], given["height"]
    share = box_share(span, height, stiffness)
    return (
        LoadCase(
            "full of books for ten years",
            end_moment_of_even_load(given["books"] * span / 1000, span) * share,
            10 * YEAR,
            "opens",
            "books spread over the bottom of a box hung by its uprights",
        ),
        LoadCase(
            "someone leans on its middle",
            end_moment_of_middle_load(given["lean"], span) * share,
            MINUTE,
            "opens",
            "weight at the middle of the bottom",
        ),
        LoadCase(
            "pushed sideways",
            racked_box_moment(given["push"], height),
            5 * SECOND,
            "either",
            "push along the shelf at its top, no back panel",
        ),
    )


USES = {
    use.name: use
    for use in (
        Use(
            "drawer",
            "the corner of a drawer's front and side, seen from above",
            (
                Assumption("front", "450 mm", LENGTH, "width of the drawer between its sides"),
                Assumption("side", "450 mm", LENGTH, "depth of the drawer from front to back"),
                Assumption("contents", "15 kg", WEIGHT, "what lies in it"),
                Assumption("pull", "200 N", WEIGHT, "pull on the handle of a drawer that sticks"),
            ),
            None,
            2.0,
            _drawer,
            ("Drawers that drop to the floor, and slamming beyond a jolt, are not covered.",),
        ),
        Use(
            "box",
            "the upright corner of a chest or box, seen from above",
            (
                Assumption("length", "600 mm", LENGTH, "long side between the ends"),
                Assumption("depth", "350 mm", LENGTH, "short side between the long ones"),
                Assumption("contents", "25 kg", WEIGHT, "what lies in it, filling it"),
                Assumption("pull", "250 N", WEIGHT, "pull on a handle at the middle of one end"),
            ),
            300.0,
            2.0,
            _box,
            ("Dropping it, standing or sitting on it and lifting it by its lid are not covered.",),
        ),
        Use(
            "stool",
            "the corner of a seat board and a leg board, without a stretcher",
            (
                Assumption(
                    "person",
                    "110 kg",
                    WEIGHT,
                    "the sitter",
                    "EN 12520 covers sitters up to 110 kg (its published scope)",
                ),
                Assumption("span", "350 mm", LENGTH, "seat between the leg boards"),
                Assumption("height", "420 mm", LENGTH, "height of the seat"),
            ),
            300.0,
            3.0,
            _stool,
            (
                "Someone may be hurt when a stool breaks: seats are tested by published standards, for "
                "example EN 12520 with EN 1728, not by a calculation of one corner.",
                "Standing on it, jumping and children at play are not covered.",
            ),
        ),
        Use(
            "shelf",
            "the lower corner of a box shelf hung by its uprights",
            (
                Assumption("span", "800 mm", LENGTH, "between the uprights"),
                Assumption("height", "400 mm", LENGTH, "of the uprights"),
                Assumption(
                    "books",
                    "30 kg",
                    WEIGHT,
                    "books on each metre",
                    "20 to 40 kg/m; common practice, no source",
                ),
                Assumption("lean", "30 kg", WEIGHT, "someone leaning on it"),
                Assumption("push", "100 N", WEIGHT, "push along it"),
            ),
            250.0,
            2.0,
            _shelf,
            (
                "The fixing to the wall, the boards' own bending and sag, and people hanging from it are not "
                "covered.",
            ),
        ),
    )
}
