"""The command line, called in this process or run in one of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from glueline.studies.commands import main

ROOT = Path(__file__).parents[2]
PROGRAM = [sys.executable, "-m", "glueline.studies.commands"]
ENVIRONMENT = {**os.environ, "PYTHONIOENCODING": "utf-8"}


def glueline(*words: object, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """Run a command line in a process of its own, in a folder."""
    return subprocess.run(
        [*PROGRAM, *map(str, words)],
        cwd=folder,
        env=ENVIRONMENT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )


@dataclass(frozen=True)
class Called:
    """What a command line called in this process left."""

    returncode: int
    stdout: str
    stderr: str


def called(capsys: pytest.CaptureFixture[str], *words: object) -> Called:
    """Call the command line in this process; a refusal needs no process of its own."""
    capsys.readouterr()
    status = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return Called(status, out, err)
