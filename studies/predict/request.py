"""What is asked of a prediction: one shape for the command line, sweeps, rankings, bench days and files."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.units import Units, format_limit

if TYPE_CHECKING:
    from glueline.studies.corner.specimen import Specimen

Method = Literal["progressive", "elastic"]
METHODS: tuple[Method, ...] = get_args(Method)


@dataclass(frozen=True)
class Request:
    """How a corner is to be predicted.

    ``method`` "progressive" follows the corner past its peak, "elastic" stops at the first limit;
    ``element_size`` in mm along the glue lines, None for the usual one. ``band`` adds the scatter (from
    ``seed``) and the ranges of the judged glue values, which take further paths. On all paths faces crush
    where they press on each other too hard; without ``crushing`` they bear whatever comes. An elastic answer
    ends before. ``criterion`` judges the wood, a name of ``materials.CRITERIA``; the default is
    ``materials.DEFAULT_CRITERION``, which is slow to load.

    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> Request(method="elastic", element_size=1.5).check(read_specimen(example_path("butt")))
    """

    method: Method = METHODS[0]
    element_size: float | None = None
    band: bool = True
    seed: int = 0
    crushing: bool = True
    criterion: str = "quadratic"

    def check(self, specimen: Specimen) -> None:
        """Raises InputError with everything that this specimen cannot be asked."""
        from glueline.materials import CRITERIA

        problems = []

        def refuse(option: str, value: str, message: str) -> None:
            problems.append(InputProblem("command line", option, value, message))

        if self.criterion not in CRITERIA:
            refuse("--criterion", self.criterion, f"must be one of {', '.join(CRITERIA)}")
        if self.method not in METHODS:
            refuse("--method", self.method, f"must be {' or '.join(METHODS)}")
        depth = min(specimen.boards.depth_a, specimen.boards.depth_b)
        if self.element_size is not None and not depth / 60 <= self.element_size <= depth / 3:
            refuse(
                "--element-size",
                f"{self.element_size:g} mm",
                f"must lie between {_between(depth, 'metric')} or, in inches, {_between(depth, 'imperial')}: "
                "a sixtieth and a third of the boards' depth in the plane of the corner",
            )
        if problems:
            raise InputError(tuple(problems))


def _between(depth: float, units: Units) -> str:
    return f"{format_limit(depth / 60, units, 'least')} and {format_limit(depth / 3, units, 'most')}"
