"""The directory of a sweep: killed at any moment, carried on, never mixed with another."""

from __future__ import annotations

import json
import multiprocessing
import random
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError, InputError
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.points import Point, cross
from glueline.studies.sweeps.rows import FinishedPoint, csv_bytes, finished, standing_columns, table
from glueline.studies.sweeps.store import open_store
from glueline.studies.sweeps.sweep import described, sweep
from glueline.studies.sweeps.vary import parse_varied
from glueline.studies.sweeps.worker import Computed, Lost
from tests.studies.made_up_answers import made_up
from tests.studies.makers_folder import FINGER, MakersFolder, check_words, one
from tests.studies.sweeps.fake_lanes import FakeLane, answer_of, opened, rows_in

FINGERS, QUALITIES = "joint.fingers=2:7,77", "glue.quality=60 %:100 %:10 %"


def by_formula(specimen: Specimen) -> Computed:
    """A load from the fingers and the quality; four fingers cannot be computed."""
    if specimen.joint.fingers == 4:
        return Computed(None, "following the path failed: it ends; try another size", "a long story")
    return answer_of(specimen.joint.fingers / 3 * specimen.workmanship.quality)


def points_of(makers_folder: MakersFolder, *texts: str) -> tuple[Point, ...]:
    makers_folder.write(FINGER)
    return cross(str(makers_folder.file), (), parse_varied(texts))


def run(
    makers_folder: MakersFolder,
    out: Path,
    texts: Sequence[str] = (FINGERS, QUALITIES),
    lanes: int = 2,
    pause: float = 0.0,
    log: Path | None = None,
) -> dict[int, FinishedPoint]:
    """A whole sweep with answers by formula; every finished point."""
    points = points_of(makers_folder, *texts)
    varied = parse_varied(texts)
    asked = described(points, varied, Request())
    with open_store(str(out), asked, [point.values for point in points]) as store:
        fakes = [FakeLane(by_formula, pause, log) for _ in range(lanes)]
        sweep(points, Request(), store, opened(fakes))
        return dict(store.finished)


@pytest.fixture
def whole(makers_folder: MakersFolder) -> bytes:
    """results.csv of the same sweep undisturbed."""
    out = makers_folder.folder / "undisturbed"
    run(makers_folder, out)
    return (out / "results.csv").read_bytes()


def finished_in(out: Path) -> list[int]:
    """Numbers of the points whose lines in the journal are whole, in order."""
    numbers = []
    if (out / "points.jsonl").exists():
        for line in (out / "points.jsonl").read_bytes().split(b"\n"):
            try:
                numbers.append(json.loads(line)["point"])
            except ValueError:
                continue
    return numbers


def test_points_that_lost_their_workers_stay_open(makers_folder: MakersFolder, whole: bytes) -> None:
    """They are not written down; run again where there is memory, the sweep equals one undisturbed."""
    out = makers_folder.folder / "out"
    points = points_of(makers_folder, FINGERS, QUALITIES)
    asked = described(points, parse_varied([FINGERS, QUALITIES]), Request())

    def short_of_memory(specimen: Specimen) -> Computed | Lost:
        return Lost("not enough memory") if specimen.joint.fingers in (3, 6) else by_formula(specimen)

    with open_store(str(out), asked, [point.values for point in points]) as store:
        with pytest.raises(ComputationError) as caught:
            sweep(points, Request(), store, opened([FakeLane(short_of_memory)]))
        assert len(store.finished) == 25
    for words in ("10 points of 35 are still open", "fingers = 3", "not enough memory", "--workers"):
        assert words in str(caught.value)
    assert len(rows_in((out / "results.csv").read_text())) == 25
    run(makers_folder, out)
    assert (out / "results.csv").read_bytes() == whole
    assert sorted(finished_in(out)) == list(range(35))


def test_rows_are_tidy_and_in_order(makers_folder: MakersFolder, whole: bytes) -> None:
    rows = rows_in(whole.decode())
    assert [(row["joint.fingers"], row["glue.quality"]) for row in rows] == [
        (fingers, quality)
        for fingers in ("2", "3", "4", "5", "6", "7", "77")
        for quality in ("60 %", "70 %", "80 %", "90 %", "100 %")
    ]
    for row in rows:
        if row["joint.fingers"] in ("4", "77"):
            assert row["status"] == "failed"
            assert "at most 45" in row["error"] or "following the path failed" in row["error"]
            assert row["break_load_N"] == row["breaks_in"] == row["moment_share.mitre"] == ""
            continue
        assert row["status"] == "ok"
        assert row["error"] == row["band_05_N"] == row["band_95_N"] == ""
        quality = float(row["glue.quality"].split()[0]) / 100
        assert float(row["break_load_N"]) == int(row["joint.fingers"]) / 3 * quality
        assert row["where"] == 'middle of nowhere, "quoted"'
        assert row["moment_share.mitre"] == "1.0"
        assert row["glue_area_mm2.side_to_side"] == "1000.0"
    assert not any("seconds" in column for column in rows[0])


