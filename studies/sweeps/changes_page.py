"""What influence and least have to say on a page."""

from __future__ import annotations

from collections.abc import Sequence

from glueline.studies.files.display import format_force
from glueline.studies.files.units import Units
from glueline.studies.predict.said_aloud import sentence_aloud
from glueline.studies.show.page_words import PagePart, PagePicture, PageWords, table_of
from glueline.studies.sweeps.goals import Goal
from glueline.studies.sweeps.influence import Influence, Ranking
from glueline.studies.sweeps.least import Sought
from glueline.studies.sweeps.ranges import written
from glueline.studies.sweeps.tables import (
    influence_reasons,
    influence_rows,
    influence_words,
    sought_rows,
    sought_words,
)

MOST_SAID = 3
BOTH_ENDS = ("moved", "from", "to", "breaks at, from", "breaks at, to", "change", "breaks in")
"""Headings of which each says what its column is: on a phone a row stands without its neighbours."""


def influence_page(ranking: Ranking, units: Units, picture: str) -> PageWords:
    """What is said aloud, the greatest influences, then all of them; ``picture`` is the file of the bars."""
    moving = [each for each in ranking.influences if each.swing > 0][:MOST_SAID]
    caption = "How far the break load moves with each of them, one at a time, the greatest first."
    return PageWords(
        title="What moves the break load most",
        about=influence_words(ranking, units),
        said=(sentence_aloud(ranking.nominal, units), *(_sentence(each, units) for each in moving)),
        parts=(
            PagePart(
                heading="Everything a maker does not control well",
                pictures=(PagePicture(picture, caption),),
                tables=(table_of([BOTH_ENDS, *influence_rows(ranking, units)[1:]]),),
            ),
            PagePart(
                heading="What each range rests on", folded=True, listed=tuple(influence_reasons(ranking))
            ),
        ),
    )


def _sentence(each: Influence, units: Units) -> str:
    """One influence said in words."""
    loads = [
        "no answer" if load is None else format_force(load, units)
        for load in (each.break_at_low, each.break_at_high)
    ]
    moved = each.moved_range
    ends = [written(end, units) for end in (moved.low, moved.high)]
    thing = f"{moved.description[:1].upper()}{moved.description[1:]}"
    return f"{thing}: at {ends[0]} it breaks at {loads[0]}, at {ends[1]} at {loads[1]}."


def least_page(sought: Sought, goal: Goal, keys: Sequence[str], units: Units) -> PageWords:
    """What is said aloud of what was found, what was found, then all that was tried."""
    best = sought.best.outcome.answer
    aloud = [] if best is None else [sentence_aloud(best, units)]
    joint = next((each.outcome.answer.joint for each in sought.tried if each.outcome.answer), "glued")
    head, *rows = sought_rows(sought, goal, keys, units)
    tried = PagePart(heading="All that was tried", tables=(table_of([[*head[:-1], "how near"], *rows]),))
    return PageWords(
        title="The least change that is enough" if sought.meets_goal else "No change tried is enough",
        about=f"{joint} corner; sought: {goal.words(units)}",
        said=(*aloud, *sought_words(sought, goal, units).split("\n")),
        parts=(tried,),
    )
