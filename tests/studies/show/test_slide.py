"""The slide, the ranking's slide and the moving picture, opened and looked into."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from glueline import predict, read_specimen
from glueline.studies.commands import main
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.examples import example_path
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.prediction import Prediction
from glueline.studies.rank.ranking import ranked_corner
from glueline.studies.rank.ranking_maps import corner_field
from glueline.studies.rank.ranking_slide import MOST_BARS, draw_ranking_slide
from glueline.studies.show import path_frames
from glueline.studies.show.path_animation import path_gif
from glueline.studies.show.path_frames import states_to_show
from glueline.studies.show.slide import draw_slide


def answered(kind: str, band: bool = False) -> Prediction:
    return predict(read_specimen(example_path(kind)), band=band)


def letters(sheet: Any) -> list[Any]:
    """Every text of a sheet, laid out."""
    sheet.canvas.draw()
    found = [*sheet.texts, *(text for axes in sheet.axes for text in axes.texts)]
    return [text for text in found if text.get_text()]


def assert_apart(sheet: Any) -> None:
    """No text runs over another or off the sheet."""
    frames = [(text.get_text(), text.get_window_extent()) for text in letters(sheet)]
    for number, (words, box) in enumerate(frames):
        assert 0 <= box.x0 < box.x1 <= sheet.bbox.width, words
        assert 0 <= box.y0 < box.y1 <= sheet.bbox.height, words
        for other, beside in frames[number + 1 :]:
            apart = (
                box.x1 <= beside.x0
                or beside.x1 <= box.x0
                or box.y1 <= beside.y0 + 1
                or beside.y1 <= box.y0 + 1
            )
            assert apart, (words, other)


@pytest.mark.parametrize(("kind", "units"), [("butt", "metric"), ("loose_tenon", "imperial")])
def test_a_slide_says_load_and_where_to_stand_clear_and_the_cautions(kind: str, units: Any) -> None:
    sheet = draw_slide(answered(kind), units)
    said = " ".join(text.get_text() for text in letters(sheet)).replace("\n", " ")
    assert sheet.get_figwidth() / sheet.get_figheight() == pytest.approx(16 / 9)
    for words in ("predicted", "Stand clear from", "Watch", "force on the joint", "treated as broken"):
        assert words in said
    assert CAUTIONS.replace("\n", " ") in said
    assert ("lbf" if units == "imperial" else " N") in said
    assert "P" in said.split()
    assert_apart(sheet)


def test_a_slide_with_a_band_says_it() -> None:
    answer = answered("butt", band=True)
    words = [text.get_text() for text in letters(draw_slide(answer, "metric"))]
    assert any("nine of ten alike between" in each for each in words)
    assert not any("left out" in each for each in words)


def test_the_slide_of_a_ranking_has_a_bar_a_corner_and_counts_what_it_leaves_out() -> None:
    prediction = answered("butt")
    for many in (2, MOST_BARS + 3):
        names = [f"butt {number}" for number in range(many)]
        corners = [ranked_corner(name, "butt.toml", prediction.answer) for name in names]
        sheet = draw_ranking_slide(corners, [corner_field(prediction, name) for name in names], "metric")
        loads = next(axes for axes in sheet.axes if axes.get_label() == "loads")
        assert len(loads.patches) == min(many, MOST_BARS)
        said = " ".join(text.get_text() for text in letters(sheet))
        assert ("3 weaker ones are left out" in said.replace("\n", " ")) == (many > MOST_BARS)
        assert_apart(sheet)


def test_the_moving_picture_rises_to_the_break_and_darkens(monkeypatch: pytest.MonkeyPatch) -> None:
    """A picture for every state that is shown, more of the strong colour at the end, the same bytes again."""
    monkeypatch.setattr(path_frames, "RISING", 4)
    monkeypatch.setattr(path_frames, "FALLING", 2)
    found = follow_break(read_specimen(example_path("butt")))
    states = states_to_show(found)
    assert 3 <= len(states) <= 10
    load = found.path.load[states]
    broken = states.index(found.state)
    assert (np.diff(load[: broken + 1]) > 0).all()
    assert load[broken] == load.max()
    told: list[str] = []
    content = path_gif(found, "metric", told.append)
    moving = Image.open(io.BytesIO(content))
    assert moving.format == "GIF"
    assert getattr(moving, "n_frames", 1) == len(states) == len(told)
    strong = []
    for number in (0, len(states) - 1):
        moving.seek(number)
        pixels = np.asarray(moving.convert("RGB")).astype(int)[:, : int(0.8 * moving.width)]
        strong.append(int(((pixels[..., 0] > pixels[..., 1] + 60) & (pixels[..., 2] < 120)).sum()))
    assert strong[1] > strong[0] + 100
    assert path_gif(found, "metric") == content


def test_slides_are_written_when_asked_for_and_taken_away_when_not(tmp_path: Path) -> None:
    out = tmp_path / "out"
    file = str(example_path("butt"))
    quick = ["--out", str(out), "--method", "elastic"]
    assert main(["predict", file, *quick, "--slide", "--animate"]) == 0
    assert (out / "slide.png").exists()
    assert not (out / "path.gif").exists()  # nothing was followed
    assert main(["predict", file, *quick]) == 0
    assert not (out / "slide.png").exists()


def test_a_slide_without_a_place_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", str(example_path("butt")), "--animate"]) == 2
    assert "--animate: needs --out DIR" in capsys.readouterr().err
