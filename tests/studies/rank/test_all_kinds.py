"""Every kind on one corner's boards: what is taken, what does not fit, effort, orders that counts turn."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from glueline import predict, read_specimen
from glueline.geometries import JOINTS
from glueline.studies.commands import main
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.examples import example_path
from glueline.studies.files.json_text import read_json
from glueline.studies.rank.count_orders import turned_orders
from glueline.studies.rank.effort import hardware
from glueline.studies.rank.every_kind import every_kind, with_count
from glueline.studies.rank.kinds_ranking import KindsFile
from glueline.studies.rank.ranking import ranked_corner
from glueline.studies.rank.ranking_file import RankingFile
from tests.studies.made_up_answers import made_up

BOX_ONLY = ["rebate", "dovetail"]
FRAME_ONLY = ["half-lap", "bridle", "mortise and tenon"]


@pytest.fixture(scope="module")
def box(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], Path]:
    """All kinds on the boards of the packaged dowel corner, elastic; the object printed and the directory."""
    out = tmp_path_factory.mktemp("kinds")
    words = ["rank", "--all-kinds", str(example_path("dowel")), "--method", "elastic", "--out", str(out)]
    assert main(words) == 0
    return json.loads((out / "ranking.json").read_text()), out


def test_kinds_of_the_lay_are_compared_and_the_others_listed(box: tuple[dict[str, Any], Path]) -> None:
    found, out = box
    compared = [kind for kind in JOINTS if "box" in JOINTS[kind].lays]
    assert [each["kind"] for each in found["kinds"]] == compared
    assert [each["label"] for each in found["corners"]] == compared
    others = {each["kind"]: each["why"] for each in found["not_compared"]}
    assert set(FRAME_ONLY) <= set(others)
    assert all(others[kind].startswith("made in a frame only") for kind in FRAME_ONLY)
    loads = {each["label"]: each["break_load_N"] for each in found["corners"]}
    assert [loads[kind] for kind in found["order"]] == sorted(loads.values(), reverse=True)
    record = json.loads((out / "provenance.json").read_text())
    assert [each["label"] for each in record["corners"]] == compared
    text = (out / "ranking.json").read_text()
    assert read_json(text, RankingFile).order == read_json(text, KindsFile).order  # a report reads it


def test_the_files_own_kind_is_as_it_is(box: tuple[dict[str, Any], Path]) -> None:
    found, _ = box
    own = read_specimen(example_path("dowel"))
    row = next(each for each in found["kinds"] if each["as_in_file"])
    assert row["kind"] == "dowel"
    assert set(row["filled_in"]) == {f"joint.{each.key}" for each in own.left_out}
    assert row["effort"]["hardware"] == {"dowels": 3}
    assert row["effort"]["cuts"] == {"board ends": 2, "holes": 3}  # through
    answer = next(each for each in found["corners"] if each["label"] == "dowel")
    assert answer["break_load_N"] == pytest.approx(predict(own, method="elastic").break_load, rel=1e-12)


def test_every_other_kind_is_that_of_its_name_alone(
    box: tuple[dict[str, Any], Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """A file of that kind with what the row says predicts the same; effort is that of its layout."""
    found, _ = box
    answers = {each["label"]: each for each in found["corners"]}
    for row in found["kinds"]:
        if row["as_in_file"]:
            continue
        changes = [("joint.kind", row["kind"]), *((key, str(of)) for key, of in row["filled_in"].items())]
        words = [word for key, value in changes for word in ("--set", f"{key}={value}")]
        assert (
            main(["predict", str(example_path("butt")), *words, "--method", "elastic", "--json", "--no-band"])
            == 0
        ), row
        alone = json.loads(capsys.readouterr().out)
        answer = answers[row["kind"]]
        assert answer["break_load_N"] == pytest.approx(alone["break_load_N"], rel=1e-6)
        area = sum(answer["glue_area_mm2"].values())
        assert row["effort"]["glue_area_mm2"] == pytest.approx(area)
        assert row["load_per_glue_area_N_per_mm2"] == pytest.approx(answer["break_load_N"] / area)
        cuts = sum(row["effort"]["cuts"].values())
        assert row["load_per_cut_N"] == pytest.approx(answer["break_load_N"] / cuts)


def test_other_counts_are_those_of_files_with_them(box: tuple[dict[str, Any], Path]) -> None:
    """One more and one less of everything counted, the load as predicted alone, and the orders it turns."""
    found, _ = box
    counts = {(each["kind"], each["count"]): each for each in found["other_counts"]}
    assert {("finger", 4), ("finger", 6), ("splined mitre", 2), ("dovetail", 4), ("dowel", 2)} <= set(counts)
    own = read_specimen(example_path("dowel"), [("joint.dowels", "2")])
    alone = predict(own, method="elastic").break_load
    assert counts["dowel", 2]["break_load_N"] == pytest.approx(alone, rel=1e-12)
    loads = {each["label"]: each["break_load_N"] for each in found["corners"]}
    for each in found["other_counts"]:
        for other in each["turns"]:
            was, now = loads[each["kind"]] - loads[other], each["break_load_N"] - loads[other]
            assert was * now < 0
    corners = [
        ranked_corner(label, "", made_up(load)) for label, load in (("a", 300), ("b", 200), ("c", 100))
    ]
    assert turned_orders(corners[1], 350.0, corners) == ("a",)
    assert turned_orders(corners[1], 90.0, corners) == ("c",)
    assert turned_orders(corners[1], 300.0, corners) == ()
    assert turned_orders(corners[1], 250.0, corners) == ()


def test_what_a_surface_or_a_key_of_the_own_joint_has_goes_no_further(tmp_path: Path) -> None:
    """A thick tenon of the file is not another kind's; nor is workmanship on a surface that others lack."""
    text = example_path("bridle").read_text(encoding="utf-8")
    file = tmp_path / "bridle.toml"
    file.write_text(text + '\n[glue.surfaces."tenon cheeks"]\ncoverage = "80 %"\n', encoding="utf-8")
    own = read_specimen(file, [("joint.tenon_thickness", "9 mm"), ("glue.quality", "90 %")])
    entries, others = every_kind(own, "pva")
    found = {entry.label: entry.specimen for entry in entries}
    assert sorted(each.kind for each in others if "box only" in each.why)[:2] == sorted(BOX_ONLY)
    assert found["bridle"] is own
    tenon = found["mortise and tenon"]
    assert tenon.joint.tenon_thickness is None
    assert tenon.as_read["glue"]["quality"] == "90 %"
    assert "surfaces" not in found["half-lap"].as_read["glue"]
    assert all(each.woods["board A"] == own.woods["board A"] for each in found.values())
    assert with_count(found["dowel"], "dowels", 3).joint.dowels == 3


