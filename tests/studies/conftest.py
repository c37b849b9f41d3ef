"""What several tests of studies share."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from glueline.studies.commands import main
from glueline.studies.examples import example_path
from tests.studies.makers_folder import MakersFolder


@pytest.fixture
def makers_folder(tmp_path: Path) -> MakersFolder:
    """A folder of a maker: a specimen file that a test writes, and what else it puts beside it."""
    return MakersFolder(tmp_path)


@pytest.fixture(scope="session")
def folders(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """What each command writes; elastic answers are quick. A test that spoils one puts it right again."""
    folder = tmp_path_factory.mktemp("results")
    finger, butt = str(example_path("finger")), str(example_path("butt"))
    varied = ["--vary", "joint.fingers=1,3,5", "--workers", "1"]
    asked = {"predict": [finger], "rank": [butt, finger], "sweep": [finger, *varied]}
    for command, words in asked.items():
        assert main([command, *words, "--method", "elastic", "--out", str(folder / command)]) == 0
    return {command: folder / command for command in asked}


@pytest.fixture
def copied(folders: dict[str, Path], tmp_path: Path) -> Callable[[str], Path]:
    """A copy of a command's directory that a test may spoil."""
    return lambda command: Path(shutil.copytree(folders[command], tmp_path / command))


@pytest.fixture
def no_predicting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Predicting is a mistake here: what is wrong must be said before."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("predicted before looking")

    monkeypatch.setattr("glueline.studies.predict.predictor.predict_request", refuse)
    monkeypatch.setattr("glueline.studies.sweeps.sweep.process_lanes", refuse)
