"""glueline rank: its directory, its object, its table, what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from glueline.studies.commands import main
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.examples import EXAMPLES, example_path


def test_rank_writes_its_directory_and_one_object(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(example_path(name)) for name in ("butt", "splined_mitre")]
    out = tmp_path / "ranking"
    assert main(["rank", *files, "--method", "elastic", "--json", "--out", str(out)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["order"] == ["splined mitre", "butt"]
    assert json.loads((out / "ranking.json").read_text()) == found
    assert {path.name for path in out.iterdir()} == {
        "ranking.json",
        "ranking.png",
        "ranking_stress.png",
        "provenance.json",
        "rank.manifest.json",
    }
    record = json.loads((out / "provenance.json").read_text())
    assert record["request"]["method"] == "elastic"
    assert [each["label"] for each in record["corners"]] == ["butt", "splined mitre"]
    maple = next(each for each in record["materials"] if each["name"].startswith("Sugar"))
    assert maple["used_for"][0] == "butt: board A"


def test_rank_equals_single_predictions(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(example_path(name)) for name in EXAMPLES[:2]]
    change = ["--set", "boards.wood=red oak", "--method", "elastic", "--json"]
    assert main(["rank", *files, *change]) == 0
    ranked = json.loads(capsys.readouterr().out)["corners"]
    for file, both in zip(files, ranked, strict=True):
        assert main(["predict", file, *change]) == 0
        alone = json.loads(capsys.readouterr().out)
        assert both.pop("file") == file
        both.pop("label")
        assert both.pop("glue") == "pva"
        assert both == alone


def test_rank_prints_a_table_with_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(example_path("mitre"))
    assert main(["rank", file, file, "--method", "elastic", "--units", "imperial"]) == 0
    text = capsys.readouterr().out
    assert "mitre (2)" in text
    assert "lbf" in text
    assert CAUTIONS in text


def test_every_wrong_file_is_named_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(tmp_path / "nowhere.toml"), str(example_path("butt")), str(example_path("finger"))]
    words = ["rank", *files, "--set", "joint.fingers=5", "--out", str(tmp_path / "out")]
    assert main(words) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "nowhere.toml: no such file" in said.err
    assert f"for {files[1]}: --set joint.fingers" in said.err
    assert files[2] not in said.err
    assert not (tmp_path / "out").exists()


def test_rank_needs_a_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rank"]) == 2
    assert "FILE" in capsys.readouterr().err
