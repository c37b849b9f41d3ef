"""Pages of results as a browser shows and prints them."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
from PIL import Image

from glueline.studies.commands import main
from glueline.studies.report import read_directory, report_page
from tests.studies.report.report_pages import BROWSER, COMMANDS, browse
from tests.studies.report.spoiled_results import spoiled

CAUTION_COLOUR = (255, 246, 234)
HEADINGS = {"predict": 5, "rank": 4, "sweep": 3}
"""Of a page, when it is whole."""

needs_browser = pytest.mark.skipif(BROWSER is None, reason="no chromium here; Debian's package is chromium")


@needs_browser
@pytest.mark.slow
@pytest.mark.parametrize("command", COMMANDS)
def test_a_browser_shows_the_page(command: str, folders: dict[str, Path], tmp_path: Path) -> None:
    """Nothing on the console; cautions and the first lines are seen on the screenshot."""
    page, shot = tmp_path / "page.html", tmp_path / "shot.png"
    assert main(["report", str(folders[command]), "--out", str(page)]) == 0
    _, console = browse(page, tmp_path, "--window-size=1200,1500", f"--screenshot={shot}")
    assert console == []
    with Image.open(shot) as opened:
        picture = opened.convert("RGB")
    assert picture.size == (1200, 1500)
    colours = {colour: count for count, colour in picture.getcolors(2**24) or []}
    assert colours[CAUTION_COLOUR] > 20_000
    assert sum(count for colour, count in colours.items() if max(colour) < 90) > 3_000


@needs_browser
@pytest.mark.slow
@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("width", [320, 390, 1200])
def test_no_page_is_wider_than_the_screen(
    command: str, width: int, folders: dict[str, Path], tmp_path: Path
) -> None:
    """Measured by the browser in a frame of a phone's width, with words no line can break in them."""
    content = report_page(spoiled(read_directory(folders[command]), "unbroken" * 9)).decode()
    content = content.replace('<details class="handle">', '<details class="handle" open>')
    frame = tmp_path / "frame.html"
    frame.write_text(
        f'<body><iframe width="{width}" height="900" srcdoc="{html.escape(content)}"></iframe>'
        "<style>iframe { border: 0 }</style><script>onload = () => {"
        "const inside = document.querySelector('iframe').contentDocument;"
        "const widest = inside.documentElement.scrollWidth;"
        "const sections = inside.querySelectorAll('h2').length;"
        "document.body.textContent = `widest ${widest} of ${sections}`; }</script>",
        encoding="utf-8",
    )
    shown_page, _ = browse(frame, tmp_path, "--dump-dom")
    assert f"widest {width} of {HEADINGS[command]}" in shown_page


@needs_browser
@pytest.mark.slow
def test_a_page_prints_as_long_folded_as_open(folders: dict[str, Path], tmp_path: Path) -> None:
    """Counted in sheets of paper; what is folded takes several of them."""
    page = report_page(read_directory(folders["predict"]))
    opened = page.replace(b'<details class="handle">', b'<details class="handle" open>')
    hidden = page.replace(b"@media screen {\n  .handle", b"@media all {\n  .handle")
    assert page not in (opened, hidden)
    sheets = []
    for name, content in (("page", page), ("opened", opened), ("hidden", hidden)):
        at, paper = tmp_path / f"{name}.html", tmp_path / f"{name}.pdf"
        at.write_bytes(content)
        browse(at, tmp_path, f"--print-to-pdf={paper}")
        sheets.append(len(re.findall(rb"/Type\s*/Page\b", paper.read_bytes())))
    assert sheets[0] == sheets[1] > sheets[2] + 2


@needs_browser
@pytest.mark.slow
def test_the_console_is_listened_to(tmp_path: Path) -> None:
    """A page that does complain is noticed, so silence means something."""
    page = tmp_path / "loud.html"
    page.write_text("<script>console.error('loud'); missing()</script>", encoding="utf-8")
    _, console = browse(page, tmp_path, f"--screenshot={tmp_path / 'shot.png'}")
    assert len(console) == 2
