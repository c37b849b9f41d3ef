"""What glueline plan writes: the sheet, the table to fill in, and what it never replaces."""

from __future__ import annotations

import csv
import io
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from glueline.studies.bench_day.expected import KeptAnswer, expected, kept_answer
from glueline.studies.bench_day.log.log_table import KNOWN_COLUMNS
from glueline.studies.bench_day.plan.bench_sheet import sheet_html
from glueline.studies.bench_day.plan.plan import make_plan, usual_wishes
from glueline.studies.bench_day.plan.plan_report import (
    WrittenPlan,
    plan_text,
    refuse_loss,
    specimen_files,
    write_plan,
    written_plan,
)
from glueline.studies.bench_day.plan.plan_tables import log_csv
from glueline.studies.commands import main
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import InputError
from glueline.studies.files.json_text import json_text, read_json
from glueline.studies.files.output import write_atomically
from glueline.studies.predict.request import Request
from tests.studies.bench_day.plan.plan_examples import day, of, rig
from tests.studies.files.test_results_folder import needs_fork, stopped_at
from tests.studies.made_up_answers import made_up


class Text(HTMLParser):
    """The tables of a page as rows of cells, and every tag's balance."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta", "br"):
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in ("td", "th"):
            self.rows[-1][-1] += data


def test_the_sheet_prints_everything_once() -> None:
    plan = day()
    page = sheet_html(plan, "metric").decode()
    reader = Text()
    reader.feed(page)
    assert reader.open == []
    names = [row[1] for row in reader.rows if len(row) == 8 and row[0] != "#"]
    assert names == [name for _, name in plan.order]
    assert "<b>&mitre" not in page.replace("<b>Before", "")
    for caution in ("eye protection", "catch blocks", "stored energy", "local codes", "stand to the side"):
        assert caution in page.casefold()
    assert "http" not in page
    imperial = sheet_html(
        make_plan([of("butt", 460.0, 0.3)], rig(), usual_wishes("imperial")), "imperial"
    ).decode()
    assert " kg" not in imperial
    assert " mm" not in imperial
    assert re.search(r"\d+ (\d+/\d+ )?× 3 17/32 × 3/4 in", imperial)
    assert not re.search(r"\.\d+ in\b", imperial[imperial.index("Cut list") :])


def test_a_cut_list_in_inches_has_fractions_only() -> None:
    """Boards 90 x 19 mm: 3.5433 in is 3 17/32 (3.5313) to the nearest 1/32, 0.7480 in is 3/4."""
    found = [of("butt", 460.0, 0.3), of("mitre", 1290.0, 0.25, "mitre")]
    text = plan_text(make_plan(found, rig(50.0), usual_wishes("imperial")), "imperial")
    blanks = text[text.index("blank") : text.index("grain along")]
    assert "3 17/32 in" in blanks
    assert not re.search(r"\.\d+ in\b", blanks)


def test_the_log_has_the_columns_that_are_read_back() -> None:
    plan = day()
    files = specimen_files([each.label for each in plan.joints])
    rows = list(csv.DictReader(io.StringIO(log_csv(plan, files, "metric").decode())))
    assert tuple(rows[0]) == KNOWN_COLUMNS
    first = ("specimen", "label", "held", "broke", "unit", "failure", "notes", "cracked")
    assert (*first, "load_is", "steps", "photo") == KNOWN_COLUMNS
    assert {row["load_is"] for row in rows} == {"stacked weight"}
    assert len(rows) == len(plan.order)
    assert {row["unit"] for row in rows} == {"kg"}
    assert {row["held"] + row["broke"] for row in rows} == {""}
    assert {row["specimen"] for row in rows} == {"specimens/butt.toml", "specimens/b_mitre.toml"}


def test_labels_never_share_a_file() -> None:
    files = specimen_files(["a b", "a_b", "A-b", "=", "é"])
    assert len(set(files.values())) == 5


def test_an_answer_with_a_band_is_taken_at_its_word() -> None:
    specimen = read_specimen(str(example_path("butt")))
    answer = made_up(500.0, band=(400.0, 640.0), energy_at_break_J=1.5)
    found = expected("butt", specimen, KeptAnswer(answer=answer, material_cov=0.3))
    assert found.band == (400.0, 640.0)
    assert found.energy == 1.5
    assert "scatter" in found.band_from
    without = of("butt", 500.0, 0.3)
    assert "no band of its own" in without.band_from
    assert without.band[0] < 500 < without.band[1]


def test_answers_are_kept_and_belong_to_their_specimen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    specimen = read_specimen(str(example_path("butt")))
    first = kept_answer("butt", specimen, Request("elastic"), tmp_path)
    monkeypatch.setattr(
        "glueline.studies.predict.predictor.predict_request", lambda *_, **__: pytest.fail("predicted again")
    )
    assert kept_answer("butt", specimen, Request("elastic"), tmp_path) == first
    damp = read_specimen(str(example_path("butt")), [("boards.moisture", "15 %")])
    with pytest.raises(pytest.fail.Exception):
        kept_answer("butt", damp, Request("elastic"), tmp_path)


@pytest.mark.parametrize("damage", [b"", b"{", b"[]", b"\xff\xfe", b'{"answer": {}, "material_cov": 0.2}'])
def test_a_damaged_kept_answer_is_predicted_again(damage: bytes, tmp_path: Path) -> None:
    specimen = read_specimen(str(example_path("butt")))
    first = kept_answer("butt", specimen, Request("elastic"), tmp_path)
    (kept,) = tmp_path.iterdir()
    whole = kept.read_bytes()
    kept.write_bytes(damage)
    assert kept_answer("butt", specimen, Request("elastic"), tmp_path) == first
    assert kept.read_bytes() == whole


@pytest.mark.parametrize(
    ("key", "value"),
    [("break_load_N", 1.0), ("mode", "no mode of ours"), ("band_N", [1e-9, 1e15]), ("events", [])],
)
def test_a_kept_answer_edited_by_hand_is_predicted_again(key: str, value: object, tmp_path: Path) -> None:
    """Each alone could be an answer's; it is not what was predicted."""
    specimen = read_specimen(str(example_path("butt")))
    first = kept_answer("butt", specimen, Request("elastic"), tmp_path)
    (kept,) = tmp_path.iterdir()
    whole = kept.read_bytes()
    found = json.loads(whole)
    assert found["answer"][key] != value
    found["answer"][key] = value
    for edited in (found, {**json.loads(whole), "material_cov": 1e9}):
        kept.write_text(json.dumps(edited))
        assert kept_answer("butt", specimen, Request("elastic"), tmp_path) == first
        assert kept.read_bytes() == whole


