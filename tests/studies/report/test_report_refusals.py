"""glueline report: directories and files that are refused, and damage that does no harm."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.studies.commands import main
from glueline.studies.files.failures import InputError
from glueline.studies.report import read_directory, report_page
from tests.studies.report.report_pages import Page, edited


def refused(capsys: pytest.CaptureFixture[str], *words: str | Path) -> str:
    """What report must refuse: status 2, one line on standard error; what it says."""
    capsys.readouterr()
    status = main(["report", *map(str, words)])
    out, err = capsys.readouterr()
    assert (status, out) == (2, "")
    assert "Traceback" not in err
    assert len(err.splitlines()) == 1
    return err


def test_directories_that_hold_no_results(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """None there, a file, an empty one, one of something else: what would be right is said."""
    page = tmp_path / "page.html"
    other = tmp_path / "other"
    other.mkdir()
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for name in ("missing", "file", "other", "a\x00b", "x" * 5000, "a\nb"):
        said = refused(capsys, tmp_path / name, "--out", page)
        assert "predict, rank, sweep, bench, plan, service, least or influence" in said
    (other / "photo.png").write_bytes(b"x")
    assert "prediction.json" in refused(capsys, other, "--out", page)
    assert not page.exists()


def spoilt_point(folder: Path, change: Callable[[Any], object]) -> None:
    """Change the first point of a sweep that has an answer."""
    points = [json.loads(line) for line in (folder / "points.jsonl").read_text(encoding="utf-8").splitlines()]
    change(next(point for point in points if point["answer"]))
    lines = [json.dumps(point) for point in points]
    (folder / "points.jsonl").write_text("\n".join([*lines, ""]), encoding="utf-8")


Spoil = Callable[[Path], object]
SPOILT: dict[str, tuple[str, Spoil, str]] = {
    "torn": ("predict", lambda at: (at / "prediction.json").write_text('{"joint": "fin'), "is no JSON"),
    "no text": ("predict", lambda at: (at / "prediction.json").write_bytes(b"\xff\xfe\x00"), "is no JSON"),
    "deep": (
        "predict",
        lambda at: (at / "prediction.json").write_text("[" * 100_000),
        "be an object, not a list",
    ),
    "list": (
        "predict",
        lambda at: (at / "prediction.json").write_text("[]"),
        "be an object, not a list",
    ),
    "key": (
        "predict",
        lambda at: edited(at / "prediction.json", lambda found: found.pop("break_load_N")),
        "prediction.json: $.break_load_N: is missing",
    ),
    "text": (
        "predict",
        lambda at: edited(at / "prediction.json", lambda found: found.update(glue_load_N="5")),
        "prediction.json: $.glue_load_N: must be a number or null, not a text",
    ),
    "not a number": (
        "predict",
        lambda at: edited(at / "prediction.json", lambda found: found.update(glue_load_N=float("nan"))),
        "is no JSON",
    ),
    "deep in a part": (
        "predict",
        lambda at: (at / "prediction.json").write_text('{"extra": ' + "[" * 100_000),
        "is no JSON",
    ),
    "mode": (
        "predict",
        lambda at: edited(at / "prediction.json", lambda found: found["modes"][0].update(load_N=True)),
        "prediction.json: $.modes[0].load_N: must be a number, not true or false",
    ),
    "too large": (
        "predict",
        lambda at: edited(at / "prediction.json", lambda found: found.update(wood_load_N=1e200)),
        "prediction.json: $.wood_load_N: must be a number <= 1e+100",
    ),
    "asked": (
        "sweep",
        lambda at: edited(at / "sweep.json", lambda found: found.update(points="3")),
        "sweep.json: $.points: must be a whole number, not a text",
    ),
    "band": (
        "rank",
        lambda at: edited(at / "ranking.json", lambda found: found["corners"][1].update(band_N=[1.0])),
        "ranking.json: $.corners[1].band_N: must be a list of length 2",
    ),
    "no corner": (
        "rank",
        lambda at: edited(at / "ranking.json", lambda found: found["corners"].clear()),
        "ranking.json: $.corners: must be a list of length >= 1",
    ),
    "no record": ("rank", lambda at: (at / "provenance.json").unlink(), "has not finished"),
    "units": (
        "rank",
        lambda at: edited(at / "provenance.json", lambda found: found.update(units="cubits")),
        "provenance.json: $.units: must not be 'cubits'",
    ),
    "value": (
        "sweep",
        lambda at: edited(
            at / "provenance.json", lambda found: found["materials"][0]["values"][3].pop("source")
        ),
        "provenance.json: $.materials[0].values[3].source: is missing",
    ),
    "no points": ("sweep", lambda at: (at / "points.jsonl").write_text(""), "not one answer"),
    "no such point": (
        "sweep",
        lambda at: spoilt_point(at, lambda found: found.update(point=99)),
        ": is no point of ",
    ),
    "point": (
        "sweep",
        lambda at: spoilt_point(at, lambda found: found["answer"].update(breaks_in="paper")),
        "$.answer.breaks_in: must not be 'paper'",
    ),
    "method": (
        "predict",
        lambda at: edited(at / "provenance.json", lambda found: found["request"].update(method="guess")),
        "provenance.json: $.request.method: must not be 'guess'",
    ),
    "picture": ("sweep", lambda at: (at / "sweep.png").write_bytes(b"<svg/>"), "no PNG"),
    "two": ("sweep", lambda at: (at / "ranking.json").write_text("{}"), "rank and sweep"),
}


@pytest.mark.parametrize("name", SPOILT)
def test_damaged_directories(
    name: str, copied: Callable[[str], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The file, what is wrong with it and what to do; an older page stays as it was."""
    command, spoil, words = SPOILT[name]
    folder = copied(command)
    spoil(folder)
    page = tmp_path / "page.html"
    page.write_text("older", encoding="utf-8")
    assert words in refused(capsys, folder, "--out", page)
    assert page.read_text(encoding="utf-8") == "older"
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted(["page.html", command])


