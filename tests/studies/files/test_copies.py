"""Work shared out to copies of a process: the same results, in order, whatever becomes of a copy.

What has to be copied runs in Python processes of its own: those of the tests have several threads.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from glueline.studies.files import copies
from glueline.studies.files.copies import processors, shared_out

forks = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux only")

BEGINNING = """
import json, os, signal, sys, threading, time
from glueline.studies.files import copies
copies.processors = lambda: 3
started = os.getpid()
def show(found): print(json.dumps(found))
"""


def _process(program: str) -> list[object]:
    done = subprocess.run(
        [sys.executable, "-c", BEGINNING + program], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    found = json.loads(done.stdout)
    assert isinstance(found, list)
    return found


def test_without_copies_it_is_a_plain_loop() -> None:
    seen: list[int] = []

    def work(number: int) -> int:
        seen.append(number)
        return number + 1

    assert shared_out(work, [3, 1, 2]) == [4, 2, 3]
    assert seen == [3, 1, 2]  # by this process, as it is one of the tests'
    assert shared_out(work, []) == []


def test_tests_count_what_they_do_in_their_own_process() -> None:
    assert copies.MOST == 1
    assert processors() >= 1


@forks
def test_several_processes_do_it_and_the_order_stands() -> None:
    found = _process("""
def work(number):
    time.sleep(0.05)
    return number, os.getpid()
done = copies.shared_out(work, list(range(12)))
show([[number for number, _ in done], len({process for _, process in done}), os.getpid() == started])
""")
    assert found == [list(range(12)), 3, True]


@forks
def test_what_a_copy_cannot_do_is_done_again_and_raised_here() -> None:
    found = _process("""
def work(number):
    time.sleep(0.02)
    if number in (5, 2):
        raise ValueError(f"not {number}")
    return number
try:
    copies.shared_out(work, list(range(8)))
except ValueError as error:
    show([str(error), os.getpid() == started])
""")
    assert found == ["not 2", True]


@forks
def test_a_copy_that_is_killed_costs_nothing_but_time() -> None:
    found = _process("""
def work(number):
    time.sleep(0.02)
    if os.getpid() != started:
        os.kill(os.getpid(), signal.SIGKILL)
    return number
show(copies.shared_out(work, list(range(6))))
""")
    assert found == list(range(6))


@forks
def test_a_process_with_threads_is_not_copied() -> None:
    found = _process("""
done = threading.Event()
threading.Thread(target=done.wait, daemon=True).start()
processes = set(copies.shared_out(lambda number: os.getpid(), list(range(6))))
done.set()
show([processes == {started}])
""")
    assert found == [True]


@forks
def test_no_copy_outlives_an_interruption() -> None:
    found = _process("""
def work(number):
    if os.getpid() == started:
        time.sleep(0.2)
        raise KeyboardInterrupt
    time.sleep(30.0)
began = time.monotonic()
try:
    copies.shared_out(work, list(range(6)))
except KeyboardInterrupt:
    took = time.monotonic() - began
try:
    os.waitpid(-1, os.WNOHANG)
except ChildProcessError:
    show([took < 10.0, "none is left"])
""")
    assert found == [True, "none is left"]


@forks
@pytest.mark.skipif(processors() < 2, reason="one processor only")
def test_an_answer_is_the_same_to_the_last_digit(tmp_path: object) -> None:
    """Nine fingers with band and ranges, in one process and in several."""
    answers = []
    for most in (1, 4):
        done = subprocess.run(
            [
                sys.executable,
                "-c",
                "import sys; from glueline.studies.files import copies; copies.MOST = int(sys.argv[1]); "
                "from glueline.studies.commands import main; "
                "from glueline.studies.examples import example_path; "
                "main(['predict', str(example_path('finger')), '--json'])",
                str(most),
            ],
            capture_output=True,
            text=True,
            timeout=120,
            check=True,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        )
        answers.append(done.stdout)
    assert '"band"' in answers[0]
    assert answers[0] == answers[1]