@needs_fork
def test_what_a_kill_left_of_an_answer_goes_when_it_is_written(tmp_path: Path) -> None:
    """Found by tests.studies.commands.kills: a draft stayed for good."""
    specimen = read_specimen(str(example_path("butt")))
    kept_answer("butt", specimen, Request("elastic"), tmp_path)
    (kept,) = tmp_path.iterdir()
    (tmp_path / ".another.part").write_bytes(b"{")
    content = kept.read_bytes()
    kept.unlink()
    assert stopped_at("replace", 1, lambda: write_atomically(kept, content))
    assert len(list(tmp_path.iterdir())) == 2
    kept_answer("butt", specimen, Request("elastic"), tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {kept.name, ".another.part"}


@pytest.mark.parametrize("band", [(900.0, 2.0), (-5.0, 2.0), (0.0, 2.0)])
def test_a_kept_band_that_is_none_is_predicted_again(band: tuple[float, float], tmp_path: Path) -> None:
    specimen = read_specimen(str(example_path("butt")))
    first = kept_answer("butt", specimen, Request("elastic"), tmp_path)
    (kept,) = tmp_path.iterdir()
    found = json.loads(kept.read_bytes())
    found["answer"]["band_N"] = band
    kept.write_text(json.dumps(found))
    assert kept_answer("butt", specimen, Request("elastic"), tmp_path) == first


RIG = """
[rig]
kind = "press"
arrangement = "diagonal compression"
own_weight = "2 kg"
"""


def test_the_command_writes_a_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "rig.toml").write_text(RIG)
    words = ["plan", *(str(example_path(name)) for name in ("butt", "mitre"))]
    words += ["--rig", str(tmp_path / "rig.toml"), "--method", "elastic"]
    assert main([*words, "--json", "--out", str(tmp_path / "day"), "--seed", "7"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer == json.loads((tmp_path / "day" / "plan.json").read_text())
    assert [each["label"] for each in answer["specimens"]] == ["butt", "mitre"]
    for each in answer["specimens"]:
        assert {"label", "weights_to_bring_kg", "step_kg", "replicates"} <= each.keys()
        force = 9.80665 * (each["weights_to_bring_kg"] + 2)
        assert force >= 1.2 * each["band_N"][1]
    assert len(answer["order"]) == sum(each["replicates"] for each in answer["specimens"])
    assert {cut["grain"] for cut in answer["cut_list"]} == {"along the length"}
    log = list(csv.DictReader((tmp_path / "day" / "bench.csv").open()))
    for row in log:
        again = read_specimen(tmp_path / "day" / row["specimen"])
        assert again.kind == row["label"]
    assert main([*words, "--units", "imperial", "--out", str(tmp_path / "day")]) == 0
    text = capsys.readouterr().out
    assert " lb" in text
    assert "eye protection" in text.casefold()


HEAD = "specimen,label,held,broke,unit,failure,notes,cracked"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"held": "20", "broke": "22.5"}, "held, broke in 1 row"),
        ({"broke": "22.5"}, "broke"),
        ({"failure": "glue"}, "failure"),
        ({"notes": "butt 1, knot in board A"}, "notes"),
        ({"cracked": "17"}, "cracked"),
        ({"moisture": "9 %"}, "a further column"),
    ],
)
def test_a_filled_table_is_never_replaced(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    changes: dict[str, str],
    says: str,
) -> None:
    """Refused before anything is predicted, and the directory stays as it was, down to its times."""
    (tmp_path / "rig.toml").write_text(RIG)
    words = ["plan", str(example_path("butt")), "--rig", str(tmp_path / "rig.toml"), "--method", "elastic"]
    words += ["--out", str(tmp_path / "day")]
    assert main(words) == 0
    log = tmp_path / "day" / "bench.csv"
    rows = list(csv.DictReader(log.open()))
    rows[1].update(changes)
    with log.open("w", newline="", encoding="utf-8-sig") as file:
        writer = csv.DictWriter(file, list(rows[1]), restval="")
        writer.writeheader()
        writer.writerows(rows)
    before = {path: (path.stat().st_mtime_ns, path.is_file() and path.read_bytes()) for path in _all(log)}
    capsys.readouterr()
    monkeypatch.setattr(
        "glueline.studies.bench_day.expected.kept_answers", lambda *_: pytest.fail("predicted")
    )
    assert main(words) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    assert f"filled in ({says}" in printed.err
    assert "another --out" in printed.err
    after = {path: (path.stat().st_mtime_ns, path.is_file() and path.read_bytes()) for path in _all(log)}
    assert after == before


