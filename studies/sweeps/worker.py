"""What a worker process does: predict one corner and hand back its answer.

Loads nothing heavy itself, so that the number of threads is settled before numpy is there.
"""

from __future__ import annotations

import os
import signal
import threading
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Literal

from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError, InputError
from glueline.studies.files.json_text import json_line
from glueline.studies.files.memory import give_back, keep_for_good
from glueline.studies.files.threads import THREAD_SETTINGS
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.request import Request

Status = Literal["ok", "failed"]


@dataclass(frozen=True)
class Computed:
    """What came of one corner: the answer, or why there is none.

    ``details`` tells more of a mistake of ours, for whoever mends it.
    """

    answer: Answer | None
    error: str = ""
    details: str = ""

    @property
    def status(self) -> Status:
        """Whether there is an answer."""
        return "failed" if self.answer is None else "ok"


@dataclass(frozen=True)
class Lost:
    """No result: the machine is why, not the corner, so that the same corner may well have one another time.

    Nothing that keeps results keeps this.
    """

    reason: str


@contextmanager
def one_thread_each() -> Iterator[None]:
    """While this lasts, processes that are started compute on one thread each."""
    before = {name: os.environ.get(name) for name in THREAD_SETTINGS}
    os.environ.update(dict.fromkeys(THREAD_SETTINGS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def prepare_worker() -> None:
    """Make this process a worker: it leaves Ctrl-C to the one that started it and ends when that one does."""
    import multiprocessing
    from multiprocessing.connection import wait

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def watch() -> None:
        # A parent that is killed cannot say so, and the queue of tasks never tells either.
        wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def greet() -> tuple[int, str]:
    """Load what predictions need; the number of this process and the version of Glueline in it."""
    import glueline.studies.predict.predictor  # noqa: F401
    from glueline.studies.sweeps.version import glueline_version

    keep_for_good()
    return os.getpid(), glueline_version()


@cache
def _reuse() -> Reuse:
    """What this process keeps from one corner to the next."""
    return Reuse()


def compute(specimen: Specimen, request: Request) -> Computed | Lost:
    """Predict one corner. Nothing that goes wrong with it is raised: it is told, so that a sweep goes on.

    What another machine, or this one another time, would not do (too little memory, a full disk, a library
    that does not load) is no result.
    """
    from glueline.geometries.mesh import GmshMissing
    from glueline.studies.predict.predictor import predict_request

    try:
        answer = predict_request(specimen, request, reuse=_reuse()).answer
        json_line(answer)  # what no file can hold fails here, at its own point
        return Computed(answer)
    except InputError as error:
        return Computed(None, "; ".join(str(problem) for problem in error.problems))
    except ComputationError as error:
        return Lost(str(error)) if isinstance(error.__cause__, GmshMissing) else Computed(None, str(error))
    except MemoryError:
        return Lost("not enough memory")
    except (OSError, ImportError) as error:
        return Lost(f"{type(error).__name__}: {error}")
    except Exception as error:
        # A mistake of ours at one point must not cost the others.
        kind = type(error).__name__
        return Computed(None, f"predicting failed unexpectedly: {kind}: {error}", traceback.format_exc())
    finally:
        if request.method != "elastic":
            give_back()
