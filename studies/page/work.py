"""What a worker process of the page does for each question: it predicts, and says what it finds as it goes.

Nothing heavy loads with this module, so that the number of threads is settled before numpy is there.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import msgspec

from glueline.studies.corner.reuse import Reuse
from glueline.studies.files.failures import ComputationError, InputError, shortened
from glueline.studies.files.memory import give_back, keep_for_good
from glueline.studies.files.units import Units
from glueline.studies.predict.request import Request

if TYPE_CHECKING:
    from glueline.studies.bench_day.rig.on_rig import WeightsOnRig
    from glueline.studies.bench_day.rig.rig import Rig
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.prediction import Prediction

Message = str | bytes
What = Literal["warm", "elastic", "path", "band", "point", "slide", "report"]

FILE = "corner.toml"
"""The file that a corner of the page would be in, as messages call it."""

MOST_KEPT = 3
"""Predictions that a worker keeps, for a change of units, a band, a slide."""

SECONDS_BETWEEN_STEPS = 0.04
ELASTIC, ALONE, WHOLE = Request(method="elastic"), Request(band=False), Request()


class Cancelled(Exception):
    """What is computed is not wanted any more."""


@dataclass(frozen=True)
class Task:
    """One thing to do, with ``ticket`` as its name: for which corner, and what else it needs in ``more``.

    ``number`` is that of the page's question, which its answers carry.
    """

    ticket: int
    what: What
    number: int
    corner: Mapping[str, Any]
    units: Units
    more: Mapping[str, Any] = field(default_factory=dict)


@dataclass
class Worker:
    """One worker: its rig, and what it keeps from one corner to the next.

    ``say`` hands a message on to the page, ``check`` raises Cancelled once what is done is not wanted.
    """

    rig: Rig | None
    say: Callable[[Message], None]
    check: Callable[[], None]
    reuse: Reuse = field(default_factory=Reuse)
    kept: list[tuple[Request, Specimen, Prediction]] = field(default_factory=list)

    def do(self, task: Task) -> bool:
        """Do a task and say its answer; whether it went well. Raises Cancelled."""
        try:
            getattr(self, f"_{task.what}")(task)
        except Cancelled:
            raise
        except InputError as error:
            problems = [str(problem).removeprefix(f"{FILE}: ") for problem in shortened(error.problems)]
            self._fail(task, "; ".join(problems))
        except ComputationError as error:
            self._fail(task, str(error))
        except MemoryError:
            self._fail(
                task, "not enough memory for this corner; close something else, or take smaller boards"
            )
        except Exception as error:  # a mistake of ours at one corner must not cost the others
            self._fail(task, f"predicting failed unexpectedly: {type(error).__name__}: {error}")
        else:
            return True
        return False

    def _check(self, _: object) -> None:
        """Told of a step, whatever it is. Raises Cancelled."""
        self.check()

    def _fail(self, task: Task, message: str) -> None:
        if task.what == "point":
            self._say_json({"answer": "point", **_point_of(task), "wrong": message}, task)
        elif task.what != "warm":
            self.say(failed(task.number, message))

    def _say_json(self, message: Mapping[str, Any], task: Task) -> None:
        from glueline.studies.files.json_text import json_line

        self.say(json_line({**message, "number": task.number}).decode())

    def _warm(self, task: Task) -> None:
        """Load what answers need, and know this corner before it is asked for."""
        import glueline.studies.page.scene_path  # noqa: F401
        from glueline.studies.page.scene import scene_message

        scene_message(self._predicted(_specimen(task.corner), ELASTIC), task.units, task.number)

    def _elastic(self, task: Task) -> None:
        from glueline.studies.page.scene import scene_message

        found = self._predicted(_specimen(task.corner), ELASTIC)
        self.check()
        self.say(scene_message(found, task.units, task.number))

    def _path(self, task: Task) -> None:
        from glueline.studies.page.scene_path import path_message

        steps = _Steps(task, self.check, self._say_json)
        found = self._predicted(_specimen(task.corner), ALONE, steps)
        assert found.broken is not None
        path = found.broken.path
        steps.finish(list(zip(path.load.tolist(), path.displacement.tolist(), strict=True)))
        self.check()
        self.say(path_message(found, task.units, task.number, self._weights(found.specimen)))

    def _band(self, task: Task) -> None:
        from glueline.studies.page.headline import headline
        from glueline.studies.page.scene_weight import weight_marks

        found = self._with_band(_specimen(task.corner))
        shown = found.answer, task.units, self._weights(found.specimen)
        band = {"headline": headline(*shown), "stand_clear": weight_marks(*shown)["stand_clear"]}
        self._say_json({"answer": "band", **band}, task)

    def _point(self, task: Task) -> None:
        from glueline.studies.files.display import format_force
        from glueline.studies.page.sentence import read_sentence

        edit = {"key": task.more["key"], "value": task.more["text"]}
        changed = read_sentence(task.corner, task.units, edit)["corner"]
        answer = self._made(_specimen(changed), ALONE, self._check).answer
        point = {
            "load_N": answer.break_load,
            "load_text": format_force(answer.break_load, task.units),
            "crack_N": answer.first_crack_load,
            "breaks_in": answer.breaks_in,
            "where": answer.where,
        }
        self._say_json({"answer": "point", **_point_of(task), **point}, task)

    def _slide(self, task: Task) -> None:
        from glueline.studies.page.saving import slide

        self.say(slide(self._with_band(_specimen(task.corner)), task.units))

    def _report(self, task: Task) -> None:
        from glueline.studies.page.saving import report

        prediction = self._with_band(_specimen(task.corner))
        folder = Path(task.more["folder"])
        self.say(report(prediction, task.units, WHOLE, folder, self._check))

    def _weights(self, specimen: Specimen) -> WeightsOnRig | None:
        """The rig as what turns loads into weights, if it loads a corner as this one is loaded."""
        from glueline.studies.bench_day.rig.on_rig import WeightsOnRig

        if self.rig is None or self.rig.arrangement.name != specimen.arrangement.name:
            return None
        return WeightsOnRig(self.rig)

    def _with_band(self, specimen: Specimen) -> Prediction:
        """The corner followed, with its scatter."""
        known = self._known(specimen, WHOLE)
        if known is not None:
            return known
        from glueline.studies.predict.predictor import with_scatter

        alone = self._predicted(specimen, ALONE, self._check)
        whole = with_scatter(alone, WHOLE, self._check, self.reuse, self._check)
        return self._keep(WHOLE, specimen, whole)

    def _predicted(
        self,
        specimen: Specimen,
        request: Request,
        watch: Callable[[Sequence[tuple[float, float]]], None] | None = None,
    ) -> Prediction:
        """The prediction that is asked for, known from before or made."""
        known = self._known(specimen, request)
        return known or self._keep(request, specimen, self._made(specimen, request, watch))

    def _made(
        self,
        specimen: Specimen,
        request: Request,
        watch: Callable[[Sequence[tuple[float, float]]], None] | None = None,
    ) -> Prediction:
        """The prediction, made for this once."""
        from glueline.studies.predict.predictor import predict_request

        self.check()
        return predict_request(specimen, request, self._check, self.reuse, watch)

    def _known(self, specimen: Specimen, request: Request) -> Prediction | None:
        for asked, of, prediction in self.kept:
            if asked == request and of == specimen and of.as_read == specimen.as_read:
                return prediction
        return None

    def _keep(self, request: Request, specimen: Specimen, prediction: Prediction) -> Prediction:
        self.kept = [(request, specimen, prediction), *self.kept][:MOST_KEPT]
        return prediction


def _specimen(corner: Mapping[str, Any]) -> Specimen:
    from glueline.studies.corner.specimen_file import specimen_of

    return specimen_of(FILE, corner)


def _point_of(task: Task) -> dict[str, Any]:
    """What a point of many says of itself, before there is an answer."""
    nothing = dict.fromkeys(("load_N", "load_text", "crack_N", "breaks_in", "where", "wrong"))
    return {"at": task.more["at"], "text": task.more["text"], **nothing}


class _Steps:
    """The states of a path on their way to the page: what is new since the last message, or all anew."""

    def __init__(
        self, task: Task, check: Callable[[], None], say: Callable[[Mapping[str, Any], Task], None]
    ) -> None:
        self._task, self._check, self._say = task, check, say
        self._sent: list[tuple[float, float]] = []
        self._last = 0.0

    def __call__(self, states: Sequence[tuple[float, float]]) -> None:
        """Told of the states so far. Raises Cancelled."""
        self._check()
        now = time.monotonic()
        if now - self._last >= SECONDS_BETWEEN_STEPS:
            self._last = now
            self.finish(states)

    def finish(self, states: Sequence[tuple[float, float]]) -> None:
        """Say all that has not been said."""
        from glueline.studies.files.display import force_factor, force_unit

        goes_on = bool(self._sent) and list(states[: len(self._sent)]) == self._sent
        new = states[len(self._sent) :] if goes_on else states
        self._sent = list(states)
        if not new:
            return
        units = self._task.units
        message = {
            "answer": "steps",
            "again": not goes_on,
            "displacement": [displacement for _, displacement in new],
            "load": [load for load, _ in new],
            "load_unit": force_unit(units),
            "load_factor": force_factor(units),
        }
        self._say(message, self._task)


def failed(number: int, reason: str) -> str:
    """The message that a question has no answer.

    >>> failed(7, "not enough memory")
    '{"answer":"failed","number":7,"message":"not enough memory"}'
    """
    return msgspec.json.encode({"answer": "failed", "number": number, "message": reason}).decode()


def serve(connection: Connection) -> None:
    """What a worker process runs: tasks in, messages out, until its parent is gone.

    In come the rig, then Tasks and the tickets of those that are not wanted any more; out go a ticket and a
    message, and after the last one of a task its ticket and whether it went well.
    """
    from glueline.studies.sweeps.worker import greet, prepare_worker

    prepare_worker()
    greet()
    waiting: list[Task] = []
    current, unwanted = -1, set[int]()

    def check() -> None:
        while connection.poll():
            take(connection.recv())
        if current in unwanted:
            raise Cancelled

    def take(sent: Task | int) -> None:
        waiting.append(sent) if isinstance(sent, Task) else unwanted.add(sent)

    try:
        worker = Worker(connection.recv(), lambda message: connection.send((current, message)), check)
        while True:
            if not waiting:
                take(connection.recv())
                continue
            task = waiting.pop(0)
            current = task.ticket
            try:
                well = worker.do(task)
            except Cancelled:
                well = False
            if task.what == "warm":
                keep_for_good()
            else:
                give_back()
            unwanted = {ticket for ticket in unwanted if ticket > current}
            connection.send((current, well))
    except (EOFError, OSError):
        return  # the page has ended
