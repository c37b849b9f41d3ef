"""The sentence a maker says aloud before the first weight goes on, and the five loads behind it.

From which load to stand clear, between which loads the corner likely goes, which place to watch. Loads are
rounded the cautious way: the load to stand clear from down, the band outward.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor, isclose, log10
from typing import NamedTuple, Protocol

from glueline.studies.files.display import force_factor, force_unit, weight_size, weight_unit
from glueline.studies.files.units import Units, significant
from glueline.studies.files.words import all_of
from glueline.studies.predict.answer import Answer, Reason, SaidAloud

ON_A_STEP = 1e-9  # share by which a number on a step may miss it by round-off
FORCES_MEANT = (
    "Loads are forces on the joint, not weights stacked: glueline plan, with a rig file, gives the weights."
)
TREAT_AS_BROKEN = "A cracked specimen is treated as broken, whatever it still holds."
NOTHING_STACKED = "the bare rig, before anything is stacked"
WITHOUT_BAND = "how far corners made alike differ (some go earlier)"
WITHOUT_RANGES = "how far the glue values can be believed"
WITHOUT_CRACK = "where it first cracks"


class OnRig(Protocol):
    """Turns forces P on the joint in N into weights in kg stacked on a rig."""

    def weight(self, force: float) -> float:
        """The weight that puts this force on the joint; 0 where the rig alone does."""
        ...

    def cautious_weight(self, force: float) -> float:
        """The weight from which the force may be reached, the rig's error counted against us."""
        ...


class NamedLoad(NamedTuple):
    """A load on the joint in N (None where there is none), by its name, and what it is for."""

    name: str
    load: float | None
    purpose: str


def said_aloud(answer: Answer) -> SaidAloud:
    """What is said of an answer, in forces on the joint.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> found = said_aloud(predict(read_specimen(example_path("butt")), method="elastic").answer)
    >>> found.because_of, found.watch, found.likely is None
    ('glue values', 'outside end of the butt face', True)
    """
    stand_clear, because_of = stand_clear_from(answer)
    return SaidAloud(
        sentence=sentence_aloud(answer, "metric"),
        stand_clear=stand_clear,
        because_of=because_of,
        likely=answer.band,
        watch=place_to_watch(answer),
        left_out=_left_out(answer),
    )


def stand_clear_from(answer: Answer) -> tuple[float, Reason]:
    """The lowest load in N at which something may give, and what it is.

    The lowest of the break load, the first crack, the load that 5 % of corners made alike do not reach, and
    the break loads at both ends of what can be believed of the glue and of bought fasteners. With a
    calibrated glue also the break load less what its file says that it can be off.
    """
    lowest: list[tuple[float, Reason]] = [(answer.break_load, "break")]
    crack = first_crack(answer)
    if crack is not None:
        lowest.append((crack, "first crack"))
    if answer.band is not None:
        lowest.append((answer.band[0], "band"))
    if answer.calibrated_off_by is not None:
        lowest.append((answer.break_load / answer.calibrated_off_by, "calibrated glue"))
    lowest += [(load, "glue values") for pair in (answer.ranges or {}).values() for load in pair]
    return min(lowest, key=lambda each: each[0])


def first_crack(answer: Answer) -> float | None:
    """The load in N of the first crack, of the glue or of wood that splits; None where it is not known."""
    told = [event.load for event in answer.events or () if event.kind in ("cracks", "splits")]
    heard = [] if answer.first_crack_load is None else [answer.first_crack_load]
    return min([*told, *heard], default=None)


def place_to_watch(answer: Answer) -> str:
    """Where the first crack shows, else where the corner gives; without an article."""
    cracks = [each for each in answer.events or () if each.kind in ("cracks", "splits")]
    first = min(cracks, key=lambda each: each.load, default=None)
    return first.where if first is not None and first.load < answer.break_load else answer.where


def sentence_aloud(answer: Answer, units: Units, rig: OnRig | None = None) -> str:
    """The sentence, in weights stacked on a rig, else in forces on the joint, which it says."""
    least, _ = stand_clear_from(answer)
    if rig is None:
        start = f"{force_down(least, units)} (force on the joint)"
        likely = _likely(answer, lambda load: force_down(load, units), lambda load: force_up(load, units))
    else:
        weight = rig.cautious_weight(least)
        start = f"{weight_down(weight, units)} stacked" if weight > 0 else NOTHING_STACKED
        likely = _likely(
            answer,
            lambda load: weight_down(rig.weight(load), units),
            lambda load: weight_up(rig.weight(load), units),
        )
    watch = f"watch {with_article(place_to_watch(answer))}"
    return f"Stand clear from {start}: {likely}; {watch}."