def test_a_band_fills_two_columns(makers_folder: MakersFolder) -> None:
    points = points_of(makers_folder, "joint.fingers=3")
    asked = described(points, parse_varied(["joint.fingers=3"]), Request())
    with open_store(str(makers_folder.folder / "out"), asked, [point.values for point in points]) as store:
        fake = FakeLane(lambda _: answer_of(100.0, band=(1 / 3, 80.0)))
        sweep(points, Request(), store, opened([fake]))
    (row,) = rows_in((makers_folder.folder / "out" / "results.csv").read_text())
    assert (row["band_05_N"], row["band_95_N"]) == (repr(1 / 3), "80.0")


@pytest.mark.parametrize("seed", range(2))
def test_killed_at_random_and_carried_on_equals_undisturbed(
    makers_folder: MakersFolder, whole: bytes, seed: int
) -> None:
    """No finished point is computed again, none is lost or doubled, the table is the same to the byte."""
    out, log = makers_folder.folder / "out", makers_folder.folder / "log"
    context = multiprocessing.get_context("fork")
    moments = random.Random(seed)
    expected = rows_in(whole.decode())
    kills = 0
    while len(before := finished_in(out)) < 35:
        log.write_text("")
        child = context.Process(target=run, args=(makers_folder, out), kwargs={"pause": 0.004, "log": log})
        child.start()
        child.join(moments.uniform(0.002, 0.03 + 0.001 * kills))  # growing, for slow machines
        kills += child.is_alive()
        child.kill()
        child.join()
        after = finished_in(out)
        assert after[: len(before)] == before or after == list(range(35))  # in order where it has ended
        assert len(set(after)) == len(after)
        computed = {tuple(line.split()[1:]) for line in log.read_text().splitlines()}
        assert not computed & {number_key(number) for number in before}
        if (out / "results.csv").exists():
            for row in rows_in((out / "results.csv").read_text()):
                assert row in [{key: each[key] for key in row} for each in expected]
    assert kills >= 8
    run(makers_folder, out)
    assert (out / "results.csv").read_bytes() == whole
    undisturbed = makers_folder.folder / "undisturbed" / "points.jsonl"
    assert (out / "points.jsonl").read_bytes() == undisturbed.read_bytes()
    assert finished_in(out) == list(range(35))
    assert not list(out.glob(".*"))


