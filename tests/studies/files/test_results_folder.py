"""The one writer of results: stopped at any moment, on a full disk, before files that are not its own."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from glueline.studies.files import results_folder
from glueline.studies.files.failures import InputError
from glueline.studies.files.manifest import disagreement, read_manifest
from glueline.studies.files.results_folder import ResultsWriter, check_place, write_results_folder
from tests.studies.makers_folder import check_words
from tests.studies.results_folders import files_in, needs_fork, stopped_at

OLD = {"a.png": b"old a", "b.json": b"old b", "gone.png": b"old", "inner/c.toml": b"old c"}
NEW = {"a.png": b"new a", "b.json": b"new b", "inner/c.toml": b"new c", "more/d.png": b"new d"}
MINE = {"letter.txt": b"mine", ".a.png.part": b"mine", ".a.png.0123456789abcdef.part": b"mine"}
MANIFEST, NOTE = "predict.manifest.json", "predict.unfinished.json"


def results_in(folder: Path) -> dict[str, bytes]:
    """What is there besides the maker's own files and the writer's own records."""
    return {
        name: content for name, content in files_in(folder).items() if name not in (*MINE, MANIFEST, NOTE)
    }


def with_mine(folder: Path) -> None:
    """Put a maker's own files there."""
    folder.mkdir(exist_ok=True)
    for name, content in MINE.items():
        (folder / name).write_bytes(content)


def is_whole(folder: Path) -> bool:
    """Whether a reader takes the folder for finished."""
    manifest = read_manifest(folder, "predict")
    return manifest is not None and disagreement(folder, manifest, {}) is None


@needs_fork
@pytest.mark.parametrize("there", [True, False])
@pytest.mark.parametrize("step", ["fsync", "replace", "unlink"])
def test_a_kill_at_any_moment_leaves_old_new_or_what_is_refused(
    step: str, there: bool, tmp_path: Path
) -> None:
    """And what it leaves does not keep the same command, nor the one before, from doing its work."""
    seen = set()
    for number in range(1, 100):
        folder = tmp_path / str(number)
        with_mine(folder)
        if there:
            write_results_folder(folder, "predict", OLD)

        def write(at: Path = folder) -> None:
            write_results_folder(at, "predict", NEW)

        came_so_far = stopped_at(step, number, write)
        if is_whole(folder):
            state = "old" if (folder / "a.png").read_bytes() == b"old a" else "new"
            whole = OLD if state == "old" else NEW
            assert {name: content for name, content in results_in(folder).items() if name in whole} == whole
        else:
            state = "refused"
        seen.add(state)
        write_results_folder(folder, "predict", OLD if number % 2 else NEW)
        assert results_in(folder) == (OLD if number % 2 else NEW)
        assert is_whole(folder)
        assert NOTE not in files_in(folder)
        assert {name: (folder / name).read_bytes() for name in MINE} == MINE
        if not came_so_far:
            break
    else:
        pytest.fail("never came to its end")
    assert state == "new"
    assert "refused" in seen or not there
    assert "old" in seen or not there or step != "fsync"


