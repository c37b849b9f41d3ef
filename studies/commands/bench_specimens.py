"""What the commands of a bench day share: specimens that fit the rig, and what to expect of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from glueline.studies.files.failures import InputError, InputProblem

if TYPE_CHECKING:
    from glueline.studies.bench_day.expected import Expected
    from glueline.studies.bench_day.rig.rig import Rig
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.request import Request

ANSWERS = "answers"
"""Where predictions are kept, so that a second run need not make them again."""


def fitting_specimens(
    files: Sequence[str],
    changes: Sequence[tuple[str, str]],
    request: Request,
    rig: Rig | None,
    problems: list[InputProblem],
) -> list[Specimen]:
    """The specimens of ``files``; whatever keeps one from being predicted, or from the rig, is noted."""
    from glueline.studies.corner.specimen_file import read_specimen

    specimens = []
    for file in files:
        try:
            specimen = read_specimen(file, changes)
            request.check(specimen)
        except InputError as error:
            problems += error.problems
            continue
        specimens.append(specimen)
        if rig is not None and specimen.arrangement != rig.arrangement:
            message = (
                f"does not fit the rig, whose arrangement is {rig.arrangement}: change the one that is "
                f'wrong, or add --set "load.arrangement={rig.arrangement}"'
            )
            problems.append(InputProblem(file, "load.arrangement", f'"{specimen.arrangement}"', message))
    return specimens


@contextmanager
def results_and_answers(out: str | None) -> Iterator[tuple[Path | None, Path | None]]:
    """The directory ``out`` and the one in it where predictions are kept; None where there is no ``out``."""
    from glueline.studies.files.output import optional_directory_for_results

    answers = None if out is None else Path(out) / ANSWERS
    with optional_directory_for_results(out) as folder, optional_directory_for_results(answers) as kept:
        yield folder, kept


def expected_loads(
    labels: Sequence[str], specimens: Sequence[Specimen], request: Request, kept_in: Path | None = None
) -> list[Expected]:
    """What to expect of each specimen, kept for a second run in ``kept_in``. Raises ComputationError."""
    from glueline.studies.bench_day.expected import expected, kept_answers
    from glueline.studies.files.failures import ComputationError
    from glueline.studies.sweeps.progress import progress_bar

    with progress_bar(len(labels), "corners", unit="corner") as bar:

        def done(label: str) -> None:
            bar.set_postfix_str(label)
            bar.update()

        kept = kept_answers(labels, specimens, request, kept_in, done)
    estimates = []
    for label, specimen, answer in zip(labels, specimens, kept, strict=True):
        if isinstance(answer, ComputationError):
            raise answer
        estimates.append(expected(label, specimen, answer))
    return estimates
