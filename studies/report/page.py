"""The page: answers, cautions, pictures, inputs and what all of it rests on."""

from __future__ import annotations

from glueline.studies.corner.vocabulary import CAUTIONS, YIELD
from glueline.studies.rank.write_ranking import notes_of
from glueline.studies.report.answers import answer_section, heading, said_first
from glueline.studies.report.background import (
    inputs_section,
    materials_section,
    method_section,
    words_section,
)
from glueline.studies.report.directory import Results
from glueline.studies.report.markup import Markup, document, element, joined, listed, style_sheet
from glueline.studies.report.picture_part import pictures_section
from glueline.studies.report.style import STYLE

# Nothing is fetched and nothing runs, whatever stands on the page.
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"

MARK = {"name": "generator", "content": "glueline report"}
"""By which a page that was written here is known again."""


def is_report_page(content: bytes) -> bool:
    """Whether a file is a page that ``report_page`` made."""
    return str(element("meta", **MARK)).encode() in content[:2000]


def report_page(results: Results) -> bytes:
    """The whole page as UTF-8; the same results always make the same bytes."""
    units = results.record.units
    title, about = heading(results)
    sections = {
        "Answer": answer_section(results, units),
        "Notes and warnings": listed([*notes_of(results.corners, units), YIELD]),
        "Pictures": pictures_section(results, units),
        "Inputs": inputs_section(results),
        "How it was found": method_section(results, units),
        "Words": words_section(),
        "What every material value rests on": materials_section(results, units),
    }
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
    parts = [element("h1", title), said_first(results, units)]
    parts += [element("p", about, class_="about"), _cautions()]
    parts += [
        element("section", element("h2", name), content) for name, content in sections.items() if content
    ]
    version = results.record.versions.get("glueline", "")
    foot = f"glueline {results.command}, version {version}. Predicted, not measured."
    parts.append(element("p", foot, class_="foot"))
    return document(head, element("body", element("main", *parts))).encode()


def _cautions() -> Markup:
    lines = [element("p", line) for line in CAUTIONS.split("\n")]
    return element("div", element("strong", "Cautions"), *lines, class_="cautions", role="note")
