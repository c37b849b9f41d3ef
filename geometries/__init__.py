"""Joints as pieces, glue lines and cheeks, and their meshes. A new joint is a new module and a line here."""

from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.finger import FINGER, FingerJoint
from glueline.geometries.layout import (
    Boards,
    Cell,
    Cheek,
    Face,
    GlueLine,
    Joining,
    JointKind,
    Layout,
    Part,
    Piece,
    Problem,
    SplitLine,
)
from glueline.geometries.mitre import MITRE, Mitre
from glueline.geometries.splined_mitre import SPLINED_MITRE, SplinedMitre
from glueline.geometries.splits import mirrored_place, with_splits
from glueline.geometries.words import BOARD_A, BOARD_B, Member, PieceWords, SurfaceWords

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
    "Joining",
    "JointKind",
    "Layout",
    "Member",
    "Mitre",
    "Part",
    "Piece",
    "PieceWords",
    "Problem",
    "SplinedMitre",
    "SplitLine",
    "SurfaceWords",
    "mirrored_place",
    "with_splits",
]
