"""What bench, plan, service, least and influence have to say, laid out as they wrote it down."""

from __future__ import annotations

from glueline.studies.predict.said_aloud import sentence_aloud
from glueline.studies.report.directory import Results, Told
from glueline.studies.report.figures import figure
from glueline.studies.report.markup import Markup, cells_table, element, folded, joined, listed
from glueline.studies.show.page_words import PagePart, PagePicture

ENOUGH = ("least", "influence")
"""The commands that say which change would be enough."""

NOT_SOUGHT = (
    "Not sought yet: glueline least and glueline influence, with --out and this same directory, add it here."
)
ANOTHER = "What is in the directory was found for another corner than this one, so it is left out."


def changes_section(results: Results) -> Markup:
    """Which change of one predicted corner would be enough, where that is in its directory."""
    found = [each for each in results.told if each.command in ENOUGH]
    if results.command != "predict":
        return Markup("")
    if not found:
        return element("p", NOT_SOUGHT)
    own = [each for each in found if _of_this_corner(each, results)]
    left = [element("p", f"glueline {each.command}: {ANOTHER}") for each in found if each not in own]
    return joined([*(_briefly(each, results) for each in own), *left])


def _of_this_corner(told: Told, results: Results) -> bool:
    """Whether the same tables were read."""
    return told.record.corners[0].specimen == results.record.corners[0].specimen


def _briefly(told: Told, results: Results) -> Markup:
    """Its sentences, but for one with which the page begins, and the rest folded."""
    first = sentence_aloud(results.corners[0], results.record.units)
    said = [element("p", sentence) for sentence in told.words.said if sentence != first]
    return joined([*said, folded(told.words.title, *(_shown(part, told) for part in told.words.parts))])


def told_sections(told: Told) -> list[Markup]:
    """Every part of a page of words; those that are folded open at a touch."""
    sections = []
    for part in told.words.parts:
        inside = _inside(part, told)
        if part.folded:
            sections.append(folded(part.heading, inside))
        else:
            sections.append(element("section", element("h2", part.heading), inside))
    return sections


def _shown(part: PagePart, told: Told) -> Markup:
    return joined([element("h3", part.heading), _inside(part, told)])


def _inside(part: PagePart, told: Told) -> Markup:
    return joined(
        [
            *(element("p", sentence) for sentence in part.sentences),
            _pictures(part, told),
            *(cells_table(table.head, table.rows, table.caption) for table in part.tables),
            listed(part.listed),
        ]
    )


def _pictures(part: PagePart, told: Told) -> Markup:
    """Every picture; photos stand beside what was predicted."""
    pictures = [_picture(each, told) for each in part.pictures]
    beside = any(each.size is not None for each in part.pictures)
    return element("div", *pictures, class_="beside") if beside else joined(pictures)


def _picture(picture: PagePicture, told: Told) -> Markup:
    content = told.pictures.get(picture.file)
    if content is None or (picture.size is None) != picture.file.endswith(".png"):
        return element("p", f"Not in the directory: {picture.file}.")
    class_ = "" if picture.size is None else "photo"
    return figure(content, picture.caption, picture.caption, picture.size, class_)
