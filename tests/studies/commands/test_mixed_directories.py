"""What commands leave when they are stopped while they write, and what they refuse to write over."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from glueline import predict
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.files.failures import InputError
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.request import Request
from glueline.studies.rank.entries import entries_of, rank_entry
from glueline.studies.rank.write_ranking import Ranking, write_ranking
from glueline.studies.report import read_directory
from glueline.studies.report.directory import Results
from glueline.studies.show import write_results as prediction_writer
from glueline.studies.show.pictures import pictures
from glueline.studies.show.write_results import write_results
from tests.studies.command_lines import ENVIRONMENT, PROGRAM, called
from tests.studies.results_folders import files_in, needs_fork, stopped_at

ELASTIC = Request(method="elastic")


def read_or_refused(folder: Path) -> tuple[Results | None, str]:
    """What report reads in a folder, or what it says in refusing it."""
    try:
        return read_directory(folder), ""
    except InputError as error:
        return None, str(error)


def check_every_stop(
    tmp_path: Path, first: Callable[[Path], object], second: Callable[[Path], object]
) -> None:
    """Stop ``second`` at every file over what ``first`` wrote: a page of one of them, or a refusal."""
    whole: dict[str, Results] = {}
    for name, write in (("first", first), ("second", second)):
        (tmp_path / name).mkdir()
        write(tmp_path / name)
        whole[name] = read_directory(tmp_path / name)
    for number in range(1, 60):
        folder = tmp_path / f"stopped{number}"
        shutil.copytree(tmp_path / "first", folder)

        def over(at: Path = folder) -> None:
            second(at)

        came_so_far = stopped_at("replace", number, over)
        found, said = read_or_refused(folder)
        assert found in whole.values() if found else "manifest.json" in said
        assert found == whole["second"] or came_so_far
        second(folder)
        left, meant = files_in(folder), files_in(tmp_path / "second")
        assert left == meant
        if not came_so_far:
            assert number > 3
            return
    pytest.fail("never came to its end")


@pytest.fixture(scope="module")
def two_loads() -> tuple[Prediction, Prediction]:
    """Answers of one file whose pictures differ."""
    changes = [("load.arrangement", name) for name in ("diagonal compression", "diagonal tension")]
    specimens = [read_specimen(example_path("mitre"), [change]) for change in changes]
    first, second = (predict(each, method="elastic", element_size=6.0) for each in specimens)
    return first, second


@needs_fork
def test_a_prediction_stopped_at_any_file_is_never_mixed(
    two_loads: tuple[Prediction, Prediction], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = {id(each): list(pictures(each)) for each in two_loads}

    def kept(prediction: Prediction, *_: object) -> Iterator[tuple[str, bytes]]:
        yield from drawn[id(prediction)]

    monkeypatch.setattr(prediction_writer, "pictures", kept)
    first, second = two_loads
    check_every_stop(
        tmp_path,
        lambda at: write_results(first, at, "metric", ELASTIC),
        lambda at: write_results(second, at, "metric", ELASTIC),
    )


@needs_fork
def test_a_ranking_stopped_at_any_file_is_never_mixed(tmp_path: Path) -> None:
    files = [str(example_path(name)) for name in ("butt", "mitre")]
    specimens = [read_specimen(file) for file in files]
    rankings = Ranking(ELASTIC), Ranking(ELASTIC)
    for entry in entries_of(files, specimens):
        rank_entry(entry, rankings[0], True)
    for entry in entries_of(files[:1], specimens[:1]):
        rank_entry(entry, rankings[1], True)
    check_every_stop(
        tmp_path,
        lambda at: write_ranking(rankings[0], at, "metric"),
        lambda at: write_ranking(rankings[1], at, "metric"),
    )


QUICK = ("--method", "elastic", "--element-size", "6 mm")


def run(capsys: pytest.CaptureFixture[str], *words: str | Path) -> tuple[int, str]:
    """Status and what was said on standard error."""
    done = called(capsys, *words)
    return done.returncode, done.stderr


def test_predictions_of_another_file_need_replace(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Changes by --set do not matter, nor by which way a file is reached; its path does."""
    one, other, link, out = (tmp_path / name for name in ("one.toml", "other.toml", "link.toml", "out"))
    shutil.copy(example_path("butt"), one)
    shutil.copy(example_path("butt"), other)
    link.symlink_to(one)
    assert run(capsys, "predict", one, *QUICK, "--out", out) == (0, "")
    assert run(capsys, "predict", link, *QUICK, "--set", "boards.wood=red oak", "--out", out) == (0, "")
    before = files_in(out)
    status, said = run(capsys, "predict", other, *QUICK, "--out", out)
    assert status == 2
    assert said.count("\n") == 1
    for words in ("made from another file", "one.toml", "give another directory", "--replace"):
        assert words in said
    assert files_in(out) == before
    assert run(capsys, "predict", other, *QUICK, "--replace", "--out", out) == (0, "")
    assert files_in(out) != before
    assert run(capsys, "report", out, "--out", tmp_path / "page.html") == (0, "")


