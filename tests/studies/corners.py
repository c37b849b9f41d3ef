"""Specimens that several tests of studies use; nothing here is measured."""

from __future__ import annotations

from typing import Any

from glueline.geometries import Boards, Butt, FingerJoint, Mitre, SplinedMitre
from glueline.materials import Workmanship, find_glue, find_wood
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.specimen import Specimen

JOINTS: dict[str, Any] = {
    "butt": Butt(),
    "mitre": Mitre(),
    "finger": FingerJoint(9),
    "splined mitre": SplinedMitre(3, 3.2, 21.0, "black cherry"),
}
BOX = Boards(19.0, 90.0, 150.0)
FRAME = Boards(19.0, 60.0, 300.0, "frame")


def specimen(
    kind: str,
    arrangement: str = "diagonal compression",
    boards: Boards = BOX,
    wood: str = "white oak",
    joint: Any = None,
) -> Specimen:
    """A corner of one wood with plain PVA."""
    own = find_wood(wood)
    spline = find_wood("black cherry") if kind == "splined mitre" else None
    return Specimen(
        path="test",
        kind=kind,
        joint=joint or JOINTS[kind],
        boards=boards,
        wood_a=own,
        wood_b=own,
        spline_wood=spline,
        sawn="flat",
        moisture=12.0,
        glue=find_glue("pva"),
        workmanship=Workmanship(),
        arrangement=ARRANGEMENTS[arrangement],
    )
