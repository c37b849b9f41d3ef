"""What is said aloud on the day, and the weights stacked on the rig at which each joint is expected to go."""

from __future__ import annotations

from msgspec import Struct, field

from glueline.studies.bench_day.expected import counted_on
from glueline.studies.bench_day.plan.plan import Plan
from glueline.studies.bench_day.rig.on_rig import WeightsOnRig
from glueline.studies.files.units import Units
from glueline.studies.predict.said_aloud import (
    five_loads,
    sentence_aloud,
    sentences_aloud,
    stand_clear_from,
    weight_down,
    weight_up,
)

NOTHING, NONE = "nothing", "—"
EXPECTED_COLUMNS = ("joint", "stand clear from", "expected to go at", "likely between")


class ExpectedWeights(Struct, frozen=True, kw_only=True):
    """Weights stacked on the rig, exact but in the sentence.

    ``stand_clear`` counts the rig's error against us; ``goes_at`` is the weight of the predicted load,
    ``likely`` those of the band.
    """

    label: str
    sentence: str
    stand_clear: float = field(name="stand_clear_kg")
    goes_at: float = field(name="goes_at_kg")
    likely: tuple[float, float] = field(name="likely_kg")


def expected_weights(plan: Plan) -> tuple[ExpectedWeights, ...]:
    """One a joint, in the order of the plan."""
    rig = WeightsOnRig(plan.rig)
    return tuple(
        ExpectedWeights(
            label=each.label,
            sentence=sentence_aloud(counted_on(each), "metric", rig),
            stand_clear=rig.cautious_weight(stand_clear_from(counted_on(each))[0]),
            goes_at=rig.weight(each.load),
            likely=(rig.weight(each.band[0]), rig.weight(each.band[1])),
        )
        for each in plan.estimates
    )


def said_on_the_day(plan: Plan, units: Units) -> list[str]:
    """The sentence of every joint, then what holds for them all."""
    answers = [(each.label, counted_on(each)) for each in plan.estimates]
    return sentences_aloud(answers, units, WeightsOnRig(plan.rig))


def expected_rows(plan: Plan, units: Units) -> list[tuple[str, ...]]:
    """Under ``EXPECTED_COLUMNS``, rounded the cautious way: down, the upper end of the band up."""
    return [
        (
            each.label,
            weight_down(each.stand_clear, units) if each.stand_clear else NOTHING,
            weight_down(each.goes_at, units),
            f"{weight_down(each.likely[0], units)} and {weight_up(each.likely[1], units)}",
        )
        for each in expected_weights(plan)
    ]


def loads_as_weights(plan: Plan, units: Units) -> list[tuple[str, ...]]:
    """The five loads of every joint as weights, headings first."""
    rig = WeightsOnRig(plan.rig)
    loads = {
        each.label: {load.name: load.load for load in five_loads(each.answer)} for each in plan.estimates
    }
    names = max((list(own) for own in loads.values()), key=len)

    def shown(load: float | None) -> str:
        return NONE if load is None else weight_down(rig.weight(load), units)

    return [
        ("stacked at", *names),
        *((label, *(shown(own.get(name)) for name in names)) for label, own in loads.items()),
    ]


def load_purposes(plan: Plan) -> list[str]:
    """What each of those loads is for."""
    loads = max((five_loads(each.answer) for each in plan.estimates), key=len)
    return [f"{each.name}: {each.purpose}." for each in loads]
