"""What each key of a corner asks for: its label, how it is written, and among what it is a choice.

A joint's own measures are read from the table of joints, so that a new one needs no line here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from glueline.geometries.joint_kind import JointKind
from glueline.materials.workmanship import SURFACE_KEYS
from glueline.studies.corner.joint_table import QUANTITIES
from glueline.studies.corner.new_corner import SIZES, SIZES_SAID
from glueline.studies.files.key_changes import SURFACES, joint_fields, key_parts
from glueline.studies.files.units import LENGTH, PERCENT, SHARE, Quantity
from glueline.studies.page.choices import (
    Choice,
    arrangement_choices,
    end_grain_choices,
    glue_choices,
    kind_choices,
    lay_choices,
    sawn_choices,
    wood_choices,
    yes_or_no_choices,
)

Shape = Literal["choice", "quantity", "count", "yes or no"]
OWN_SURFACES = f"glue.{SURFACES}"
EITHER = "|"
"""Between two keys that exclude each other, in the key of the choice between them."""


@dataclass(frozen=True)
class Asked:
    """What a ``key`` asks for.

    ``kind`` is what a joint calls its quantities, and "text" for what has a name. ``quantity`` is how it is
    measured, None for what is not; ``other`` the key that it excludes, ``usual`` what stands where the key
    is left out.

    >>> asked = asked_of("boards.width", None)
    >>> asked.shape, asked.label, asked.required
    ('quantity', 'width of the boards', True)
    """

    key: str
    label: str
    words: str
    kind: str = "length"
    required: bool = False
    quantity: Quantity | None = LENGTH
    choices: tuple[Choice, ...] = ()
    least: int = 1
    other: str | None = None
    voids: str | None = None
    usual: str | None = None

    @property
    def name(self) -> str:
        """The last part of the key."""
        return self.key.rpartition(".")[2]

    @property
    def shape(self) -> Shape:
        """How it is edited."""
        if self.kind in ("count", "yes or no"):
            return "count" if self.kind == "count" else "yes or no"
        return "choice" if self.choices else "quantity"


def asked_of(key: str, kind: JointKind | None) -> Asked | None:
    """What a dotted key asks for in a corner of a kind; None for one that such a corner has no place for."""
    if EITHER in key:
        return _either(key, kind)
    parts = key_parts(key)
    if not parts:
        return None
    if len(parts) > 2:
        glue = _glue(kind).get(f"glue.{parts[-1]}") if parts[-1] in SURFACE_KEYS else None
        if glue is None:
            return None
        label = f"{glue.label}, {parts[2]} alone"
        return Asked(key, label, f"{glue.words}; of the {parts[2]} alone", glue.kind, quantity=glue.quantity)
    if parts[0] == "joint" and parts[1] != "kind":
        return None if kind is None else joint_asked(kind).get(parts[1])
    return _fixed(kind).get(".".join(parts))


def joint_asked(kind: JointKind) -> dict[str, Asked]:
    """What a joint's own measures ask for, by their names."""
    found = {}
    for name, about in joint_fields(kind).items():
        quantity, other = about["quantity"], about.get("exclusive_with")
        choices = {
            "wood name": wood_choices() if quantity == "wood name" else (),
            "yes or no": yes_or_no_choices(about["label"]),
            "choice": tuple(Choice(each, each) for each in about.get("choices", ())),
        }
        found[name] = Asked(
            f"joint.{name}",
            about["label"],
            about["words"],
            quantity,
            bool(about["required"]),
            QUANTITIES.get(quantity),
            choices.get(quantity, ()),
            about.get("least", 1),
            None if other is None else f"joint.{other}",
            about.get("voids"),
            about.get("default"),
        )
    return found


def _either(key: str, kind: JointKind | None) -> Asked | None:
    """The choice between two measures that exclude each other."""
    both = [asked_of(each, kind) for each in key.split(EITHER)]
    if len(both) != 2 or both[0] is None or both[1] is None or both[0].other != both[1].key:
        return None
    choices = tuple(Choice(each.key, each.label, each.words) for each in both if each is not None)
    return Asked(key, "which of the two is given", "one follows from the other", "text", True, None, choices)


def _fixed(kind: JointKind | None) -> Mapping[str, Asked]:
    boards = [Asked(f"boards.{size}", SIZES_SAID[size], SIZES_SAID[size], required=True) for size in SIZES]
    others = (
        _named("joint.kind", "kind of joint", "how the boards are joined", kind_choices(), required=True),
        Asked("boards.thickness_b", "thickness of board B", "where it differs", usual="as thick as board A"),
        _named("boards.lay", "how the boards lie", "on edge or flat", lay_choices(kind)),
        _named("boards.wood", "wood of the boards", "by name, or a wood file's path", wood_choices(), True),
        _named("boards.wood_b", "wood of board B", "where it is of another", wood_choices()),
        _named("boards.sawn", "how the boards are sawn", "flat or quarter", sawn_choices()),
        Asked("boards.moisture", "moisture", "of the wood when it is loaded", "moisture", quantity=PERCENT),
        _named("load.arrangement", "load", "how the corner is loaded", arrangement_choices()),
    )
    return {each.key: each for each in (*boards, *others)} | _glue(kind)


def _glue(kind: JointKind | None) -> dict[str, Asked]:
    quality = "share of the glue's own strength that the gluing reaches"
    asked = (
        _named("glue.kind", "glue", "by name, or a glue file's path", glue_choices(kind)),
        Asked("glue.quality", "quality of the gluing", quality, "share", quantity=SHARE),
        Asked("glue.gap", "gap", "between the surfaces, where they do not fit closely"),
        Asked("glue.coverage", "coverage", "share of the surfaces that has glue", "share", quantity=SHARE),
        _named("glue.end_grain", "end grain", "whether it was sized before gluing", end_grain_choices()),
    )
    return {each.key: each for each in asked}


def _named(key: str, label: str, words: str, choices: Sequence[Choice], required: bool = False) -> Asked:
    return Asked(key, label, words, "text", required, None, tuple(choices))
