"""What is said aloud after a bench day of the next joint made alike, from its own breaks and prediction.

In weights stacked on the rig where every specimen of a joint broke on one, else in forces on the joint.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import msgspec

from glueline.studies.bench_day.comparison.comparison import ComparedJoint, Comparison
from glueline.studies.bench_day.rig.on_rig import WeightsOnRig
from glueline.studies.files.units import Units
from glueline.studies.files.words import counted
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.said_aloud import (
    FORCES_MEANT,
    NOTHING_STACKED,
    TREAT_AS_BROKEN,
    force_down,
    force_up,
    place_to_watch,
    stand_clear_from,
    weight_down,
    weight_up,
    with_article,
)

FROM_THE_FIRST = "the first load"
NO_PLACE = "watch all of it, for no place was predicted"


class SaidOfJoint(msgspec.Struct, frozen=True):
    """What is said of one joint, by its label."""

    label: str
    sentence: str


@dataclass(frozen=True)
class _Spoken:
    """How the loads of one joint are spoken of; ``rig`` is None where they are forces on the joint."""

    rig: WeightsOnRig | None
    units: Units

    def down(self, force: float) -> str:
        """A load in N rounded down."""
        if self.rig is None:
            return force_down(force, self.units)
        return weight_down(self.rig.weight(force), self.units)

    def up(self, force: float) -> str:
        """A load in N rounded up."""
        if self.rig is None:
            return force_up(force, self.units)
        return weight_up(self.rig.weight(force), self.units)

    def start(self, measured: float, predicted: float) -> str:
        """The load to stand clear from: the lower of two in N, at most one of which is endless.

        Weights that broke joints on a rig count as they were stacked, for they hold its error already; of
        predicted ones it is taken off.
        """
        if self.rig is None:
            least = min(measured, predicted)
            return f"{force_down(least, self.units)} (force on the joint)" if least > 0 else FROM_THE_FIRST
        of_breaks = inf if measured == inf else self.rig.weight(measured)
        of_answers = inf if predicted == inf else self.rig.cautious_weight(predicted)
        weight = min(of_breaks, of_answers)
        return f"{weight_down(weight, self.units)} stacked" if weight > 0 else NOTHING_STACKED


def said_of_day(comparison: Comparison, units: Units) -> list[str]:
    """The sentence of every joint behind its label, strongest mean first, then what holds for them all."""
    joints = sorted(comparison.joints, key=lambda joint: -(joint.measured.mean or 0.0))
    sentences = [f"{joint.measured.label}: {sentence_of_joint(joint, comparison, units)}" for joint in joints]
    forces = any(_rig_of(joint, comparison) is None for joint in joints)
    return [*sentences, TREAT_AS_BROKEN, *([FORCES_MEANT] if forces else [])]


def written_sentences(comparison: Comparison) -> tuple[SaidOfJoint, ...]:
    """The sentence of every joint for JSON, in the order of the log."""
    return tuple(
        SaidOfJoint(joint.measured.label, sentence_of_joint(joint, comparison, "metric"))
        for joint in comparison.joints
    )


def sentence_of_joint(joint: ComparedJoint, comparison: Comparison, units: Units) -> str:
    """From which load to stand clear of the next one made alike, where it likely goes, what to watch.

    Stand clear from the lowest load that was predicted to be stood clear from, that a specimen had held
    before it gave, at which one cracked, or that 5 % of further ones do not reach by the breaks.
    """
    measured = joint.measured
    spoken = _Spoken(_rig_of(joint, comparison), units)
    gave = [row.lower for row in measured.breaks if row.upper < inf]
    cracks = [row.cracked for row in measured.breaks if row.cracked is not None]
    fitted = [] if measured.next_range is None else [measured.next_range[0]]
    lowest = min([*gave, *cracks, *fitted], default=inf)
    answer = min(joint.answers, key=lambda each: stand_clear_from(each)[0], default=None)
    predicted = inf if answer is None else stand_clear_from(answer)[0]
    if lowest == predicted == inf:  # none gave: what they held is all that is known
        lowest = min(row.lower for row in measured.breaks)
    return f"Stand clear from {spoken.start(lowest, predicted)}: {_likely(joint, spoken)}; {_watch(answer)}."


def _watch(answer: Answer | None) -> str:
    return NO_PLACE if answer is None else f"watch {with_article(place_to_watch(answer))}"


def _likely(joint: ComparedJoint, spoken: _Spoken) -> str:
    """Between which loads the next one likely goes, and what says so."""
    measured = joint.measured
    gave = [row for row in measured.breaks if row.upper < inf]
    if not gave:
        held = spoken.down(min(row.lower for row in measured.breaks))
        none = f"not one of {measured.count} broke" if measured.count > 1 else "the only one has not broken"
        return f"{none} by {held}{_predicted_words(joint.band, spoken)}"
    low = min(row.lower for row in gave)
    # What one held that never broke, others may hold as well.
    high = max(row.upper if row.upper < inf else row.lower for row in measured.breaks)
    specimens = counted(measured.count, "specimen")
    of_fit = measured.next_range
    if of_fit is not None:
        low, high = min(low, of_fit[0]), max(high, of_fit[1])
        return f"by its {specimens} it likely goes between {spoken.down(low)} and {spoken.up(high)}"
    if joint.band is not None:
        low, high = min(low, joint.band[0]), max(high, joint.band[1])
        told = f"by its {specimens} and the prediction it likely goes"
        return f"{told} between {spoken.down(low)} and {spoken.up(high)}"
    told = f"its {counted(len(gave), 'break')} came between {spoken.down(low)} and {spoken.up(high)}"
    return f"{told}, from which no scatter shows"


def _predicted_words(band: tuple[float, float] | None, spoken: _Spoken) -> str:
    if band is None:
        return ""
    return f", and it was predicted to go between {spoken.down(band[0])} and {spoken.up(band[1])}"


def _rig_of(joint: ComparedJoint, comparison: Comparison) -> WeightsOnRig | None:
    """The one rig on which all specimens of a joint were broken."""
    rigs = {comparison.log.rigs[row.day] for row in joint.measured.breaks}
    rig = rigs.pop() if len(rigs) == 1 else None
    return None if rig is None else WeightsOnRig(rig)
