"""The fixed words of an answer: how glue and wood give, and what every answer must be read with."""

from __future__ import annotations

GLUE_MODES = (
    "glue opening",
    "glue shear",
    "glue opening with shear",
    "rolling shear beside the glue",
)
"""How a glued face gives; the last is in the wood's fibres beside it and counts as the glue's."""

WOOD_MODES = (
    "fibre tension",
    "fibre bending on the pressed side",
    "fibre compression",
    "crushing across the grain",
    "splitting",
    "shear along the grain",
    "rolling shear",
)
"""How wood gives; fibre compression and crushing across the grain are yielding, see YIELD."""

YIELD = (
    "Compression along the grain (fibre compression) and crushing across it are shown as yielding, not as a "
    "break: crushed wood goes on carrying load."
)

CAUTIONS = (
    "An estimate for clear, straight-grained wood; knots, cracks and poor gluing lower it.\n"
    "It never says that a joint is fit for use: local codes and licensed practice decide that.\n"
    "A loaded joint stores energy and lets go at once: eye protection on, catch blocks under it, keep clear."
)
"""What every answer must be read with, in three lines."""
