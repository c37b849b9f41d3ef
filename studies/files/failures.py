"""What can go wrong: an input that cannot be used, a computation that failed."""

from __future__ import annotations

from dataclasses import dataclass

MOST_SHOWN = 20
"""Problems that a message lists before it counts the rest."""


def one_line(text: str) -> str:
    """``text`` without characters that a terminal would act on: those are written as Python escapes them."""
    if text.isprintable():
        return text
    return "".join(
        character if character.isprintable() else character.encode("unicode_escape").decode("ascii")
        for character in text
    )


@dataclass(frozen=True)
class InputProblem:
    """One thing that is wrong: in which file, which key, its value as typed, and what would be right.

    ``key`` is empty where the whole file is meant; ``value`` is None where there is none to show.
    """

    file: str
    key: str
    value: str | None
    message: str

    def __str__(self) -> str:
        named = self.file
        if self.key:
            named += f": {self.key}" if self.value is None else f": {self.key} = {self.value}"
        return one_line(f"{named}: {self.message}")


class InputError(Exception):
    """The input is wrong; ``problems`` lists everything that was found, its text the first, one line each.

    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> try:
    ...     read_specimen(example_path("butt"), [("boards.leg", "40 mm")])
    ... except InputError as error:
    ...     print(error.problems[0].key, "=", error.problems[0].value)
    --set boards.leg = 40 mm
    """

    def __init__(self, problems: tuple[InputProblem, ...]) -> None:
        super().__init__(problems)
        self.problems = problems

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in shortened(self.problems))


def shortened(problems: tuple[InputProblem, ...]) -> tuple[InputProblem, ...]:
    """The first ``MOST_SHOWN`` problems, and as one more how many further ones there are.

    >>> wrong = tuple(InputProblem("log.csv", f"line {line}", None, "is blank") for line in range(2, 25))
    >>> len(shortened(wrong)), str(shortened(wrong)[-1])
    (21, 'log.csv: and 3 more such problems')
    """
    further = problems[MOST_SHOWN:]
    if not further:
        return problems
    files = list(dict.fromkeys(problem.file for problem in further))
    count = f"and {len(further)} more such problem{'s' if len(further) > 1 else ''}"
    return (*problems[:MOST_SHOWN], InputProblem(files[0], "", None, count))


class ComputationError(Exception):
    """A computation failed: in which step, for what reason, and what to try; ``effort`` is what it has cost,
    as entries of factors made.

    >>> print(ComputationError("following the path", "the load no longer falls", "try a larger element size"))
    following the path failed: the load no longer falls; try a larger element size
    """

    def __init__(self, step: str, reason: str, remedy: str, effort: float = 0.0) -> None:
        super().__init__(step, reason, remedy, effort)
        self.step = step
        self.reason = reason
        self.remedy = remedy
        self.effort = effort

    def __str__(self) -> str:
        return f"{self.step} failed: {self.reason}; {self.remedy}"
