"""Axes in inches, ticked as a rule is: 3/8, 1/2, 5/8."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.ticker import Formatter, Locator, MaxNLocator

from glueline.studies.files.units import MM_PER_INCH, Units, format_length

TICKS = 6
LEAST_SPAN = 1 / 8
"""Inches; a shorter axis has ticks finer than a rule, which are decimals."""
STEPS = (1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 3, 6, 12, 24, 48, 96)


def rule_ticks(axis: Any, units: Units) -> None:
    """Ticks of an axis whose numbers are inches at fractions of one; an axis in mm stays as it is."""
    if units == "imperial":
        axis.set_major_locator(RuleLocator())
        axis.set_major_formatter(RuleFormatter())


def rule_step(span: float, ticks: int = TICKS) -> float | None:
    """The step in inches between at most so many ticks of a span in inches; None where finer than a rule.

    >>> rule_step(1.0), rule_step(6.0), rule_step(0.1)
    (0.25, 1, None)
    """
    if span < LEAST_SPAN:
        return None
    return next((step for step in STEPS if span <= ticks * step * (1 + 1e-9)), None)


def inch_words(inches: float) -> str:
    """A number of inches as it stands at a tick.

    >>> inch_words(0.375), inch_words(1.5), inch_words(-0.25), inch_words(0.0)
    ('3/8', '1 1/2', '-1/4', '0')
    """
    return format_length(inches * MM_PER_INCH, "imperial").removesuffix(" in")


class RuleLocator(Locator):
    """Ticks at the finest fractions of an inch of which there are at most ``ticks`` in the axis."""

    def __init__(self, ticks: int = TICKS) -> None:
        self.ticks = ticks

    def __call__(self) -> Any:
        axis: Any = self.axis
        return self.tick_values(*axis.get_view_interval())

    def tick_values(self, vmin: float, vmax: float) -> Any:
        """The places of the ticks."""
        low, high = sorted((vmin, vmax))
        step = rule_step(high - low, self.ticks)
        if step is None:
            return MaxNLocator(self.ticks).tick_values(low, high)
        return step * np.arange(np.ceil(low / step - 1e-9), np.floor(high / step + 1e-9) + 1)


class RuleFormatter(Formatter):
    """Their labels."""

    def __call__(self, x: float, pos: int | None = None) -> str:
        axis: Any = self.axis
        low, high = sorted(axis.get_view_interval())
        return f"{x:.4g}" if rule_step(high - low) is None else inch_words(x)
