"""Random input for everything that reads, and random corners for everything that predicts.

    python -m tests.fuzz --seconds 60 --seed 1
    python -m tests.fuzz --inputs 100000 --seed 2
    python -m tests.fuzz --predictions 130 --seed 3

An input is read, or refused by InputError in lines fit for a terminal; anything else that is raised, and
whatever takes longer than 10 s, is printed with its seed and number, by which --seed S --only N gives it
again. A prediction must end within 20 s of processor time, with finite loads above zero or refused by the
limit on how long a corner is followed. Status 1 where anything was wrong.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import math
import random
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from glueline.geometries import JOINTS
from glueline.studies.files.failures import ComputationError, InputError
from glueline.studies.files.toml_tables import toml_text
from glueline.studies.predict.request import Request
from tests.fuzz.corners import random_corner
from tests.fuzz.readers import Readers

LONGEST_READING = 10  # s
TOO_LONG = "it would take too long to the end"  # the listed limit, studies/predict/README.md
LONGEST_PREDICTION = 20.0  # s of processor time
STUCK = 120  # s of processor time


def alarm(_: int, __: object) -> None:
    """Raised where an input takes too long."""
    raise TimeoutError("takes too long")


def read_one(reader: Callable[[random.Random], object], chance: random.Random) -> tuple[str, str]:
    """What came of one input, and what is to be told of it where that is wrong."""
    signal.alarm(LONGEST_READING)
    try:
        reader(chance)
    except InputError as error:
        lines = str(error).split("\n")
        fit = error.problems and all(line.isprintable() and ": " in line for line in lines)
        return ("refused", "") if fit else ("WRONG", f"words not fit for a terminal: {lines!a}")
    except Exception:
        return "WRONG", traceback.format_exc()
    finally:
        signal.alarm(0)
    return "read", ""


def read_many(arguments: argparse.Namespace) -> int:
    """Read until the time or the number of inputs is reached; how many went wrong."""
    counts: Counter[str] = Counter()
    wrong = 0
    with tempfile.TemporaryDirectory() as folder:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            readers = Readers(Path(folder))
        started = time.monotonic()
        number = 0 if arguments.only is None else arguments.only
        while number < arguments.inputs and time.monotonic() - started < arguments.seconds:
            chance = random.Random(f"{arguments.seed} {number}")
            reader = readers.of(chance)
            outcome, told = read_one(reader, chance)
            counts[f"{reader.__name__}: {outcome}"] += 1
            if told:
                wrong += 1
                print(f"--- seed {arguments.seed}, input {number}: {reader.__name__}\n{told}")
            number += 1
            if arguments.only is not None:
                break
        taken = time.monotonic() - started
    print(f"seed {arguments.seed}: {sum(counts.values())} inputs in {taken:.0f} s, {wrong} wrong")
    for what, times in sorted(counts.items()):
        print(f"  {what:24} {times}")
    return wrong


def predict_many(arguments: argparse.Namespace) -> int:
    """Predict random corners, each kind in turn; how many went wrong."""
    from glueline.studies.predict.predictor import predict_request

    outcomes: Counter[str] = Counter()
    wrong, slowest, whole = 0, 0.0, 0.0
    kinds = list(JOINTS)
    numbers = range(arguments.predictions) if arguments.only is None else [arguments.only]
    started = time.monotonic()
    for number in numbers:
        if time.monotonic() - started > arguments.seconds:
            break
        chance = random.Random(f"{arguments.seed} {number}")
        kind = kinds[number % len(kinds)]
        specimen = random_corner(kind, chance)
        before, refused = time.process_time(), False
        signal.setitimer(signal.ITIMER_PROF, STUCK)
        try:
            answer = predict_request(specimen, Request(band=False)).answer
            loads = (answer.break_load, answer.wood_load, answer.glue_load or answer.break_load)
            trouble = "" if all(math.isfinite(load) and load > 0 for load in loads) else f"loads {loads}"
        except InputError as error:
            trouble = f"refused after it was read: {error}"
        except ComputationError as error:
            refused = TOO_LONG in str(error)
            trouble = "" if refused else f"not followed: {error}"
        except Exception:
            trouble = traceback.format_exc()
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        taken = time.process_time() - before
        slowest, whole = max(slowest, taken), whole + taken
        if not trouble and taken > LONGEST_PREDICTION:
            trouble = "slow"
        outcomes[f"{kind}: {'WRONG' if trouble else 'refused' if refused else 'answered'}"] += 1
        if trouble:
            wrong += 1
            print(f"--- seed {arguments.seed}, corner {number}, {taken:.1f} s: {trouble}")
            print(toml_text(specimen.as_read), flush=True)
    done = sum(outcomes.values())
    print(
        f"seed {arguments.seed}: {done} corners of {len(kinds)} kinds, {wrong} wrong; processor time "
        f"{whole / max(done, 1):.1f} s each, {slowest:.1f} s the slowest"
    )
    for what, times in sorted(outcomes.items()):
        print(f"  {what:30} {times}")
    return wrong


def main() -> int:
    """Read or predict; status 1 where anything was wrong."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seed", type=int, default=1, help="of all that is random (1)")
    parser.add_argument("--seconds", type=float, default=math.inf, help="stop after so long")
    parser.add_argument("--inputs", type=int, default=10**9, help="stop after so many inputs")
    parser.add_argument("--predictions", type=int, help="predict so many corners instead of reading")
    parser.add_argument("--only", type=int, metavar="N", help="only the input or the corner of that number")
    arguments = parser.parse_args()
    signal.signal(signal.SIGALRM, alarm)
    signal.signal(signal.SIGPROF, alarm)
    wrong = read_many(arguments) if arguments.predictions is None else predict_many(arguments)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