MAIN = {"predict": "prediction.json", "rank": "ranking.json", "sweep": "sweep.json"}
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=9),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(st.text(max_size=5), inside, max_size=3),
    max_leaves=5,
)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_any_damage_is_refused_or_does_no_harm(folders: dict[str, Path], data: st.DataObject) -> None:
    """One value anywhere replaced by any other, or taken away: a page, or a refusal that names the file."""
    command = data.draw(st.sampled_from(list(MAIN)))
    name = data.draw(st.sampled_from([MAIN[command], "provenance.json"]))
    path = folders[command] / name
    kept = path.read_text(encoding="utf-8")
    found = inside = json.loads(kept)
    for _ in range(data.draw(st.integers(0, 5))):
        keys = list(inside) if isinstance(inside, dict) else list(range(len(inside)))
        deeper = [key for key in keys if isinstance(inside[key], dict | list) and inside[key]]
        if not deeper:
            break
        inside = inside[data.draw(st.sampled_from(deeper))]
    keys = list(inside) if isinstance(inside, dict) else list(range(len(inside)))
    key = data.draw(st.sampled_from(keys))
    if data.draw(st.booleans()):
        inside[key] = data.draw(ANYTHING)
    else:
        del inside[key]
    path.write_text(json.dumps(found), encoding="utf-8")
    said = str(path)
    try:
        Page(report_page(read_directory(folders[command]))).check_self_contained()
    except InputError as error:
        said = str(error)
    finally:
        path.write_text(kept, encoding="utf-8")
    assert str(path) in said


@pytest.mark.parametrize(
    ("out", "words"),
    [
        ("page.txt", "report.html"),
        ("", "report.html"),
        ("missing/page.html", "there is no directory"),
        ("folder.html", "is a directory"),
        ("a\x00b.html", "give another"),
        ("x" * 5000 + ".html", "give another"),
    ],
)
def test_names_of_the_page(
    out: str,
    words: str,
    folders: dict[str, Path],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A name that no page can have is refused before anything is written."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "folder.html").mkdir()
    said = refused(capsys, folders["rank"], "--out", out)
    assert said.startswith("command line: --out")
    assert words in said
    assert [each.name for each in tmp_path.iterdir()] == ["folder.html"]
