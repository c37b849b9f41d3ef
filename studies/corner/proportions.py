"""Measures of a joint that were left out and so follow from its boards, as the joint fills them in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi
from typing import Any

from glueline.geometries import Boards, JointKind
from glueline.studies.files.display import format_property
from glueline.studies.files.key_changes import joint_fields
from glueline.studies.files.units import Units, format_force, format_length, significant

SIZES = ("length", "count", "slope", "angle", "force", "stiffness")
UNITS = {"angle": ("deg", 180.0 / pi), "force": ("N", 1.0), "stiffness": ("N/mm", 1.0)}


@dataclass(frozen=True)
class Proportion:
    """One of them: its ``key`` in the joint's table, its label, quantity and value (lengths in mm)."""

    key: str
    label: str
    quantity: str
    value: Any

    @property
    def as_typed(self) -> Any:
        """The value as a specimen file would hold it."""
        if self.quantity == "length":
            return f"{significant(self.value, 8)} mm"
        if self.quantity in UNITS:
            unit, factor = UNITS[self.quantity]
            return f"{significant(self.value * factor, 8)} {unit}"
        return f"1:{significant(1 / self.value, 4)}" if self.quantity == "slope" else self.value

    def said(self, units: Units) -> str:
        """Label and value: ``tenon thickness 6.333 mm``."""
        if self.quantity == "length":
            return f"{self.label} {format_length(self.value, units)}"
        if self.quantity == "yes or no":
            return self.label if self.value else f"no {self.label}"
        if self.quantity == "force":
            return f"{self.label} {format_force(self.value, units)}"
        if self.quantity == "stiffness":
            return f"{self.label} {format_property(self.value, 'N/mm', units)}"
        return f"{self.label} {self.as_typed}"


def proportions(kind: JointKind, joint: Any, boards: Boards) -> tuple[Proportion, ...]:
    """What ``joint`` leaves out and these boards fill in, in the order of its keys.

    >>> from glueline.geometries import JOINTS, Rebate
    >>> left_out = proportions(JOINTS["rebate"], Rebate(rebate_depth=6.0), Boards(19.0, 90.0, 150.0))
    >>> [(each.key, each.said("imperial")) for each in left_out]
    [('rebate_width', 'rebate width 3/4 in')]
    """
    return tuple(each for each in measures(kind, joint, boards) if getattr(joint, each.key) is None)


def measures(kind: JointKind, joint: Any, boards: Boards) -> tuple[Proportion, ...]:
    """All measures of ``joint`` on these boards, stated or left out, in the order of its keys."""
    filled = kind.filled(joint, boards)
    return tuple(
        Proportion(name, about["label"], about["quantity"], getattr(filled, name))
        for name, about in joint_fields(kind).items()
        if getattr(filled, name) is not None
    )


def said(left_out: Iterable[Proportion], units: Units) -> str:
    """All of them in words."""
    return ", ".join(each.said(units) for each in left_out)


def proportions_note(left_out: tuple[Proportion, ...]) -> tuple[str, ...]:
    """What an answer says of them, in metric units, which a reader's own take the place of."""
    sizes = [each for each in left_out if each.quantity in SIZES]
    if not sizes:
        return ()
    return (f"Left to common practice, which has no source: {said(sizes, 'metric')}.",)
