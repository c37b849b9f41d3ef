"""Specimens that several tests of studies use; nothing here is measured."""

from __future__ import annotations

from typing import Any

from glueline.geometries import BOARD_A, BOARD_B, Boards, Butt, FingerJoint, Mitre, SplinedMitre
from glueline.geometries import JOINTS as KINDS
from glueline.materials import Wood, Workmanship, find_glue, find_wood
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


def woods_of(kind: str, boards: Wood, others: Wood | None = None) -> dict[str, Wood]:
    """The woods of a joint by member: both boards of one, all else of another, black cherry by default."""
    cherry = others or find_wood("black cherry")
    members = [member.name for member in KINDS[kind].members]
    return {name: boards if name in (BOARD_A, BOARD_B) else cherry for name in members}


def specimen(
    kind: str,
    arrangement: str = "diagonal compression",
    boards: Boards = BOX,
    wood: str = "white oak",
    joint: Any = None,
) -> Specimen:
    """A corner of one wood with plain PVA."""
    return Specimen(
        path="test",
        kind=kind,
        joint=joint or JOINTS[kind],
        boards=boards,
        woods=woods_of(kind, find_wood(wood)),
        sawn="flat",
        moisture=12.0,
        glue=find_glue("pva"),
        workmanship=Workmanship(),
        arrangement=ARRANGEMENTS[arrangement],
    )
