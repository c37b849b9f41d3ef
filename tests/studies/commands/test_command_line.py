"""The command line through real processes."""

from __future__ import annotations

import json
import os
import resource
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from glueline.studies.examples import DEMO_CORNERS, example_path
from tests.studies.command_lines import ROOT, glueline


def test_json_is_one_object_and_nothing_else(tmp_path: Path) -> None:
    words = ["predict", str(example_path("splined_mitre")), "--no-band", "--json"]
    done = glueline(*words, "--out", str(tmp_path / "out"))
    assert done.returncode == 0
    assert done.stderr == ""
    answer = json.loads(done.stdout)
    assert answer["joint"] == "splined mitre"
    assert json.loads((tmp_path / "out" / "prediction.json").read_text()) == answer
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"fields.vtu", "specimen.toml", "share_of_strength.png", "load_displacement.png"} <= names


def test_the_specimen_as_read_gives_the_same_answer(tmp_path: Path) -> None:
    words = ["--set", "boards.wood=red oak", "--set", "joint.fingers=5", "--no-band", "--json"]
    first = glueline("predict", str(example_path("finger")), *words, "--out", str(tmp_path))
    again = glueline("predict", str(tmp_path / "specimen.toml"), "--no-band", "--json")
    assert first.stdout == again.stdout


def test_the_short_table_shows_cautions_and_units() -> None:
    metric = glueline("predict", str(example_path("butt")))
    imperial = glueline("predict", str(example_path("butt")), "--units", "imperial")
    assert metric.returncode == imperial.returncode == 0
    assert " N\n" in metric.stdout or " kN\n" in metric.stdout
    assert "lbf" in imperial.stdout
    assert "mm" not in imperial.stdout.replace("common", "")
    for text in (metric.stdout, imperial.stdout):
        assert "eye protection" in text
        assert "local codes" in text
        assert "safe" not in text.lower()


def test_the_last_line_says_how_to_get_pictures(tmp_path: Path) -> None:
    """What it names works as it is typed, also for a name with a space; with pictures it is not said."""
    (tmp_path / "my butt.toml").write_bytes(example_path("butt").read_bytes())
    words = ("predict", "my butt.toml", "--method", "elastic")
    last = glueline(*words, folder=tmp_path).stdout.splitlines()[-1]
    assert last == 'for pictures add --out DIR, such as --out "my butt"'
    typed = shlex.split(last.partition("such as ")[2])
    with_pictures = glueline(*words, *typed, folder=tmp_path)
    assert with_pictures.returncode == 0
    assert "for pictures" not in with_pictures.stdout
    assert list((tmp_path / "my butt").glob("*.png"))


def test_a_path_that_cannot_be_followed_is_no_break_load() -> None:
    """Glue so strong that its toughness cannot hold what it stores: the law cannot be, status 1 or 2."""
    done = glueline("predict", str(example_path("butt")), "--json", "--no-band", "--set", "glue.kind=none")
    assert done.returncode in (1, 2)
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_wrong_input_gets_one_message(tmp_path: Path) -> None:
    wrong = ["--set", "boards.tickness=19 mm"]
    done = glueline("predict", str(example_path("butt")), *wrong, "--json", "--out", str(tmp_path / "out"))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("command line: --set boards.tickness = ")
    assert done.stderr.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_the_demo_ranks_four_corners_and_draws_them(tmp_path: Path) -> None:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = glueline("demo", "--out", str(tmp_path / "pictures"))
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode == 0
    assert after.ru_utime - before.ru_utime < 60
    for name in DEMO_CORNERS:
        assert (tmp_path / "pictures" / name / "share_of_strength.png").stat().st_size > 10_000
    for name in ("ranking.png", "ranking_stress.png"):
        assert (tmp_path / "pictures" / name).stat().st_size > 10_000
    assert "invented" in done.stdout
    assert "local codes" in done.stdout
    assert done.stdout.index("mitre") < done.stdout.index("butt")


def test_every_folder_of_code_is_packaged() -> None:
    packages = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    places = {Path(place): name for name, place in packages["package-dir"].items()}
    folders = {
        code.parent.relative_to(ROOT)
        for top in ("fem", "geometries", "materials", "studies")
        for code in (ROOT / top).rglob("__init__.py")
    }
    named = {places.get(folder) or ".".join(("glueline", *folder.parts)) for folder in folders}
    assert named == set(packages["packages"])


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where a copy of the checkout is installed without what it depends on."""
    source, target = (tmp_path_factory.mktemp(name) for name in ("source", "site"))
    leave = shutil.ignore_patterns(".git", ".venv", "build", "*.egg-info", "tests", "__pycache__")
    shutil.copytree(ROOT, source, ignore=leave, dirs_exist_ok=True)
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--target", target, source]
    subprocess.run(install, check=True, capture_output=True, timeout=300)
    return target


def run_installed(installed: Path, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Python with only that installed copy, away from the checkout."""
    environment = {**os.environ, "PYTHONPATH": str(installed)}
    command = [sys.executable, *words]
    return subprocess.run(
        command, capture_output=True, text=True, cwd=folder, env=environment, timeout=300, check=False
    )


@pytest.mark.slow
@pytest.mark.parametrize("words", [("list", "woods"), ("predict", "mitre.toml", "--json")])
def test_a_plain_install_works_away_from_the_checkout(
    words: tuple[str, ...], installed: Path, tmp_path: Path
) -> None:
    """Tables, examples and the entry point are packaged."""
    shutil.copy(installed / "glueline/studies/examples/mitre.toml", tmp_path)
    done = run_installed(installed, tmp_path, "-m", "glueline", *words)
    assert done.returncode == 0, done.stderr
    assert (installed / "bin" / "glueline").exists()


@pytest.mark.slow
def test_everything_installed_lies_under_one_name(installed: Path, tmp_path: Path) -> None:
    public = "import glueline; from glueline import predict, read_specimen; print(glueline.__file__)"
    done = run_installed(installed, tmp_path, "-c", public)
    assert done.stdout.strip() == str(installed / "glueline" / "__init__.py"), done.stderr
    for bare in ("fem", "geometries", "materials", "studies"):
        assert "No module named" in run_installed(installed, tmp_path, "-c", f"import {bare}").stderr


def test_linear_algebra_runs_on_one_thread_unless_the_user_says_otherwise() -> None:
    """What the library under numpy is told before it is loaded, in processes of their own."""
    words = "import os, sys; from glueline.studies.commands import main; assert 'numpy' not in sys.modules; "
    words += "main(['list', 'glues']); print(os.environ['OPENBLAS_NUM_THREADS'])"
    for given, seen in (({}, "1"), ({"OPENBLAS_NUM_THREADS": "2"}, "2")):
        environment = {name: text for name, text in os.environ.items() if name != "OPENBLAS_NUM_THREADS"}
        done = subprocess.run(
            [sys.executable, "-c", words],
            env={**environment, **given},
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.splitlines()[-1] == seen