def _all(log: Path) -> list[Path]:
    return [log.parent, *sorted(log.parent.rglob("*"))]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        f"{HEAD}\n".encode(),
        f"{HEAD}\nspecimens/butt.toml,butt,,,kg,,butt 12,\n,,,,,,,\n".encode(),
        f"{HEAD}\nspecimens/x.toml,'=x,,,lb,,'=x 3,\r\n".encode("utf-8-sig"),
        f"{HEAD},\na.toml, nine  fingers , ,,kg,,,\n".encode(),
    ],
)
def test_an_unfilled_table_may_be_replaced(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bench.csv").write_bytes(content)
    refuse_loss(tmp_path)


@pytest.mark.parametrize(
    "content",
    [
        f"{HEAD}\na.toml,butt,20,22,kg,,butt 1,\n".replace(",", ";").encode(),
        f"{HEAD}\na.toml,butt,20,22,kg,,butt 1,\n".encode("utf-16"),
        f'{HEAD}\na.toml,butt,20,22,kg,,"butt 1,\n'.encode(),
        f"{HEAD}\na.toml,butt,,,kg,,butt 1,,22\n".encode(),
        b"held,broke\n20,22\n",
        b"20 held, 22 broke",
    ],
)
def test_a_table_that_may_hold_anything_is_kept(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bench.csv").write_bytes(content)
    with pytest.raises(InputError, match="another --out"):
        refuse_loss(tmp_path)


def test_a_table_filled_during_the_predictions_is_kept(tmp_path: Path) -> None:
    write_plan(day(), tmp_path, "metric")
    write_plan(day(), tmp_path, "imperial")
    log = tmp_path / "bench.csv"
    log.write_text(log.read_text().replace(",,,lb", ",20,22,lb", 1))
    before = {path: path.is_file() and path.read_bytes() for path in _all(log)}
    with pytest.raises(InputError, match=r"held, broke in 1 row"):
        write_plan(day(), tmp_path, "metric")
    assert {path: path.is_file() and path.read_bytes() for path in _all(log)} == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--confidence", "95"], "--confidence"),
        (["--confidence", "100 %"], "between 50 %"),
        (["--power", "high"], "--power"),
        (["--most", "2"], "from 3 to 1000"),
        (["--seed", "-1"], "--seed"),
        (["--margin", "-5 %"], "--margin"),
        (["--drop", "2 m"], "--drop"),
        (["--kerf", "3"], "--kerf"),
        (["--board-length", "10 mm"], "--board-length"),
        (["--board-length", "120 mm"], "too long for boards"),
        (["--plates", "1 kg, 2"], "--plates"),
        (["--plates", ""], "--plates"),
        (["--set", "load.arrangement=apex press"], "does not fit the rig"),
    ],
)
def test_wrong_options_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    (tmp_path / "rig.toml").write_text(RIG)
    base = ["plan", str(example_path("butt")), "--rig", str(tmp_path / "rig.toml"), "--method", "elastic"]
    assert main([*base, *words, "--out", str(tmp_path / "day")]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert says in printed.err
    assert not (tmp_path / "day" / "plan.json").exists()


def test_every_wrong_file_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "rig.toml").write_text(RIG.replace("press", "prss", 1))
    (tmp_path / "empty.toml").write_text("")
    words = ["plan", str(tmp_path / "empty.toml"), str(tmp_path / "none.toml")]
    assert main([*words, "--rig", str(tmp_path / "rig.toml")]) == 2
    refusal = capsys.readouterr().err
    assert "rig.toml" in refusal
    assert "empty.toml" in refusal
    assert "none.toml" in refusal


def test_the_plan_is_json_that_reads_back_the_same() -> None:
    plan = written_plan(day())
    assert read_json(json_text(plan), WrittenPlan) == plan
