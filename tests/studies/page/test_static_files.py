"""The page's own files: nothing inline, nothing from elsewhere, text that comes from outside only as text."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from glueline.studies import page

STATIC = Path(page.__file__).parent / "static"
SCRIPTS = sorted(STATIC.glob("*.js"))
FILES = sorted(each for each in STATIC.iterdir() if each.suffix in (".js", ".css", ".html"))
MOST_LINES = 400
EXPORT = re.compile(r"^export (?:async )?(?:function|class) ", re.MULTILINE)
TO_HTML = re.compile(
    r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function|DOMParser"
)


def _ids(files: list[Path]) -> list[str]:
    return [each.name for each in files]


@pytest.mark.parametrize("file", FILES, ids=_ids(FILES))
def test_no_file_reaches_beyond_this_machine(file: Path) -> None:
    text = file.read_text(encoding="utf-8").replace("http://www.w3.org/", "")
    assert not re.search(r"https?://|wss?://|@import|url\((?!\"?data:)", text)
    assert len(text.splitlines()) <= MOST_LINES or file.name.startswith("drawing")


@pytest.mark.parametrize("script", SCRIPTS, ids=_ids(SCRIPTS))
def test_scripts_never_make_text_into_elements_and_say_what_they_export(script: Path) -> None:
    text = script.read_text(encoding="utf-8")
    assert not TO_HTML.search(text)
    assert text.startswith("/**")
    for export in EXPORT.finditer(text):
        assert text[: export.start()].endswith("*/\n"), text[export.start() :][:60]


def test_the_page_has_nothing_inline_and_relative_addresses_alone() -> None:
    text = (STATIC / "page.html").read_text(encoding="utf-8")
    assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]* src=)", text)
    addresses = re.findall(r'(?:href|src)="([^"]*)"', text)
    assert len(addresses) > 5
    assert all(each.startswith(("static/", "#", "data:,")) for each in addresses)
    named = {each.removeprefix("static/") for each in addresses if each.startswith("static/")}
    assert {each.name for each in STATIC.glob("*.css")} <= named


def test_every_module_that_is_imported_is_there() -> None:
    there = {each.name for each in SCRIPTS}
    for script in SCRIPTS:
        for name in re.findall(r'from "\./([^"]+)"', script.read_text(encoding="utf-8")):
            assert name in there, f"{script.name} imports {name}"
