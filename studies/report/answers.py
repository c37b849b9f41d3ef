"""The answers themselves: of one corner, of a ranking, of a sweep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from glueline.studies.files.display import (
    format_area,
    format_compliance,
    format_energy,
    format_force,
    format_length,
    format_moment,
    format_rotational_stiffness,
    percent,
)
from glueline.studies.files.units import Units
from glueline.studies.rank.rank_table import rank_rows
from glueline.studies.rank.ranking import (
    RankedCorner,
    comparison_notes,
    ranking_from_object,
    scatter_words,
    strongest_first,
)
from glueline.studies.report.directory import Results
from glueline.studies.report.markup import Markup, cells_table, element, joined, listed, pairs_table
from glueline.studies.show.tables import NOT_FOUND, band_words
from glueline.studies.sweeps.rows import table
from glueline.studies.sweeps.tables import NO_BAND, band_text, load_text

NO_SCATTER = "This answer has no scatter band: an elastic one, or one with --no-band."


def answered_corners(results: Results) -> tuple[RankedCorner, ...]:
    """Every answer of the directory with the name it goes by on the page; one alone has none."""
    if results.command == "predict":
        return (RankedCorner("", "", results.found),)
    if results.command == "rank":
        return ranking_from_object(results.found)
    return tuple(
        RankedCorner(", ".join(f"{key} = {value}" for key, value in values.items()), "", outcome.answer)
        for values, outcome in results.points.values()
        if outcome.answer is not None
    )


def heading(results: Results) -> tuple[str, str]:
    """The page's title, and what kind of answers it holds."""
    corners = answered_corners(results)
    arrangements = dict.fromkeys(str(corner.answer["arrangement"]) for corner in corners)
    methods = dict.fromkeys(str(corner.answer["method"]) for corner in corners)
    about = f"{', '.join(arrangements)}; {' and '.join(methods)} answer"
    joints = " and ".join(dict.fromkeys(str(corner.answer["joint"]) for corner in corners))
    if results.command == "predict":
        return f"A {joints} corner: at what load it breaks", about
    if results.command == "rank":
        count = len(corners)
        return (f"{count} corners side by side" if count > 1 else f"A {joints} corner"), about
    keys = " and ".join(results.found["vary"]) or "nothing"
    return f"A {joints} corner with {keys} varied", about


def answer_section(results: Results, units: Units) -> Markup:
    """What was found, in a sentence where there is one, and as a table."""
    if results.command == "predict":
        return _of_prediction(results.found, units)
    if results.command == "rank":
        return _of_ranking(ranking_from_object(results.found), units)
    return _of_sweep(results, units)


def _of_prediction(answer: Mapping[str, Any], units: Units) -> Markup:
    load = format_force(answer["break_load_N"], units)
    low_high = answer["band_N"]
    band = "" if low_high is None else f" ({band_words((low_high[0], low_high[1]), units)})"
    modes = cells_table(
        ["load", "what gives", "where", "mean over", ""],
        [
            [
                format_force(each["load_N"], units),
                each["mode"],
                each["where"],
                "" if each["mean_over_mm"] is None else format_length(each["mean_over_mm"], units),
                each["note"],
            ]
            for each in answer["modes"]
        ],
        "Every mode with the load at which it would be met",
    )
    return joined(
        [
            element("p", f"Breaks at {load}{band}", class_="load"),
            element("p", answer["why"]),
            pairs_table(prediction_rows(answer, units)),
            element("p", NO_SCATTER if low_high is None else f"Scatter. {answer['scatter']['note']}"),
            modes,
        ]
    )


