"""HTML that cannot be broken into: every text is escaped unless it is markup already."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

UNKNOWN_CHARACTER = "\N{REPLACEMENT CHARACTER}"
NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"
KEPT_CHARACTERS = "\n\t" + NO_BREAK_SPACE  # Python calls them not printable
LONGEST_KEPT = 18
EMPTY_ELEMENTS = ("meta", "link", "img", "br")


class Markup(str):
    """Text that is HTML; only this module makes it."""

    __slots__ = ()


def element(tag: str, *inside: str, **attributes: str) -> Markup:
    """An element with text (escaped) or markup (as it is) inside.

    An underscore at the end of an attribute's name falls away, one in the middle is a hyphen.
    """
    named = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{escape(shown(value))}"'
        for name, value in attributes.items()
    )
    if tag in EMPTY_ELEMENTS:
        return Markup(f"<{tag}{named}>")
    return Markup(f"<{tag}{named}>{joined(inside)}</{tag}>")


def joined(parts: Iterable[str], between: str = "") -> Markup:
    """Texts (escaped) and markup one after the other."""
    return Markup(between.join(part if isinstance(part, Markup) else escape(shown(part)) for part in parts))


def style_sheet(rules: str) -> Markup:
    """A style element; ``rules`` are ours, never a maker's words."""
    return Markup(f"<style>{rules}</style>")


def document(head: Markup, body: Markup) -> Markup:
    """A whole page in English."""
    return Markup(f'<!doctype html>\n<html lang="en">\n<head>\n{head}\n</head>\n{body}\n</html>\n')


def shown(text: str) -> str:
    """``text`` without characters that would act on a page instead of being seen, or that UTF-8 lacks."""
    return "".join(
        character if character.isprintable() or character in KEPT_CHARACTERS else UNKNOWN_CHARACTER
        for character in text
    )


def listed(lines: Sequence[str]) -> Markup:
    """A list, nothing where there are no lines."""
    return element("ul", *(element("li", line) for line in lines)) if lines else Markup("")


def folded(name: str, *inside: str) -> Markup:
    """What opens at a touch. It stands beside its handle, not in it, so that every printer has it open."""
    handle = element("details", element("summary", name), class_="handle")
    return joined([handle, element("div", *inside, class_="folded")])


def _kept(cell: str) -> str:
    """A short number stays on one line with its unit."""
    short = not isinstance(cell, Markup) and cell[:1].isdigit() and len(cell) <= LONGEST_KEPT
    return cell.replace(" ", NO_BREAK_SPACE) if short else cell


def pairs_table(rows: Iterable[tuple[str, str]]) -> Markup:
    """A table of two columns, the first of them what the second is."""
    lines = (element("tr", element("th", name, scope="row"), element("td", value)) for name, value in rows)
    return element("table", element("tbody", *lines), class_="pairs")


def cells_table(head: Sequence[str], rows: Iterable[Sequence[str]], caption: str = "") -> Markup:
    """A table with headings; on a narrow screen every row becomes a card with the headings inside."""
    titles = element("thead", element("tr", *(element("th", title, scope="col") for title in head)))
    lines = (
        element(
            "tr",
            *(element("td", _kept(cell), data_label=title) for title, cell in zip(head, row, strict=True)),
        )
        for row in rows
    )
    named = [element("caption", caption)] if caption else []
    table = element("table", *named, titles, element("tbody", *lines), class_="cards")
    return element("div", table, class_="frame")
