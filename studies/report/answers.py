"""The answers themselves: of one corner, of a ranking, of a sweep."""

from __future__ import annotations

from collections.abc import Sequence

from glueline.studies.files.display import format_force
from glueline.studies.files.units import Units
from glueline.studies.files.wording import answers_said
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.said_aloud import sentences_aloud, words_aloud
from glueline.studies.rank.range_orders import range_order_words
from glueline.studies.rank.rank_table import load_purposes, loads_rows, rank_rows
from glueline.studies.rank.ranking import (
    RankedCorner,
    comparison_notes,
    scatter_words,
    strongest_first,
)
from glueline.studies.report.directory import Results
from glueline.studies.report.markup import Markup, cells_table, element, joined, listed, pairs_table
from glueline.studies.show.range_words import range_words
from glueline.studies.show.tables import (
    EVERY_MODE,
    answer_rows,
    band_words,
    load_rows,
    mode_rows,
    story_words,
)
from glueline.studies.sweeps.rows import FinishedPoint
from glueline.studies.sweeps.said_of_sweep import said_of_sweep, spoken_points
from glueline.studies.sweeps.store import Asked
from glueline.studies.sweeps.sweep_words import key_words, varied_words
from glueline.studies.sweeps.tables import NO_BAND, is_banded, sweep_rows

NO_SCATTER = "This answer has no scatter band: an elastic one, or one with --no-band."


def heading(results: Results) -> tuple[str, str]:
    """The page's title, and what kind of answers it holds."""
    corners = results.corners
    arrangements = dict.fromkeys(corner.arrangement for corner in corners)
    methods = dict.fromkeys(corner.method for corner in corners)
    about = f"{', '.join(arrangements)}; {answers_said(methods)}"
    joints = " and ".join(dict.fromkeys(corner.joint for corner in corners))
    if results.command == "predict":
        return f"A {joints} corner: at what load it breaks", about
    if results.command == "rank":
        count = len(corners)
        return (f"{count} corners side by side" if count > 1 else f"A {joints} corner"), about
    keys = " and ".join(key_words(key) for key in (results.asked.vary if results.asked else ())) or "nothing"
    return f"A {joints} corner with its {keys} varied", about


def said_first(results: Results, units: Units) -> Markup:
    """What a maker says aloud, before everything else; of a sweep its strongest and its weakest point."""
    answers = strongest_first(results.corners)
    if results.command == "predict":
        words, count = words_aloud(answers[0], units), 1
    elif results.command == "sweep":
        words, count = said_of_sweep(results.points, units), len(spoken_points(results.points))
    else:
        words, count = sentences_aloud([(each.label, each) for each in answers], units), len(answers)
    sentences = [element("p", each, class_="aloud") for each in words[:count]]
    return joined([*sentences, element("p", " ".join(words[count:]))])


def answer_section(results: Results, units: Units) -> Markup:
    """What was found, in a sentence where there is one, and as a table."""
    if results.command == "predict":
        return loads_table(results.corners[0], units)
    if results.asked is None:
        return _of_ranking(results.corners, units)
    return _of_sweep(results.asked, results.points, units)


def load_and_band(results: Results, units: Units) -> Markup:
    """At what load one corner breaks, between which loads, and why; nothing where there are several."""
    if results.command != "predict":
        return Markup("")
    answer = results.corners[0]
    load = format_force(answer.break_load, units)
    band = "" if answer.band is None else f" ({band_words(answer.band, units)})"
    return joined([element("p", f"Breaks at {load}{band}", class_="load"), element("p", answer.why)])


def loads_table(answer: Answer, units: Units) -> Markup:
    """What else a maker asks of one corner: the five loads, and what lets go in turn."""
    return joined(
        [
            cells_table(*_headed(load_rows(answer, units)), "Five loads"),
            *(element("p", sentence) for sentence in story_words(answer, units)),
        ]
    )


def details_section(results: Results, units: Units) -> Markup:
    """The figures of one corner and every mode; nothing where there are several corners."""
    if results.command != "predict":
        return Markup("")
    answer = results.corners[0]
    head, *modes = mode_rows(answer, units)
    return joined(
        [
            pairs_table(answer_rows(answer, units)),
            *(element("p", sentence) for sentence in range_words(answer, units)),
            element("p", NO_SCATTER if answer.scatter is None else f"Scatter. {answer.scatter.note}"),
            cells_table(head, modes, EVERY_MODE),
        ]
    )


def _of_ranking(corners: Sequence[RankedCorner], units: Units) -> Markup:
    head, *rows = rank_rows(corners, units)
    words = [*scatter_words(corners), *range_order_words(corners), *comparison_notes(corners)]
    reasons = [
        joined([element("strong", f"{corner.label}: "), corner.why]) for corner in strongest_first(corners)
    ]
    return joined(
        [
            cells_table(head, rows),
            cells_table(*_headed(loads_rows(corners, units)), "Five loads"),
            listed(load_purposes(corners)),
            *(element("p", each) for each in words),
            listed(reasons),
        ],
    )


def _headed(rows: list[list[str]]) -> tuple[list[str], list[list[str]]]:
    """Headings, and the rows under them."""
    return rows[0], rows[1:]


def _of_sweep(asked: Asked, points: Sequence[FinishedPoint], units: Units) -> Markup:
    failed = [point for point in points if point.answer is None]
    done = len(points) - len(failed)
    parts = [element("p", f"{done} of {asked.points} points have an answer.", class_="load")]
    if len(points) < asked.points:
        left = asked.points - len(points)
        parts.append(element("p", f"{left} are not computed yet: the same glueline sweep carries it on."))
    banded = is_banded(points)
    head, *rows = sweep_rows(list(asked.vary), points, banded, units)
    parts.append(cells_table(head, rows))
    if not banded:
        parts.append(element("p", NO_BAND))
    if failed:
        reasons = [f"{varied_words(point.values)}: {point.error}" for point in failed]
        parts += [element("h3", "Points without an answer"), listed(reasons)]
    return joined(parts)
