"""A directory that is written to again holds what belongs to the new answer, and all that was never ours."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from studies import predict
from studies.examples import example_path
from studies.figures import PICTURES
from studies.prediction import Prediction
from studies.specimen_file import read_specimen
from studies.write_results import RESULT_FILES, write_results

OF_A_PATH = {"damage.png", "moment_along_path.png"}


@pytest.fixture(scope="module")
def elastic() -> Prediction:
    return predict(read_specimen(example_path("mitre")), method="elastic", element_size=6.0)


@pytest.fixture
def before(tmp_path: Path) -> Path:
    """A directory with every file of an earlier prediction, and with a maker's own."""
    for name in (*RESULT_FILES, "my photo.png", "ranking.json"):
        (tmp_path / name).write_text("earlier", encoding="utf-8")
    (tmp_path / "notes").mkdir()
    return tmp_path


@pytest.fixture
def no_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures by their names alone, those of an elastic answer."""

    def named(*_: object) -> Iterator[tuple[str, bytes]]:
        yield from ((name, b"new") for name in PICTURES if name not in OF_A_PATH)

    monkeypatch.setattr("studies.write_results.pictures", named)


@pytest.mark.usefixtures("no_drawing")
def test_only_our_own_files_of_an_earlier_answer_go(elastic: Prediction, before: Path) -> None:
    write_results(elastic, before, "metric")
    left = {path.name for path in before.iterdir()}
    assert left == {*RESULT_FILES, "my photo.png", "ranking.json", "notes"} - OF_A_PATH
    assert (before / "my photo.png").read_text(encoding="utf-8") == "earlier"
    assert (before / "prediction.json").read_text(encoding="utf-8") != "earlier"


@pytest.mark.usefixtures("no_drawing")
def test_nothing_goes_before_the_new_answer_is_whole(
    elastic: Prediction, before: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("studies.write_results.to_text", full)
    with pytest.raises(OSError, match="No space left"):
        write_results(elastic, before, "metric")
    assert set(RESULT_FILES) <= {path.name for path in before.iterdir()}
    assert (before / "prediction.json").read_text(encoding="utf-8") == "earlier"