def prediction_rows(answer: Mapping[str, Any], units: Units) -> list[tuple[str, str]]:
    """One answer in words and numbers, a row each; what it does not know is left out."""
    rows = [("break load", format_force(answer["break_load_N"], units))]
    if answer["band_N"] is not None:
        low, high = answer["band_N"]
        rows.append(("nine of ten corners made alike (5 to 95 %)", band_words((low, high), units)))
    rows += [
        ("corner moment then", format_moment(1000 * answer["break_moment_Nm"], units)),
        ("breaks in", f"{answer['breaks_in']}: {answer['mode']}, {answer['where']}"),
        ("glue load", format_force(answer["glue_load_N"], units)),
        ("wood load", format_force(answer["wood_load_N"], units)),
        (
            "first glue point at its strength",
            f"{format_force(answer['first_damage_load_N'], units)} (elements of "
            f"{format_length(answer['element_size_mm'], units)} at the glue)",
        ),
    ]
    if answer["first_crack_load_N"] is not None:
        rows.append(("first crack to be heard", format_force(answer["first_crack_load_N"], units)))
    if answer["displacement_at_break_mm"] is not None:
        rows.append(("give at the break", format_length(answer["displacement_at_break_mm"], units)))
    if answer["energy_at_break_J"] is not None:
        energy = format_energy(1000 * answer["energy_at_break_J"], units)
        rows.append(("work done by then, for catch blocks", energy))
    if answer["with_crushing"] is not None:
        crushed = answer["with_crushing"]
        words = f"{format_force(crushed['break_load_N'], units)} ({crushed['breaks_in']})"
        rows.append(("break load if faces crush where they press", words))
    stiffness = format_rotational_stiffness(1000 * answer["corner_stiffness_Nm_per_rad"], units)
    rows += [
        ("give of the load point under load", format_compliance(answer["compliance_mm_per_N"], units)),
        ("corner stiffness", stiffness),
    ]
    if answer["glue_load_range_N"] is not None:
        low, high = answer["glue_load_range_N"]
        rows.append(("glue load, crossed grain weak to strong", band_words((low, high), units)))
    rows += [(f"moment on the {name}", percent(share)) for name, share in answer["moment_share"].items()]
    rows += [
        (f"glue area, {name.replace('_', ' ')}", format_area(area, units))
        for name, area in answer["glue_area_mm2"].items()
        if area > 0
    ]
    return rows


def _of_ranking(corners: Sequence[RankedCorner], units: Units) -> Markup:
    head, *rows = rank_rows(corners, units)
    words = [*scatter_words(corners), *comparison_notes(corners)]
    reasons = [
        joined([element("strong", f"{corner.label}: "), str(corner.answer["why"])])
        for corner in strongest_first(corners)
    ]
    return joined(
        [cells_table(head, rows), *(element("p", each) for each in words), listed(reasons)],
    )


def _of_sweep(results: Results, units: Units) -> Markup:
    keys = list(results.found["vary"])
    values: list[Mapping[str, str]] = [{}] * (1 + max(results.points))
    for number, (own, _) in results.points.items():
        values[number] = own
    _, rows = table(keys, values, {number: outcome for number, (_, outcome) in results.points.items()})
    done = [row for row in rows if row["status"] == "ok"]
    banded = any(row["band_05_N"] is not None for row in done)
    head = [*keys, "break load", *(["5 % to 95 %"] if banded else []), "breaks in", "mode", "where"]
    lines = []
    for row in done:
        band = [band_text(row["band_05_N"], row["band_95_N"], units) or NOT_FOUND] if banded else []
        told = [str(row[name]) for name in ("breaks_in", "mode", "where")]
        lines.append(
            [*(_cell(row[key]) for key in keys), load_text(row["break_load_N"], units), *band, *told]
        )
    failed = [
        f"{', '.join(f'{key} = {_cell(row[key])}' for key in keys)}: {row['error']}"
        for row in rows
        if row["status"] != "ok"
    ]
    asked = int(results.found["points"])
    parts = [element("p", f"{len(done)} of {asked} points have an answer.", class_="load")]
    if len(rows) < asked:
        left = asked - len(rows)
        parts.append(element("p", f"{left} are not computed yet: the same glueline sweep carries it on."))
    parts.append(cells_table(head, lines))
    if not banded:
        parts.append(element("p", NO_BAND))
    if failed:
        parts += [element("h3", "Points without an answer"), listed(failed)]
    return joined(parts)


def _cell(cell: object) -> str:
    return "" if cell is None else str(cell)
