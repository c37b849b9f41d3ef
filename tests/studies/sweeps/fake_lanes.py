"""Lanes that answer at once from a formula, and sweeps of them, for tests of what surrounds predicting."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.lanes import Lane
from glueline.studies.sweeps.worker import Computed
from tests.studies.made_up_answers import made_up

Answering = Callable[[Specimen], Computed]


def answer_of(
    load: float,
    breaks_in: str = "glue",
    *,
    glue_load: float | None = None,
    wood_load: float | None = None,
    band: tuple[float, float] | None = None,
    area: float = 1000.0,
) -> Computed:
    """An answer as a lane gives it."""
    return Computed(
        made_up(
            load,
            breaks_in=breaks_in,
            glue_load=load if glue_load is None else glue_load,
            wood_load=2 * load if wood_load is None else wood_load,
            band=band,
            glue_area={"side_to_side": area, "side_to_end": 0.0},
        )
    )


class FakeLane(Lane):
    """A thread that answers by a formula after ``pause`` seconds; ``log`` collects the points it got."""

    def __init__(self, answering: Answering, pause: float = 0.0, log: Path | None = None) -> None:
        self.answering = answering
        self.pause = pause
        self.log = log
        self.given: list[Specimen] = []
        self.restarts = 0
        self._executor = ThreadPoolExecutor(1)

    def submit(self, task: Callable[..., Any], *given: Any) -> Future[Any]:
        specimen, request = given
        assert isinstance(request, Request)
        self.given.append(specimen)
        return self._executor.submit(self._answer, specimen)

    def restart(self) -> bool:
        self.restarts += 1
        return True

    def _answer(self, specimen: Specimen) -> Computed:
        if self.log is not None:
            with self.log.open("a") as file:
                file.write(f"{os.getpid()} {specimen.joint.fingers} {specimen.workmanship.quality:g}\n")
        time.sleep(self.pause)
        return self.answering(specimen)


def opened(lanes: Sequence[Lane]) -> Callable[[int], Any]:
    """Opens these lanes whatever the number of points."""

    @contextmanager
    def open_lanes(_: int) -> Iterator[Sequence[Lane]]:
        yield lanes

    return open_lanes


def rows_in(text: str) -> list[Mapping[str, str]]:
    """The rows of a results.csv."""
    import csv
    import io

    return list(csv.DictReader(io.StringIO(text, newline="")))