def test_kinds_that_do_not_fit_say_why() -> None:
    own = read_specimen(example_path("butt"), [("boards.thickness_b", "12 mm")])
    entries, others = every_kind(own, "pva")
    why = {each.kind: each.why for each in others}
    assert "mitre" not in {entry.label for entry in entries}
    assert why["mitre"].startswith("boards.thickness_b: has no place in a mitre corner")
    assert {"finger", "butt", "dovetail"} <= {entry.label for entry in entries}


def test_hardware_counts_what_is_let_in() -> None:
    entries, _ = every_kind(read_specimen(example_path("bridle")), "pva")
    found = {entry.label: hardware(entry.specimen.layout) for entry in entries}
    assert found["dowel"] == {"dowels": 2}  # beside each other, each a rod of its own
    assert found["splined mitre"] == {"splines": 1}
    assert found["loose tenon"] == {"tenons": 1}
    assert found["bridle"] == found["butt"] == {}


def test_the_text_has_all_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["rank", "--all-kinds", str(example_path("finger")), "--method", "elastic"]
    assert main([*words, "--units", "imperial"]) == 0
    said = capsys.readouterr()
    assert said.err == "" or "kinds" in said.err
    for part in (
        "as in the file; cuts: board ends 2, sides of notches 16, floors of notches 9",
        "number of tails 3",
        "not compared: half-lap",
        "By break load for each area of glue: ",
        "By break load for each cut: ",
        "number of fingers 8 for 9: ",
        "which has no source",
        CAUTIONS,
    ):
        assert part in said.out
    assert "safe" not in said.out.lower()


def test_one_file_only(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(example_path(name)) for name in ("butt", "mitre")]
    assert main(["rank", "--all-kinds", *files]) == 2
    assert "takes exactly one FILE" in capsys.readouterr().err


@pytest.mark.slow
def test_followed_past_their_peaks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Frames with bands left out: one load a kind, as predicted alone, and every kind in both pictures."""
    words = [
        "rank",
        "--all-kinds",
        str(example_path("half_lap")),
        "--no-band",
        "--json",
        "--element-size",
        "10 mm",
    ]
    assert main([*words, "--out", str(tmp_path)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {"half-lap", "bridle", "mortise and tenon", "butt"} <= set(found["order"])
    # Two thin screws in a frame's face outlast the glue but add nothing to it; every other kind adds.
    loads = {each["label"]: each["break_load_N"] for each in found["corners"]}
    assert loads["pocket screw"] == pytest.approx(loads["butt"], rel=0.01)
    assert set(found["order"][-2:]) == {"butt", "pocket screw"}
    assert set(BOX_ONLY) <= {each["kind"] for each in found["not_compared"]}
    own = next(each for each in found["corners"] if each["label"] == "half-lap")
    alone = predict(read_specimen(example_path("half_lap")), element_size=10.0, band=False)
    assert own["break_load_N"] == pytest.approx(alone.break_load, rel=1e-9)
    fingers = {each["count"]: each for each in found["other_counts"] if each["kind"] == "finger"}
    # Two fingers in a frame are the half-lap.
    assert fingers[2]["break_load_N"] == pytest.approx(own["break_load_N"], rel=1e-3)
    assert fingers[4]["break_load_N"] > fingers[2]["break_load_N"]
    assert (tmp_path / "ranking.png").stat().st_size > 10_000
    assert main(["report", str(tmp_path), "--out", str(tmp_path / "page.html")]) == 0
