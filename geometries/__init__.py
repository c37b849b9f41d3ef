"""Joints as pieces, glue lines and cheeks, and their meshes. A new joint is a new module and a line here."""

from glueline.geometries.bridle import BRIDLE, Bridle
from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.dovetail import DOVETAIL, Dovetail
from glueline.geometries.dowel import DOWEL, Dowels
from glueline.geometries.finger import FINGER, FingerJoint
from glueline.geometries.half_lap import HALF_LAP, HalfLap
from glueline.geometries.hardware import Fitting, Hardware, Reach, Screw
from glueline.geometries.joinings import Cheek, Face, GlueLine, HoleBond, Joining, Rod
from glueline.geometries.joint_kind import JointKind, Problem
from glueline.geometries.layout import Boards, Cell, Layout, Part, Piece, SplitLine
from glueline.geometries.loose_tenon import LOOSE_TENON, LooseTenon
from glueline.geometries.mitre import MITRE, Mitre
from glueline.geometries.mortise_and_tenon import MORTISE_AND_TENON, MortiseAndTenon
from glueline.geometries.pocket_screw import POCKET_SCREW, PocketScrew
from glueline.geometries.rebate import REBATE, Rebate
from glueline.geometries.slot_fitting import SLOT_FITTING, SlotFitting
from glueline.geometries.splined_mitre import SPLINED_MITRE, SplinedMitre
from glueline.geometries.splits import mirrored_place, with_splits
from glueline.geometries.words import BOARD_A, BOARD_B, Member, PieceWords, SurfaceWords

JOINTS: dict[str, JointKind] = {
    joint.kind: joint
    for joint in (
        BUTT,
        MITRE,
        FINGER,
        SPLINED_MITRE,
        HALF_LAP,
        BRIDLE,
        MORTISE_AND_TENON,
        REBATE,
        DOVETAIL,
        LOOSE_TENON,
        DOWEL,
        POCKET_SCREW,
        SLOT_FITTING,
    )
}

__all__ = [
    "BOARD_A",
    "BOARD_B",
    "JOINTS",
    "Boards",
    "Bridle",
    "Butt",
    "Cell",
    "Cheek",
    "Dovetail",
    "Dowels",
    "Face",
    "FingerJoint",
    "Fitting",
    "GlueLine",
    "HalfLap",
    "Hardware",
    "HoleBond",
    "Joining",
    "JointKind",
    "Layout",
    "LooseTenon",
    "Member",
    "Mitre",
    "MortiseAndTenon",
    "Part",
    "Piece",
    "PieceWords",
    "PocketScrew",
    "Problem",
    "Reach",
    "Rebate",
    "Rod",
    "Screw",
    "SlotFitting",
    "SplinedMitre",
    "SplitLine",
    "SurfaceWords",
    "mirrored_place",
    "with_splits",
]
