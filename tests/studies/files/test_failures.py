"""What is said of a wrong input is fit for a terminal, whatever was typed."""

from __future__ import annotations

import pytest

from glueline.studies.files.failures import InputError, InputProblem
from tests.studies.command_lines import called


@pytest.mark.parametrize("typed", ["\t", "\x1b[31m", "a\nb", "\u2028", "\udc80", "\u202e"])
def test_a_problem_is_one_printable_line(typed: str) -> None:
    said = str(InputError((InputProblem(f"f{typed}", f"k{typed}", f"v{typed}", f"m{typed}"),)))
    assert said.isprintable()
    assert said.count("\\") == 4


def test_changes_and_options_with_marks_of_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """Found by tests.fuzz: what has no equals sign, or is no measure, was shown as typed."""
    for words in (["--set", "boards\x1b[31m"], ["--element-size", "1\tmm\x1b"]):
        done = called(capsys, "predict", "corner.toml", *words)
        assert done.returncode == 2
        assert all(line.isprintable() for line in done.stderr.splitlines())
