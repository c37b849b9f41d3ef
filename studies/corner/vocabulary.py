"""What every answer must be read with."""

from __future__ import annotations

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
