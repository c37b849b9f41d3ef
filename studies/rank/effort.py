"""What a joint costs to make, by simple counts: glue area, cuts, and what is let into it."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from glueline.geometries import BOARD_A, BOARD_B, Layout
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.json_text import Count, NotNegative
from glueline.studies.rank.ranking import RankedCorner

COUNTED_SO = (
    "Cuts are counted for both boards together: each flat face that is sawn or chopped, the boards' own ends "
    "too, each slot sawn in one pass, each mortise, each hole. They say nothing of how hard a cut is."
)


class Effort(Struct, frozen=True, kw_only=True):
    """``glue_area`` in mm2; ``cuts`` by their kind, None where the kind does not count them; ``hardware`` the
    number of what is let in beside the boards, by its name.
    """

    glue_area: NotNegative = field(name="glue_area_mm2")
    cuts: Mapping[str, Count] | None
    hardware: Mapping[str, Count]

    @property
    def cut_number(self) -> int | None:
        """All cuts together."""
        return None if self.cuts is None else sum(self.cuts.values())


def effort_of(specimen: Specimen, corner: RankedCorner) -> Effort:
    """What a corner of this specimen costs."""
    count = specimen.joint_kind.cuts
    return Effort(
        glue_area=sum(corner.glue_area.values()),
        cuts=None if count is None else dict(count(specimen.joint, specimen.boards)),
        hardware=hardware(specimen.layout),
    )


def hardware(layout: Layout) -> dict[str, int]:
    """How many of each member a corner has beside its boards.

    >>> from glueline.geometries import JOINTS, Boards, Dowels
    >>> hardware(JOINTS["dowel"].layout(Dowels(), Boards(20.0, 90.0, 150.0)))  # mm
    {'dowels': 2}
    """
    found: dict[str, int] = {}
    for piece in layout.pieces:
        if piece.name not in (BOARD_A, BOARD_B):
            part = next(cell.parts[piece.name] for cell in layout.cells if piece.name in cell.parts)
            name = piece.member.name
            found[name] = found.get(name, 0) + max(1, round(part.across / part.single))
    for rod in layout.rods:
        found[rod.member.name] = found.get(rod.member.name, 0) + rod.number
    for each in layout.hardware:
        name = f"{each.singular}s"
        found[name] = found.get(name, 0) + each.number
    return found