@pytest.mark.parametrize(
    ("command", "file", "source"),
    [
        ("predict", "parts.png", "face.png"),
        ("predict", "fields.vtu", "tractions.csv"),
        ("rank", "ranking.png", "ranking_stress.png"),
        ("sweep", "results.csv", "sweep.json"),
    ],
)
def test_a_folder_whose_files_disagree_is_refused(
    command: str,
    file: str,
    source: str,
    copied: Callable[[str], Path],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Another file, a lost one, a lost manifest: both are named. What was never ours does not matter."""
    folder, page, manifest = copied(command), tmp_path / "page.html", f"{command}.manifest.json"
    (folder / "holiday.png").write_bytes(b"mine")
    assert run(capsys, "report", folder, "--out", page) == (0, "")
    page.unlink()

    def is_refused(*named: str) -> bool:
        status, said = run(capsys, "report", folder, "--out", page)
        return status == 2 and said.count("\n") == 1 and all(name in said for name in named)

    shutil.copy(folder / source, folder / file)
    assert is_refused(file, manifest, "into a new directory")
    (folder / file).unlink()
    assert is_refused(file)
    (folder / manifest).unlink()
    assert is_refused(manifest)
    assert not page.exists()


VARY = ["--vary", "joint.fingers=5,7"]
IN_THE_WAY = {
    "predict": (["specimen.toml", "parts.png", "fields.vtu", "prediction.json"], "finger", []),
    "rank": (["ranking.png", "provenance.json", "ranking.json"], "finger", []),
    "sweep": (["results.csv", "sweep.png", "provenance.json", "points.jsonl"], "finger", VARY),
    "influence": (["influence.png", "influence.json"], "finger", []),
    "service": (["service.json"], "finger", ["--use", "drawer"]),
    "plan": (["plan.json", "bench_sheet.html", "specimens/corner.toml", "specimens"], "butt", None),
    "bench": (["bench.json", "parity.png", "breaks.csv"], "butt", None),
    "demo": (["ranking.png", "butt/specimen.toml"], "butt", []),
}


@pytest.mark.usefixtures("no_predicting")
@pytest.mark.parametrize(
    ("command", "name"), [(command, name) for command, (names, *_) in IN_THE_WAY.items() for name in names]
)
def test_no_command_writes_over_a_file_of_others(
    command: str, name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before anything is computed: status 2, the file, and what would be right."""
    _, example, further = IN_THE_WAY[command]
    corner = tmp_path / "corner.toml"
    shutil.copy(example_path(example), corner)
    rig = ["--rig", str(bench_day_path("bench_rig.toml"))]
    words = [command, str(corner), *(further or [])]
    if command == "plan":
        words = ["plan", str(corner), *rig]
    elif command == "bench":
        words = ["bench", str(bench_day_path("bench_log.csv")), *rig]
    elif command == "demo":
        words = ["demo"]
    out = tmp_path / "out"
    (out / name).parent.mkdir(parents=True, exist_ok=True)
    (out / name).write_bytes(b"mine, long before")
    status, said = run(capsys, *words, "--out", out)
    assert status == 2, said
    assert said.count("\n") == 1
    assert Path(name).name in said
    assert "give" in said
    assert files_in(out) == {name: b"mine, long before"}


def test_the_makers_own_specimen_file_stays(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """`glueline predict corner.toml --out .` where a specimen.toml of the maker's own lies."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(example_path("butt"), "corner.toml")
    Path("specimen.toml").write_text("# mine\n", encoding="utf-8")
    status, said = run(capsys, "predict", "corner.toml", *QUICK, "--out", ".")
    assert status == 2
    assert "specimen.toml" in said
    assert sorted(files_in(tmp_path)) == ["corner.toml", "specimen.toml"]
    assert Path("specimen.toml").read_text(encoding="utf-8") == "# mine\n"


def test_a_sweep_takes_no_draft_of_others_away(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever it is called."""
    others = [tmp_path / "o" / name for name in (".download.part", ".results.csv.k3v_9x1a.part")]
    others[0].parent.mkdir()
    for path in others:
        path.write_bytes(b"mine")
    words = ("sweep", example_path("finger"), *VARY, *QUICK, "--workers", "1", "--out", tmp_path / "o")
    for _ in range(2):
        assert run(capsys, *words) == (0, "")
        assert [path.read_bytes() for path in others] == [b"mine"] * 2


def test_a_page_of_others_is_not_written_over(
    folders: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An earlier page of report is."""
    page = tmp_path / "page.html"
    for _ in range(2):
        assert run(capsys, "report", folders["predict"], "--out", page) == (0, "")
    page.write_text("<!doctype html><title>My workshop</title>", encoding="utf-8")
    status, said = run(capsys, "report", folders["predict"], "--out", page)
    assert status == 2
    assert "page.html" in said
    assert "give another file" in said
    assert "My workshop" in page.read_text(encoding="utf-8")


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_a_disk_that_takes_no_more(tmp_path: Path) -> None:
    """A limit on the size of files, as the system sets it, stops a real process: the file is named."""
    import resource

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))

    command = [*PROGRAM, "predict", str(example_path("butt"))]
    for words, status in (((), 0), (("--set", "boards.wood=red oak"), 1)):
        before = files_in(tmp_path / "out") if status else {}
        done = subprocess.run(
            [*command, *QUICK, *words, "--out", str(tmp_path / "out")],
            env=ENVIRONMENT,
            preexec_fn=limit if status else None,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert done.returncode == status, done.stderr
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert any(f"out/{name}: " in done.stderr for name in before), done.stderr
    assert files_in(tmp_path / "out") == before
