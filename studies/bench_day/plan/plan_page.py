"""What plan has to say on a page."""

from __future__ import annotations

from glueline.studies.bench_day.plan.bench_sheet import WEIGHT_COLUMNS, safety_notes, weights_and_steps
from glueline.studies.bench_day.plan.expected_weights import (
    EXPECTED_COLUMNS,
    expected_rows,
    load_purposes,
    loads_as_weights,
    said_on_the_day,
)
from glueline.studies.bench_day.plan.plan import Plan
from glueline.studies.bench_day.plan.plan_report import blank_rows, cut_words, pair_rows, purpose_words
from glueline.studies.files.display import format_weight, words_in_units
from glueline.studies.files.units import Units
from glueline.studies.show.page_words import PagePart, PageWords, table_of


def plan_page(plan: Plan, units: Units) -> PageWords:
    """The sentence of every joint, the weights, how many of each, the order, and what to cut."""
    words, count = said_on_the_day(plan, units), len(plan.estimates)
    weights = table_of([(*WEIGHT_COLUMNS, "how many"), *weights_and_steps(plan, units)], "Weights and steps")
    expected = table_of([EXPECTED_COLUMNS, *expected_rows(plan, units)], "Weights stacked on the rig")
    apart = (table_of(pair_rows(plan)),) if plan.pairs else ()
    bands = [f"Band of {each.label}: {each.band_from}." for each in plan.joints]
    order = ", ".join(name for _, name in plan.order)
    return PageWords(
        title="A bench day, as planned",
        about=f"{len(plan.order)} specimens, up to {format_weight(plan.heaviest_kg, units)} stacked",
        said=tuple(words[:count]),
        parts=(
            PagePart(heading="What to stack", sentences=tuple(words[count:]), tables=(expected, weights)),
            PagePart(
                heading="How many of each",
                sentences=tuple(text for part in purpose_words(plan) for text in part.split("\n")),
                tables=apart,
            ),
            PagePart(heading="Order", sentences=(f"{order} (seed {plan.wishes.seed}).",)),
            PagePart(
                heading="Five loads as weights",
                folded=True,
                tables=(table_of(loads_as_weights(plan, units)),),
                listed=tuple(load_purposes(plan)),
            ),
            PagePart(
                heading="What to cut",
                folded=True,
                sentences=(f"{cut_words(plan, units)}.",),
                tables=(table_of(blank_rows(plan, units)),),
            ),
            PagePart(heading="Notes", folded=True, listed=(*dict.fromkeys(bands), *plan.notes(units))),
        ),
        cautions=(
            *(f"The rig: {words_in_units(each, units)}." for each in plan.rig.warnings),
            *safety_notes(plan, units),
        ),
    )