def _likely(answer: Answer, down: Callable[[float], str], up: Callable[[float], str]) -> str:
    """Between which loads it likely goes; without a band, about where."""
    gives = "gives far or goes" if still_holds(answer) else "goes"
    if answer.band is None:
        return f"by one calculation it {gives} at about {down(answer.break_load)}"
    low, high = answer.band
    return f"it likely {gives} between {down(low)} and {up(high)}"


def still_holds(answer: Answer) -> bool:
    """Whether the story of an answer ends at its break load with the corner still holding."""
    last = answer.events[-1] if answer.events else None
    return last is not None and last.kind == "holds" and isclose(last.load, answer.break_load, rel_tol=1e-6)


def words_aloud(answer: Answer, units: Units, rig: OnRig | None = None) -> list[str]:
    """The sentence first, then what it leaves out, and how a cracked specimen counts."""
    left_out = _left_out(answer)
    words = [sentence_aloud(answer, units, rig)]
    if left_out:
        words.append(f"Left out of it: {all_of(left_out)}.")
    return [*words, TREAT_AS_BROKEN, *(() if rig is not None else (FORCES_MEANT,))]


def sentences_aloud(
    answers: Sequence[tuple[str, Answer]], units: Units, rig: OnRig | None = None
) -> list[str]:
    """The sentence of each of several corners behind its label, then what holds for them all."""
    words = [f"{label}: {sentence_aloud(answer, units, rig)}" for label, answer in answers]
    left_out = dict.fromkeys(each for _, answer in answers for each in _left_out(answer))
    if left_out:
        some = "" if all(_left_out(answer) == tuple(left_out) for _, answer in answers) else " of some"
        words.append(f"Left out{some}: {all_of(list(left_out))}.")
    return [*words, TREAT_AS_BROKEN, *(() if rig is not None else (FORCES_MEANT,))]


def _left_out(answer: Answer) -> tuple[str, ...]:
    """What an answer does not know of what the sentence counts on."""
    return tuple(
        words
        for words, known in (
            (WITHOUT_BAND, answer.band is not None),
            (WITHOUT_RANGES, answer.ranges is not None),
            (WITHOUT_CRACK, answer.method != "elastic"),
        )
        if not known
    )


def five_loads(answer: Answer) -> list[NamedLoad]:
    """First damage, first crack, glue, wood and break, each with its use; a fastener's, if it has one."""
    loads = [
        NamedLoad(
            "first damage",
            answer.first_damage_load,
            "one point of the glue is at its strength, nothing is heard: only to compare corners",
        ),
        NamedLoad("first crack", first_crack(answer), "to stop at and stay away: cracked counts as broken"),
        NamedLoad("glue", answer.glue_load, "where the glue lets go: fit, area or another glue move it"),
        NamedLoad("wood", answer.wood_load, "where the wood gives: past it better glue gains nothing"),
        NamedLoad("break", answer.break_load, "what brings it down: to rank joints, to bring weights for"),
    ]
    if answer.fastener_load is not None:
        loads.insert(4, NamedLoad("fastener", answer.fastener_load, "where screws or fittings give"))
    return loads


def with_article(place: str) -> str:
    """A place as it stands in a sentence; a board goes by its name alone."""
    return place if place.startswith("board ") else f"the {place}"


def force_down(force: float, units: Units) -> str:
    """A force in N as text, rounded down."""
    return f"{significant(rounded_down(force * force_factor(units)), 3)} {force_unit(units)}"


def force_up(force: float, units: Units) -> str:
    """A force in N as text, rounded up."""
    return f"{significant(rounded_up(force * force_factor(units)), 3)} {force_unit(units)}"


def weight_down(kg: float, units: Units) -> str:
    """A stacked weight in kg as text, rounded down."""
    return f"{significant(rounded_down(kg / weight_size(units)), 3)} {weight_unit(units)}"


def weight_up(kg: float, units: Units) -> str:
    """A stacked weight in kg as text, rounded up."""
    return f"{significant(rounded_up(kg / weight_size(units)), 3)} {weight_unit(units)}"


def rounded_down(number: float) -> float:
    """Down to two digits, or to a step of a half of the second where the first is a 1: 5 % at most.

    >>> rounded_down(1279.0), rounded_down(467.1), rounded_down(40.3), rounded_down(0.0)
    (1250.0, 460.0, 40.0, 0.0)
    """
    step = _step(number)
    return floor(number / step * (1 + ON_A_STEP)) * step if step else 0.0


def rounded_up(number: float) -> float:
    """Up to the same steps.

    >>> rounded_up(1279.0), rounded_up(2184.0), rounded_up(40.0)
    (1300.0, 2200.0, 40.0)
    """
    step = _step(number)
    return ceil(number / step * (1 - ON_A_STEP)) * step if step else 0.0


def _step(number: float) -> float:
    if number <= 0:
        return 0.0
    size = 10.0 ** floor(log10(number))
    return size / (20 if number < 2 * size else 10)
