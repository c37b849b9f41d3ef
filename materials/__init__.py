"""Wood and glue: their numbers, where each comes from, and the rules that move them.

Units: N, mm, MPa, N/mm, N/mm3, kg/m3, rad; moisture in percent; shares as fractions.
"""

from glueline.materials.bond import Bond, CheekBond, CheekSide, bond, cheek_bond
from glueline.materials.criteria import (
    CRITERIA,
    DEFAULT_CRITERION,
    find_criterion,
    plane_strengths,
)
from glueline.materials.crushing import (
    PressedFace,
    crushing_hardening,
    crushing_strength,
    hardened_strength,
)
from glueline.materials.dowel_bond import DowelBond, dowel_bond
from glueline.materials.fastener import (
    Rod,
    embedment_hardening,
    embedment_strength,
    head_area,
    holding_length,
    johansen_modes,
    plug_shear_out,
    steel_rod,
    thread_shear_strength,
    thread_slip_stiffness,
    thread_toughness,
    wall_stiffness,
    withdrawal_strength,
    wooden_rod,
)
from glueline.materials.fastener_table import FastenerFigure, fastener_figure, fastener_figures
from glueline.materials.fracture import critical_length, mode_moduli
from glueline.materials.glue import NO_GLUE, Glue, GlueTableError
from glueline.materials.glue_keys import glue_to_tables
from glueline.materials.glue_sources import glue_source
from glueline.materials.glue_table import find_glue, glue_also_called, glue_from_tables, glue_names
from glueline.materials.moisture import at_moisture
from glueline.materials.names import UnknownName
from glueline.materials.own_wood import RANGE_IN_WORDS, Sag, UnlikelyWood, like_wood
from glueline.materials.provenance import MARKS, Provenance
from glueline.materials.wood import Wood, compliance
from glueline.materials.wood_table import also_called, find_wood, wood_names
from glueline.materials.workmanship import SurfaceWorkmanship, Workmanship

__all__ = [
    "CRITERIA",
    "DEFAULT_CRITERION",
    "MARKS",
    "NO_GLUE",
    "RANGE_IN_WORDS",
    "Bond",
    "CheekBond",
    "CheekSide",
    "DowelBond",
    "FastenerFigure",
    "Glue",
    "GlueTableError",
    "PressedFace",
    "Provenance",
    "Rod",
    "Sag",
    "SurfaceWorkmanship",
    "UnknownName",
    "UnlikelyWood",
    "Wood",
    "Workmanship",
    "also_called",
    "at_moisture",
    "bond",
    "cheek_bond",
    "compliance",
    "critical_length",
    "crushing_hardening",
    "crushing_strength",
    "dowel_bond",
    "embedment_hardening",
    "embedment_strength",
    "fastener_figure",
    "fastener_figures",
    "find_criterion",
    "find_glue",
    "find_wood",
    "glue_also_called",
    "glue_from_tables",
    "glue_names",
    "glue_source",
    "glue_to_tables",
    "hardened_strength",
    "head_area",
    "holding_length",
    "johansen_modes",
    "like_wood",
    "mode_moduli",
    "plane_strengths",
    "plug_shear_out",
    "steel_rod",
    "thread_shear_strength",
    "thread_slip_stiffness",
    "thread_toughness",
    "wall_stiffness",
    "withdrawal_strength",
    "wood_names",
    "wooden_rod",
]
