"""What can be sought: that the wood breaks before the glue, or that most corners reach a load."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from math import exp, inf, log
from statistics import NormalDist

from glueline.studies.files.units import Units, format_force
from glueline.studies.predict.answer import Answer

BAND_LOW, BAND_HIGH = 0.05, 0.95
"""Shares of corners below the two ends of an answer's band."""

USUAL_CONFIDENCE = 95.0


class Goal(ABC):
    """What an answer is asked to be."""

    needs_band: bool

    @abstractmethod
    def met(self, answer: Answer) -> bool:
        """Whether an answer is what is sought."""

    @abstractmethod
    def nearness(self, answer: Answer) -> float:
        """Larger for answers that come nearer; above or at some level it is met."""

    @abstractmethod
    def words(self, units: Units) -> str:
        """What is sought, to follow "for which"."""

    @abstractmethod
    def reached(self, answer: Answer, units: Units) -> str:
        """How far an answer comes, in a few words."""


@dataclass(frozen=True)
class WoodFirst(Goal):
    """The wood breaks before the glue."""

    needs_band = False

    def met(self, answer: Answer) -> bool:
        return answer.breaks_in == "wood"

    def nearness(self, answer: Answer) -> float:
        """What holds besides the wood over the wood load."""
        return _held(answer)[1] / answer.wood_load

    def words(self, units: Units) -> str:
        return "the wood breaks first"

    def reached(self, answer: Answer, units: Units) -> str:
        what, _ = _held(answer)
        return f"{what} {100 * self.nearness(answer):.0f} % of what the wood needs to break"


def _held(answer: Answer) -> tuple[str, float]:
    """What holds besides the wood, in words, and to what load in N: glue, or fasteners that outlive it."""
    if answer.fastener_load is not None and (answer.glue_load is None or answer.breaks_in == "fastener"):
        return "fasteners hold", answer.fastener_load
    return "glue holds", answer.break_load if answer.glue_load is None else answer.glue_load


@dataclass(frozen=True)
class Reach(Goal):
    """``confidence`` percent of corners made alike hold at least ``load`` N."""

    load: float
    confidence: float = USUAL_CONFIDENCE
    needs_band = True

    def met(self, answer: Answer) -> bool:
        return self.nearness(answer) >= self.load

    def nearness(self, answer: Answer) -> float:
        """The load in N that all but the weakest (100 - confidence) percent hold.

        Below every load where a path of the scatter could not be followed, so that there is no band.
        """
        return -inf if answer.band is None else lower_load(answer.band, self.confidence)

    def words(self, units: Units) -> str:
        load = format_force(self.load, units)
        return f"{self.confidence:g} % of such corners hold {load} (in a bench test, not in service)"

    def reached(self, answer: Answer, units: Units) -> str:
        if answer.band is None:
            return "its scatter could not be found"
        return f"{self.confidence:g} % hold {format_force(self.nearness(answer), units)}"


def lower_load(band: tuple[float, float], confidence: float) -> float:
    """The load that ``confidence`` percent of corners reach, from the ends of the band (5 and 95 %) in N.

    At 95 % the lower end itself; elsewhere on the lognormal distribution that has both ends.
    """
    if confidence == USUAL_CONFIDENCE:
        return band[0]
    normal = NormalDist()
    low, high = normal.inv_cdf(BAND_LOW), normal.inv_cdf(BAND_HIGH)
    share = (normal.inv_cdf(1 - confidence / 100) - low) / (high - low)
    return exp(log(band[0]) + share * (log(band[1]) - log(band[0])))
