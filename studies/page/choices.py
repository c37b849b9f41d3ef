"""Among what a word of the sentence is a choice: kinds, lays, woods, glues and loads in a maker's words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from glueline.geometries import JOINTS
from glueline.geometries.joint_kind import ANY_LAY, LAYS_SAID, JointKind
from glueline.geometries.layout import Lay
from glueline.materials import also_called, find_glue, glue_also_called, glue_names, wood_names
from glueline.materials.names import plain
from glueline.materials.workmanship import END_GRAINS
from glueline.studies.corner.arrangements import ARRANGEMENTS

LAYS_ALOUD: dict[Lay, str] = {
    "box": "standing on edge as in a drawer",
    "frame": "lying flat as in a door",
}
SAWN_ALOUD = {"flat": "flat sawn", "quarter": "quarter sawn"}
END_GRAINS_ALOUD = {"plain": "end grain left plain", "sized": "end grain sized first"}
PLACES = ("American", "Douglas", "European", "Norway", "Scots", "Sitka")
"""First words of names of woods that keep their capital within a sentence."""
SHORT = re.compile(r"\b(?:pva|d\d)\b")
"""What is written in capitals within the names of glues."""


class Choice(NamedTuple):
    """One of several: its ``value`` as a file holds it, as text in the sentence, what more is said, and by
    what other names it goes.
    """

    value: str
    text: str
    note: str = ""
    others: tuple[str, ...] = ()

    def goes_by(self, name: str) -> bool:
        """Whether it is meant by a name, whatever its case, spaces and hyphens."""
        return plain(name) in map(plain, (self.value, self.text, *self.others))


def kind_choices() -> tuple[Choice, ...]:
    """Every kind of joint; a joint registered later is among them."""
    return tuple(Choice(name, name, kind.summary, kind.aliases) for name, kind in JOINTS.items())


def lay_choices(kind: JointKind | None) -> tuple[Choice, ...]:
    """How the boards of a joint can lie."""
    lays = ANY_LAY if kind is None else kind.lays
    return tuple(Choice(lay, LAYS_ALOUD[lay], LAYS_SAID[lay]) for lay in lays)


def sawn_choices() -> tuple[Choice, ...]:
    """How boards are sawn."""
    return _said(SAWN_ALOUD)


def end_grain_choices() -> tuple[Choice, ...]:
    """Whether end grain was sized."""
    return _said({each: END_GRAINS_ALOUD.get(each, f"end grain {each}") for each in END_GRAINS})


def arrangement_choices() -> tuple[Choice, ...]:
    """How a corner can be loaded, by what a maker sees."""
    return tuple(
        Choice(name, each.words, f"{name}: it {each.sense} the corner") for name, each in ARRANGEMENTS.items()
    )


def yes_or_no_choices(label: str) -> tuple[Choice, ...]:
    """A yes and a no, as they stand in a sentence.

    >>> [choice.text for choice in yes_or_no_choices("haunch")]
    ['a haunch', 'no haunch']
    """
    return Choice("true", f"{article(label)} {label}", "yes"), Choice("false", f"no {label}", "no")


@cache
def wood_choices() -> tuple[Choice, ...]:
    """The woods of the table by the names of a shop."""
    return tuple(_wood(name) for name in wood_names())


def glue_choices(kind: JointKind | None) -> tuple[Choice, ...]:
    """The glues of the table; no glue too where a joint holds without."""
    dry = kind is None or kind.holds_dry or not kind.surfaces
    return tuple(_glue(name) for name in glue_names() if dry or find_glue(name).holds)


def glue_text(name: str) -> str:
    """A tabled glue as it stands in a sentence.

    >>> glue_text("pva"), glue_text("pva d3"), glue_text("none")
    ('white glue', 'PVA D3', 'no glue')
    """
    glues = [each for each in (*glue_also_called(name), name) if each.endswith("glue")]
    return glues[0] if glues else SHORT.sub(lambda found: found[0].upper(), name)


def article(noun: str) -> str:
    """Its article without more: ``a`` or ``an``."""
    return "an" if noun[:1].casefold() in "aeiou" else "a"


def _said(texts: dict[str, str]) -> tuple[Choice, ...]:
    return tuple(Choice(value, text) for value, text in texts.items())


def _wood(name: str) -> Choice:
    """By its name in the table, or by that of a shop where the table's has brackets."""
    others = also_called(name)
    shop = others[0] if "(" in name and others else None
    text = shop or (name if name.startswith(PLACES) else f"{name[0].lower()}{name[1:]}")
    return Choice(text, text, *_others(text, (name, *others)))


def _glue(name: str) -> Choice:
    text = glue_text(name)
    return Choice(name, text, *_others(text, (name, *glue_also_called(name))))


def _others(text: str, names: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """The names other than the text, in one text and one by one."""
    others = tuple(each for each in names if each.casefold() != text.casefold())
    return ", ".join(others), others
