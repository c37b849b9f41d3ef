"""The predicted pieces on the bench sheet: small, kept beside the answer, the same in every run."""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from glueline.studies.bench_day.expected import expected, kept_answer
from glueline.studies.bench_day.plan.bench_sheet import sheet_html
from glueline.studies.bench_day.plan.plan import Wishes, make_plan
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.request import Request
from glueline.studies.show.small_pieces import small_pieces
from tests.studies.bench_day.plan.plan_examples import of, rig
from tests.studies.command_lines import Called, called, glueline

COARSE = Request(element_size=6.0, band=False)
LARGEST = 40_000  # bytes of one picture


def here(capsys: pytest.CaptureFixture[str]) -> Callable[..., Called]:
    return lambda *words: called(capsys, *words)


def pictures_in(page: str) -> list[bytes]:
    found = re.findall(r"<img alt='[^']+' src='data:image/png;base64,([^']+)'/>", page)
    return [base64.b64decode(each, validate=True) for each in found]


def test_a_plan_has_the_pieces_of_its_joints_the_same_in_every_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Predicted in a process of its own, again here elsewhere, and once taken from what is kept."""
    words = ["plan", example_path("butt"), "--rig", bench_day_path("bench_rig.toml"), "--no-band"]
    words += ["--element-size", "6 mm", "--out"]
    pages = []
    for folder, run in (("first", glueline), ("second", here(capsys)), ("first", here(capsys))):
        done = run(*words, tmp_path / folder)
        assert done.returncode == 0, done.stderr
        pages.append((tmp_path / folder / "bench_sheet.html").read_bytes())
    assert pages[0] == pages[1] == pages[2]
    (kept,) = (tmp_path / "first" / "answers").glob("*.json")
    (again,) = (tmp_path / "second" / "answers").glob("*.json")
    assert kept.read_bytes() == again.read_bytes()
    page = pages[0].decode()
    (png,) = pictures_in(page)
    assert len(png) <= LARGEST
    assert base64.b64decode(json.loads(kept.read_bytes())["pieces"]["png"]) == png
    record = page[page.index("Record</h2>") : page.index("Cut list</h2>")]
    assert record.index("<img") < record.index("<table"), "above the rows to fill in, on their page"
    assert "Butt corner: the butt face lets go" in record


def test_a_picture_is_kept_with_its_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    specimen = read_specimen(example_path("butt"))
    first = kept_answer("butt", specimen, COARSE, tmp_path)
    assert first.pieces is not None
    (kept,) = tmp_path.iterdir()
    whole = kept.read_bytes()
    found = json.loads(whole)
    found["pieces"]["words"] = "Butt corner: nothing at all"
    kept.write_text(json.dumps(found))
    assert kept_answer("butt", specimen, COARSE, tmp_path) == first, "edited by hand, predicted again"
    assert kept.read_bytes() == whole
    for step in ("predict.predictor.predict_request", "show.small_pieces.small_pieces"):
        monkeypatch.setattr(f"glueline.studies.{step}", lambda *_, **__: pytest.fail("done twice"))
    assert kept_answer("butt", specimen, COARSE, tmp_path) == first


def test_what_is_not_kept_or_not_followed_is_not_drawn(tmp_path: Path) -> None:
    specimen = read_specimen(example_path("butt"))
    assert kept_answer("butt", specimen, COARSE, None).pieces is None
    assert kept_answer("butt", specimen, Request("elastic"), tmp_path).pieces is None
    page = sheet_html(make_plan([of("butt", 460.0, 0.3)], rig(), Wishes()), "metric").decode()
    assert "<img" not in page
    assert "Lay the broken pieces" not in page


def test_a_joint_that_stays_whole_is_named(tmp_path: Path) -> None:
    """Only one of two has a picture; the words of a label never become tags."""
    drawn = expected(
        "<b>&butt",
        read_specimen(example_path("butt")),
        kept_answer("butt", read_specimen(example_path("butt")), COARSE, tmp_path),
    )
    page = sheet_html(make_plan([drawn, of("dry", 460.0, 0.3)], rig(), Wishes()), "metric").decode()
    assert "None is drawn of dry: by calculation it stays in one piece." in page
    assert "<b>&lt;b&gt;&amp;butt</b>" in page
    assert len(pictures_in(page)) == 1


@pytest.mark.parametrize(("kind", "torn"), [("butt", False), ("bridle", True)])
def test_the_small_picture_shows_what_parts(kind: str, torn: bool) -> None:
    """Opened: few colours, light, both boards, brown fibres only where wood or faces are torn."""
    found = small_pieces(follow_break(read_specimen(example_path(kind)), element_size=6.0))
    assert found is not None
    png, words = found
    assert words.startswith(kind.capitalize())
    assert len(png) <= LARGEST
    with Image.open(io.BytesIO(png)) as picture:
        assert picture.format == "PNG"
        assert picture.width == 720
        assert len(picture.getcolors() or []) <= 64
        dots = np.asarray(picture.convert("RGB")).astype(int).reshape(-1, 3)

    def share(colour: tuple[int, int, int]) -> float:
        return float((np.abs(dots - np.array(colour)).max(axis=1) < 30).mean())

    assert share((243, 227, 195)) > 0.05  # board A
    assert share((231, 208, 165)) > 0.05  # board B
    brown = (dots[:, 0] > 80) & (dots[:, 0] < 165) & (dots[:, 0] - dots[:, 2] > 60)
    assert (brown.mean() > 0.002) == torn
    assert 0.2 < share((255, 255, 255)) < 0.9
