"""A directory that is written to again holds what belongs to the new answer, and all that was never ours."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from glueline import predict
from glueline.studies.commands import main
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.results_folder import write_results_folder
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.request import Request
from glueline.studies.show.pictures import ANIMATION, ENGINEERS, PICTURES, SLIDE
from glueline.studies.show.write_results import RESULT_FILES, write_results

OF_A_PATH = {"damage.png", "broken_halves.png", "moment_along_path.png"}

MINE = "# my own words\n"


@pytest.fixture(scope="module")
def elastic() -> Prediction:
    return predict(read_specimen(example_path("mitre")), method="elastic", element_size=6.0)


@pytest.fixture
def before(tmp_path: Path) -> Path:
    """A directory with every file of an earlier prediction, and with a maker's own."""
    earlier = dict.fromkeys(RESULT_FILES, b"earlier")
    write_results_folder(tmp_path, "predict", earlier, made_from=example_path("mitre"))
    for name in ("my photo.png", "ranking.json"):
        (tmp_path / name).write_text("earlier", encoding="utf-8")
    (tmp_path / "notes").mkdir()
    return tmp_path


@pytest.fixture
def no_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures by their names alone, those of an elastic answer."""

    def named(*_: object) -> Iterator[tuple[str, bytes]]:
        yield from ((name, b"new") for name in PICTURES if name not in OF_A_PATH)

    monkeypatch.setattr("glueline.studies.show.write_results.pictures", named)


@pytest.mark.usefixtures("no_drawing")
def test_only_our_own_files_of_an_earlier_answer_go(elastic: Prediction, before: Path) -> None:
    write_results(elastic, before, "metric", Request())
    left = {path.name for path in before.iterdir()}
    others = {"my photo.png", "ranking.json", "notes", "predict.manifest.json"}
    assert left == {*RESULT_FILES, *others} - OF_A_PATH - {SLIDE, ANIMATION}
    assert (before / "my photo.png").read_text(encoding="utf-8") == "earlier"
    assert (before / "prediction.json").read_text(encoding="utf-8") != "earlier"


def test_fewer_pictures_take_away_those_for_engineers(tmp_path: Path) -> None:
    """All, then those for a room, by the command itself: the others are gone, nothing of a maker's is."""
    words = ["predict", str(example_path("butt")), "--method", "elastic", "--element-size", "6 mm"]
    words += ["--out", str(tmp_path)]
    for_engineers = set(ENGINEERS) - OF_A_PATH
    assert main([*words, "--all-pictures"]) == 0
    assert {path.name for path in tmp_path.glob("*.png")} == set(PICTURES) - OF_A_PATH
    (tmp_path / "my photo.png").write_bytes(b"mine")
    assert main(words) == 0
    left = {path.name for path in tmp_path.glob("*.png")}
    assert left == set(PICTURES) - OF_A_PATH - for_engineers | {"my photo.png"}
    assert main(["report", str(tmp_path), "--out", str(tmp_path.parent / "page.html")]) == 0
    page = (tmp_path.parent / "page.html").read_text(encoding="utf-8")
    assert "Not in the directory" not in page
    assert "Pale is healthy, strong is near breaking." in page
    assert page.count("<img") == len(left) - 1


@pytest.mark.usefixtures("no_drawing")
def test_nothing_goes_before_the_new_answer_is_whole(
    elastic: Prediction, before: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("glueline.studies.show.write_results.json_text", full)
    with pytest.raises(OSError, match="No space left"):
        write_results(elastic, before, "metric", Request())
    assert set(RESULT_FILES) <= {path.name for path in before.iterdir()}
    assert (before / "prediction.json").read_text(encoding="utf-8") == "earlier"


@pytest.mark.usefixtures("no_predicting")
@pytest.mark.parametrize(
    ("name", "command", "further"),
    [
        ("specimen.toml", "predict", []),
        ("ranking.json", "rank", []),
        ("influence.json", "influence", []),
        ("sweep.json", "sweep", ["--vary", "joint.fingers=5,7"]),
        ("results.csv", "sweep", ["--vary", "joint.fingers=5,7"]),
    ],
)
def test_no_answer_takes_the_place_of_the_file_it_answers(
    name: str, command: str, further: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / name
    text = MINE + example_path("finger").read_text(encoding="utf-8")
    file.write_text(text, encoding="utf-8")
    assert main([command, str(file), *further, "--out", str(tmp_path)]) == 2
    (said,) = capsys.readouterr().err.splitlines()
    assert name in said
    assert "--out" in said
    assert "give another directory" in said
    assert file.read_text(encoding="utf-8") == text
    assert list(tmp_path.iterdir()) == [file]


@pytest.mark.usefixtures("no_predicting")
def test_nor_of_a_glue_file_named_in_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    out.mkdir()
    glue = out / "specimen.toml"
    glue.write_text(f'{MINE}like = "pva"\n', encoding="utf-8")
    words = ["predict", str(example_path("butt")), "--set", f"glue.kind={glue}", "--out", str(out)]
    assert main(words) == 2
    assert "specimen.toml over the file that is read" in capsys.readouterr().err
    assert glue.read_text(encoding="utf-8").startswith(MINE)