def number_key(number: int) -> tuple[str, str]:
    """Fingers and quality of a point as the log of the fake lane writes them."""
    fingers = ("2", "3", "4", "5", "6", "7", "77")[number // 5]
    return fingers, f"{(60 + 10 * (number % 5)) / 100:g}"


def test_a_journal_cut_at_any_byte_is_carried_on(makers_folder: MakersFolder, whole: bytes) -> None:
    source = makers_folder.folder / "undisturbed"
    journal = (source / "points.jsonl").read_bytes()
    line_ends = [place + 1 for place, byte in enumerate(journal) if byte == 10]
    near_ends = {end + shift for end in line_ends[5:12] for shift in (-2, -1, 0, 1)}
    for cut in sorted({*range(0, len(journal), 997), *near_ends}):
        out = makers_folder.folder / f"cut{cut}"
        out.mkdir()
        (out / "sweep.json").write_bytes((source / "sweep.json").read_bytes())
        (out / "points.jsonl").write_bytes(journal[:cut])
        complete = finished_in(out)
        log = makers_folder.folder / f"log{cut}"
        run(makers_folder, out, log=log)
        assert (out / "results.csv").read_bytes() == whole
        assert sorted(finished_in(out)) == list(range(35))
        expected = {number_key(number) for number in range(30) if number not in complete}
        computed = [tuple(line.split()[1:]) for line in log.read_text().splitlines()] if log.exists() else []
        assert len(computed) == len(set(computed))
        assert set(computed) == expected


def test_damaged_lines_are_computed_again(makers_folder: MakersFolder, whole: bytes) -> None:
    out = makers_folder.folder / "out"
    run(makers_folder, out)
    lines = (out / "points.jsonl").read_bytes().split(b"\n")
    lines[3] = b"\x00" * 40
    lines[7] = b'{"point": 3}'
    lines[9] = b'{"point": 700, "values": {}, "error": "", "answer": null}'
    lines[11] = b"[]"
    lines.insert(13, lines[14])
    (out / "points.jsonl").write_bytes(b"\n".join(lines))
    run(makers_folder, out)
    assert (out / "results.csv").read_bytes() == whole


def test_a_finished_sweep_run_again_changes_no_byte_and_computes_nothing(
    makers_folder: MakersFolder, whole: bytes
) -> None:
    out, log = makers_folder.folder / "undisturbed", makers_folder.folder / "log"
    before = {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in out.iterdir()}
    time.sleep(0.02)
    run(makers_folder, out, log=log)
    assert {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in out.iterdir()} == before
    assert not log.exists()


def test_the_number_of_lanes_does_not_show(makers_folder: MakersFolder, whole: bytes) -> None:
    for lanes in (1, 3, 40):
        run(makers_folder, makers_folder.folder / f"lanes{lanes}", lanes=lanes, pause=0.001)
        out = makers_folder.folder / f"lanes{lanes}"
        assert (out / "results.csv").read_bytes() == whole
        assert finished_in(out) == list(range(35))


def refused(makers_folder: MakersFolder, out: Path, *texts: str) -> str:
    before = {path.name: path.read_bytes() for path in out.iterdir()} if out.is_dir() else None
    with pytest.raises(InputError) as caught:
        run(makers_folder, out, texts or (FINGERS, QUALITIES))
    check_words(caught.value)
    if before is not None:
        assert {path.name: path.read_bytes() for path in out.iterdir()} == before
    problem = one(caught.value.problems)
    assert problem.key == "--out"
    return problem.message


def test_a_directory_of_another_sweep_is_refused(makers_folder: MakersFolder, whole: bytes) -> None:
    out = makers_folder.folder / "undisturbed"
    assert "differs in vary" in refused(makers_folder, out, FINGERS, "glue.quality=60 %:90 %:10 %")
    assert "differs in specimen, vary" in refused(makers_folder, out, FINGERS)
    (out / "sweep.json").write_text("{")
    assert "cannot be read" in refused(makers_folder, out)
    (out / "sweep.json").unlink()
    assert "no sweep.json" in refused(makers_folder, out)


def test_results_of_something_else_are_not_written_over(makers_folder: MakersFolder) -> None:
    out = makers_folder.folder / "out"
    out.mkdir()
    (out / "results.csv").write_text("mine")
    assert "holds a results.csv" in refused(makers_folder, out)
    (out / "results.csv").unlink()
    (out / "letter.txt").write_text("mine")
    run(makers_folder, out)
    assert (out / "letter.txt").read_text() == "mine"


def test_a_manifest_stands_only_beside_what_is_whole(makers_folder: MakersFolder) -> None:
    """It goes with the first point, and comes back at the end of the sweep that was carried on."""
    points = points_of(makers_folder, FINGERS)
    asked = described(points, parse_varied([FINGERS]), Request())
    values = [point.values for point in points]
    out = makers_folder.folder / "out"
    manifest = out / "sweep.manifest.json"

    def stopped() -> None:
        with open_store(str(out), asked, values) as store:
            store.add(0, Computed(None, "a reason"))
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stopped()
    assert not manifest.exists()
    assert len(finished_in(out)) == 1
    run(makers_folder, out, [FINGERS])
    names = {path.name for path in out.iterdir()}
    assert names == {"sweep.json", "points.jsonl", "results.csv", manifest.name}
    assert set(json.loads(manifest.read_text())["files"]) == names - {manifest.name}


def test_a_table_that_was_changed_by_hand_is_kept(makers_folder: MakersFolder, whole: bytes) -> None:
    out = makers_folder.folder / "undisturbed"
    (out / "results.csv").write_bytes(whole + b"my remarks\r\n")
    assert "results.csv has been changed since glueline sweep wrote it" in refused(makers_folder, out)
    (out / "results.csv").unlink()
    run(makers_folder, out)
    assert (out / "results.csv").read_bytes() == whole


def test_a_file_in_the_place_of_the_directory_is_refused(makers_folder: MakersFolder) -> None:
    (makers_folder.folder / "taken").write_text("mine")
    assert "is a file" in refused(makers_folder, makers_folder.folder / "taken")


def test_two_sweeps_do_not_write_into_one_directory(makers_folder: MakersFolder) -> None:
    points = points_of(makers_folder, FINGERS)
    asked = described(points, parse_varied([FINGERS]), Request())
    values = [point.values for point in points]
    with open_store(str(makers_folder.folder / "out"), asked, values) as store:
        store.add(0, Computed(None, "a reason"))
        with pytest.raises(InputError, match="another glueline is writing into this directory"):
            run(makers_folder, makers_folder.folder / "out", [FINGERS])
    run(makers_folder, makers_folder.folder / "out", [FINGERS])


def test_a_sweep_that_never_began_leaves_nothing(makers_folder: MakersFolder) -> None:
    points = points_of(makers_folder, "joint.fingers=3,5")
    out = makers_folder.folder / "out"
    asked = described(points, parse_varied(["joint.fingers=3,5"]), Request())
    with pytest.raises(KeyboardInterrupt), open_store(str(out), asked, [point.values for point in points]):
        raise KeyboardInterrupt
    assert not out.exists()


def test_the_table_begins_as_agreed_and_holds_no_lists() -> None:
    """Varied keys, then plain values in the order of the answer; lists are left out, whatever the method."""
    made = made_up(holds_after_crack=True)
    point = finished(0, {"joint.fingers": "3"}, Computed(made))
    columns, rows = table(["joint.fingers"], [point])
    first = ["joint.fingers", "joint", "arrangement", "method", "break_load_N", "band_05_N", "band_95_N"]
    assert columns[:7] == first
    assert {"breaks_in", "where", "mode", "holds_after_crack"} <= set(standing_columns())
    assert not {"events", "modes", "notes"} & set(columns)
    (row,) = rows_in(csv_bytes(columns, rows).decode())
    assert row["holds_after_crack"] == "true"
