"""The bench sheet in a browser: on a telephone, and printed on A4 and on Letter."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from glueline.studies.bench_day.expected import expected, kept_answer
from glueline.studies.bench_day.plan.bench_sheet import sheet_html
from glueline.studies.bench_day.plan.plan import Wishes, make_plan
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.predict.request import Request
from tests.studies.report.report_pages import BROWSER, browse

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(BROWSER is None, reason="no browser here"),
]

POINTS = {"A4": (594.96, 841.92), "letter": (612.0, 792.0)}
"""Width and height of the paper in points: 210 x 297 mm (ISO 216) and 8.5 x 11 in, as the browser rounds."""


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> str:
    specimen = read_specimen(example_path("butt"))
    kept = kept_answer(
        "butt", specimen, Request(element_size=6.0, band=False), tmp_path_factory.mktemp("kept")
    )
    joints = [expected(f"butt {number}", specimen, kept) for number in range(3)]
    plan = make_plan(joints, read_rig(bench_day_path("bench_rig.toml")), Wishes())
    return sheet_html(plan, "metric").decode()


@pytest.mark.parametrize("width", [320, 390, 1200])
def test_the_sheet_fits_a_telephone_with_letters_to_read(width: int, sheet: str, tmp_path: Path) -> None:
    """Measured by the browser in a frame of a phone's width: 11 px is about the least that reads."""
    frame = tmp_path / "frame.html"
    frame.write_text(
        f'<body><iframe width="{width}" height="900" srcdoc="{html.escape(sheet)}"></iframe>'
        "<style>iframe { border: 0 }</style><script>onload = () => {"
        "const inside = document.querySelector('iframe').contentDocument;"
        "const widest = inside.documentElement.scrollWidth;"
        "const drawing = inside.querySelector('svg.rig');"
        "const wide = drawing.getBoundingClientRect().width;"
        "const letters = 12 * wide / drawing.viewBox.baseVal.width;"
        "document.body.textContent = `widest ${widest} drawing ${wide} letters ${letters} end`; }</script>",
        encoding="utf-8",
    )
    found, _ = browse(frame, tmp_path, "--dump-dom")
    read = re.search(r"widest (\S+) drawing (\S+) letters (\S+) end", found)
    assert read is not None
    widest, wide, letters = map(float, read.groups())
    assert widest == width
    assert wide < width
    assert letters >= (11.0 if width >= 390 else 9.0)


@pytest.mark.parametrize("paper", POINTS)
def test_the_sheet_prints_on_either_paper(paper: str, sheet: str, tmp_path: Path) -> None:
    """The sheet leaves the paper to the printer; here a line of style stands for what is in its tray."""
    assert "size:" not in sheet[sheet.index("@page") : sheet.index("}", sheet.index("@page"))]
    page, out = tmp_path / "sheet.html", tmp_path / "sheet.pdf"
    page.write_text(sheet.replace("@page {", f"@page {{ size: {paper};", 1), encoding="utf-8")
    browse(page, tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={out}")
    boxes = set(re.findall(rb"/MediaBox \[0 0 (\S+) (\S+)\]", out.read_bytes()))
    assert len(boxes) == 1
    ((wide, tall),) = boxes
    assert (float(wide), float(tall)) == pytest.approx(POINTS[paper], abs=0.1)
    assert len(re.findall(rb"/Type /Page\b(?!s)", out.read_bytes())) in range(4, 9)
