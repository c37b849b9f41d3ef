"""The page: answers, cautions, pictures, inputs and what all of it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from glueline.studies.corner.vocabulary import CAUTIONS, YIELD
from glueline.studies.rank.write_ranking import notes_of
from glueline.studies.report.answers import (
    answer_section,
    details_section,
    heading,
    load_and_band,
    said_first,
)
from glueline.studies.report.background import (
    asked_section,
    inputs_section,
    materials_section,
    method_section,
    record_inputs,
    words_section,
)
from glueline.studies.report.directory import Results, Told
from glueline.studies.report.markup import Markup, document, element, folded, joined, listed, style_sheet
from glueline.studies.report.picture_part import first_picture, pictures_section
from glueline.studies.report.style import STYLE
from glueline.studies.report.told_part import ENOUGH, changes_section, told_sections

# Nothing is fetched and nothing runs, whatever stands on the page.
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"

MARK = {"name": "generator", "content": "glueline report"}
"""By which a page that was written here is known again."""


def is_report_page(content: bytes) -> bool:
    """Whether a file is a page that ``report_page`` made."""
    return str(element("meta", **MARK)).encode() in content[:2000]


def report_page(results: Results) -> bytes:
    """The whole page as UTF-8; the same results always make the same bytes."""
    title, parts = _of_answers(results) if results.corners else _of_words(results)
    head = joined(
        [
            element("meta", charset="utf-8"),
            element("meta", http_equiv="Content-Security-Policy", content=POLICY),
            element("meta", **MARK),
            element("meta", name="viewport", content="width=device-width, initial-scale=1"),
            element("link", rel="icon", href="data:,"),
            element("title", f"{title} · Glueline"),
            style_sheet(STYLE),
        ],
        "\n",
    )
    version = results.record.versions.get("glueline", "")
    measured = any(each.command == "bench" for each in results.told)
    foot = f"glueline {results.command}, version {version}." + (
        "" if measured else " Predicted, not measured."
    )
    body = [element("h1", title), *parts, element("p", foot, class_="foot")]
    return document(head, element("body", element("main", *body))).encode()


def _of_answers(results: Results) -> tuple[str, list[Markup]]:
    """The page of predict, rank or sweep: what is said and seen first, what to beware of, the rest folded."""
    units = results.record.units
    title, about = heading(results)
    others = [each for each in results.told if results.command != "predict" or each.command not in ENOUGH]
    parts = [
        said_first(results, units),
        element("p", about, class_="about"),
        first_picture(results, units),
        load_and_band(results, units),
        *_sections({_changes_heading(results): changes_section(results)}),
        _cautions(line for each in results.told for line in each.words.cautions),
        *_sections(
            {
                "Answer": answer_section(results, units),
                "Notes and warnings": listed([*notes_of(results.corners, units), YIELD]),
                "Pictures": pictures_section(results, units),
            }
        ),
        *(_told_beside(each) for each in others),
        element("h2", "For those who check"),
        *_folds(
            {
                "Figures and every mode": details_section(results, units),
                "Inputs": inputs_section(results),
                "How it was found": method_section(results, units),
                "Words": words_section(),
                "What every material value rests on": materials_section(results.record, units),
            }
        ),
    ]
    return title, parts


def _changes_heading(results: Results) -> str:
    """What the section says: without least nothing tells what would be enough."""
    found = {each.command for each in results.told if each.command in ENOUGH}
    return "What moves the break load" if found == {"influence"} else "Which change would be enough"


def _of_words(results: Results) -> tuple[str, list[Markup]]:
    """The page of a bench day, a plan, a use, a change that is enough, or what moves the load most."""
    first, *others = results.told
    record = results.record
    parts = [
        *(element("p", sentence, class_="aloud") for sentence in first.words.said),
        element("p", first.words.about, class_="about"),
        _cautions(line for each in results.told for line in each.words.cautions),
        *told_sections(first),
        *(_told_beside(each) for each in others),
        element("h2", "For those who check"),
        *_folds(
            {
                "Inputs": joined(record_inputs(record)),
                "How it was found": asked_section(record),
                "Words": words_section(),
                "What every material value rests on": materials_section(record, record.units),
            }
        ),
    ]
    return first.words.title, parts


def _told_beside(told: Told) -> Markup:
    """What a further command has to say, under a heading of its own."""
    said = [element("p", sentence) for sentence in told.words.said]
    return joined([element("h2", told.words.title), *said, *told_sections(told)])


def _sections(contents: Mapping[str, Markup]) -> list[Markup]:
    """What there is, each under its heading."""
    return [element("section", element("h2", name), each) for name, each in contents.items() if each]


def _folds(contents: Mapping[str, Markup]) -> list[Markup]:
    """What there is, each to open at a touch."""
    return [folded(name, each) for name, each in contents.items() if each]


def _cautions(further: Iterable[str]) -> Markup:
    lines = [element("p", line) for line in dict.fromkeys([*CAUTIONS.split("\n"), *further])]
    return element("div", element("strong", "Cautions"), *lines, class_="cautions", role="note")
