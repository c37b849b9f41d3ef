"""What fingers of a given width come to on a board: how many there are, and what is left for the last."""

from __future__ import annotations

from dataclasses import dataclass

from glueline.geometries.finger import finger_widths
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.units import Units, format_length

WIDTH_KEY = "joint.finger_width"
SAME = 0.05  # mm


@dataclass(frozen=True)
class Fingers:
    """Both boards' fingers together, and the width in mm of the last where it is another than theirs."""

    number: int
    last: float | None

    def words(self, units: Units) -> str:
        """Two short lines below a width.

        >>> Fingers(9, None).words("metric"), Fingers(23, 2.0).words("metric")
        ('9\\n–', '23\\n2 mm')
        """
        return f"{self.number}\n{'–' if self.last is None else format_length(round(self.last, 1), units)}"


def fingers_of(specimen: Specimen | None) -> Fingers | None:
    """The fingers of a specimen that gives their width; None for any other, and where there is none."""
    width = getattr(getattr(specimen, "joint", None), "finger_width", None)
    if specimen is None or width is None:
        return None
    widths = finger_widths(specimen.joint, min(specimen.boards.across_a, specimen.boards.across_b))
    return Fingers(len(widths), widths[-1] if abs(widths[-1] - width) > SAME else None)
