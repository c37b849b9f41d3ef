"""Joints as pieces, glue lines and cheeks, and their meshes. A new joint is a new module and a line here."""

from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.finger import FINGER, FingerJoint
from glueline.geometries.layout import (
    BOARD_A,
    BOARD_B,
    Boards,
    Cell,
    Cheek,
    Face,
    GlueLine,
    JointKind,
    Layout,
    Part,
    Piece,
    Problem,
)
from glueline.geometries.mitre import MITRE, Mitre
from glueline.geometries.splined_mitre import SPLINED_MITRE, SplinedMitre

JOINTS: dict[str, JointKind] = {joint.kind: joint for joint in (BUTT, MITRE, FINGER, SPLINED_MITRE)}

__all__ = [
    "BOARD_A",
    "BOARD_B",
    "JOINTS",
    "Boards",
    "Butt",
    "Cell",
    "Cheek",
    "Face",
    "FingerJoint",
    "GlueLine",
    "JointKind",
    "Layout",
    "Mitre",
    "Part",
    "Piece",
    "Problem",
    "SplinedMitre",
]