@pytest.mark.parametrize("there", [True, False])
def test_a_full_disk_leaves_what_was_there(
    there: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At whichever file it is full: named, and neither drafts nor notes nor new directories stay."""
    with_mine(tmp_path)
    if there:
        write_results_folder(tmp_path, "predict", OLD)
    before = files_in(tmp_path), sorted(tmp_path.rglob("*"))
    for number in range(1, len(NEW) + 3):
        calls = iter(range(1, 100))

        def full(_: int, at: int = number, calls: Iterator[int] = calls) -> None:
            if next(calls) == at:
                raise OSError(28, "No space left on device")

        with monkeypatch.context() as patched:
            patched.setattr(os, "fsync", full)
            with pytest.raises(OSError, match="No space left") as caught:
                write_results_folder(tmp_path, "predict", NEW)
        assert Path(caught.value.filename).parent in (tmp_path, tmp_path / "inner", tmp_path / "more")
        assert (files_in(tmp_path), sorted(tmp_path.rglob("*"))) == before


def refused(folder: Path, contents: dict[str, bytes], **how: object) -> str:
    """What must be refused without a change; what was said."""
    before = files_in(folder)
    with pytest.raises(InputError) as caught:
        write_results_folder(folder, "predict", contents, **how)  # type: ignore[arg-type]
    check_words(caught.value)
    assert files_in(folder) == before
    return str(caught.value)


def test_files_of_others_stand_in_the_way(tmp_path: Path) -> None:
    """One that was there, one that was changed, a link, a directory: named, with what would be right."""
    (tmp_path / "b.json").write_bytes(b"mine")
    said = refused(tmp_path, OLD)
    assert "b.json was not written by glueline predict" in said
    assert "give another directory" in said
    (tmp_path / "b.json").unlink()
    write_results_folder(tmp_path, "predict", OLD)
    (tmp_path / "a.png").write_bytes(b"my retouched a")
    assert "a.png has been changed since glueline predict wrote it" in refused(tmp_path, NEW)
    (tmp_path / "a.png").unlink()
    (tmp_path / "a.png").symlink_to(tmp_path / "b.json")
    assert "a.png was not written by glueline" in refused(tmp_path, NEW)
    (tmp_path / "a.png").unlink()
    (tmp_path / "more").write_bytes(b"mine")
    assert "more is no directory" in refused(tmp_path, NEW)
    (tmp_path / "more").unlink()
    (tmp_path / "more" / "d.png").mkdir(parents=True)
    assert "more/d.png was not written by glueline" in refused(tmp_path, NEW)


def test_results_of_versions_before_manifests_are_named_with_what_to_do(tmp_path: Path) -> None:
    """All that must be moved at once; moving it, or another directory, is enough."""
    for name, content in OLD.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content)
    said = refused(tmp_path, NEW)
    assert "its a.png, b.json and inner/c.toml were not written by glueline predict" in said
    assert "no predict.manifest.json names them; an older glueline wrote none" in said
    assert said.endswith("give another directory, or move those files away")
    many = {f"{number}.png": b"new" for number in range(6)}
    for name in many:
        (tmp_path / name).write_bytes(b"old")
    assert "its 0.png, 1.png, 2.png and 3 more files were not written" in refused(tmp_path, many)
    (tmp_path / "before").mkdir()
    for name in ("a.png", "b.json", "inner"):
        (tmp_path / name).rename(tmp_path / "before" / name)
    write_results_folder(tmp_path, "predict", NEW)
    for name in ("a.png", "b.json"):
        (tmp_path / name).write_bytes(b"mine")
    said = refused(tmp_path, NEW)
    assert "its a.png and b.json have been changed since glueline predict wrote them" in said


def test_what_another_command_wrote_is_not_its_own(tmp_path: Path) -> None:
    """Two commands share a directory as long as their files have different names."""
    write_results_folder(tmp_path, "rank", {"ranking.json": b"{}", "provenance.json": b"{}"})
    assert "provenance.json was not written by glueline predict" in refused(
        tmp_path, {"provenance.json": b"[]"}
    )
    write_results_folder(tmp_path, "service", {"service.json": b"{}"})
    assert {"rank.manifest.json", "service.manifest.json"} < set(files_in(tmp_path))


def test_an_earlier_file_that_was_changed_stays(tmp_path: Path) -> None:
    """It is not written over, so nothing is lost by leaving it."""
    write_results_folder(tmp_path, "predict", OLD)
    (tmp_path / "gone.png").write_bytes(b"my retouched one")
    write_results_folder(tmp_path, "predict", NEW)
    assert results_in(tmp_path) == {**NEW, "gone.png": b"my retouched one"}


@pytest.mark.parametrize("name", [MANIFEST, NOTE])
@pytest.mark.parametrize(
    "content",
    [
        b"mine",
        b"[]",
        b'{"written_by": "glueline rank", "made_from": "", "files": {}}',
        b'{"written_by": "glueline predict", "made_from": "", "draft": "x", "files": 3}',
        b'{"written_by": "glueline predict", "made_from": "", "draft": "x", "files": {"../a.txt": "0"}}',
    ],
)
def test_a_manifest_of_somebody_else(name: str, content: bytes, tmp_path: Path) -> None:
    """It is not believed, and not written over; names that lead out of the directory are not followed."""
    (tmp_path / name).write_bytes(content)
    assert f"{name} is none that glueline predict wrote" in refused(tmp_path, NEW)


def test_results_made_from_another_file(tmp_path: Path) -> None:
    """The path counts, by whichever way it is reached."""
    one, other, link, out = (tmp_path / name for name in ("one.toml", "other.toml", "link.toml", "out"))
    for file in (one, other):
        file.write_text("the same", encoding="utf-8")
    link.symlink_to(one)
    out.mkdir()
    write_results_folder(out, "predict", OLD, made_from=one)
    write_results_folder(out, "predict", NEW, made_from=link)
    said = refused(out, OLD, made_from=other)
    assert "made from another file" in said
    assert "one.toml" in said
    assert "--replace" in said
    with pytest.raises(InputError, match=r"one\.toml"):
        check_place(out, "predict", OLD, other)
    write_results_folder(out, "predict", OLD, made_from=other, replace=True)
    assert results_in(out) == OLD
    assert "other.toml" in refused(out, NEW, made_from=one)
    assert str(tmp_path) not in (out / MANIFEST).read_text(encoding="utf-8")


def test_the_same_again_changes_nothing(tmp_path: Path) -> None:
    """Not even the times of the files."""
    write_results_folder(tmp_path, "predict", OLD)
    before = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    write_results_folder(tmp_path, "predict", OLD)
    assert {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")} == before


def test_files_one_by_one(tmp_path: Path) -> None:
    """As long as they come there is no manifest; what is changed from outside meanwhile is kept."""
    names = ("table.csv", "more.png")
    writer = ResultsWriter(tmp_path, "sweep", names)
    for content in (b"1", b"2", b"3"):
        writer.put("table.csv", content)
        assert not (tmp_path / "sweep.manifest.json").exists()
    note = json.loads((tmp_path / "sweep.unfinished.json").read_text(encoding="utf-8"))
    assert len(note["files"]["table.csv"]) == 2
    again = ResultsWriter(tmp_path, "sweep", names)
    again.put("table.csv", b"4")
    (tmp_path / "table.csv").write_bytes(b"mine")
    with pytest.raises(InputError, match=r"table\.csv has been changed"):
        again.put("table.csv", b"5")
    (tmp_path / "table.csv").unlink()
    again.put("table.csv", b"6")
    again.finish(names)
    assert sorted(files_in(tmp_path)) == ["sweep.manifest.json", "table.csv"]
    assert results_folder.read_manifest(tmp_path, "sweep") is not None
