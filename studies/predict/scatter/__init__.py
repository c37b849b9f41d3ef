"""How the break load scatters: its 5 and 95 % ends from a handful of paths."""

from glueline.studies.predict.scatter.band import Band, scatter_band
from glueline.studies.predict.scatter.glue_rows import scaled_holds
from glueline.studies.predict.scatter.wood_load import GlueRun, WoodUse, glue_run

__all__ = ["Band", "GlueRun", "WoodUse", "glue_run", "scaled_holds", "scatter_band"]
