"""Work shared out to copies of a process: the same results, in order, whatever becomes of a copy.

What has to be copied runs in Python processes of its own: those of the tests have several threads.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time

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
def test_a_copy_that_is_killed_while_it_sends_costs_nothing_but_time() -> None:
    found = _process("""
from multiprocessing.connection import Connection
def work(number):
    time.sleep(0.02)
    return "x" * 100_000
def half_sent(self, content):
    os.write(self.fileno(), (1000).to_bytes(4, "big") + b"half")
    os.kill(os.getpid(), signal.SIGKILL)
Connection._send_bytes = half_sent
show([len(each) for each in copies.shared_out(work, list(range(6)))])
""")
    assert found == [100_000] * 6


@forks
def test_where_no_copy_can_be_made_the_process_does_all() -> None:
    found = _process("""
def refused():
    raise BlockingIOError("no more processes")
os.fork = refused
show(copies.shared_out(lambda number: number, list(range(6))))
""")
    assert found == list(range(6))


@forks
def test_no_copy_outlives_a_process_that_is_killed() -> None:
    """Neither while it works nor while it holds more than a pipe takes."""
    program = """
def work(number):
    if os.getpid() != started:
        print(os.getpid(), file=told, flush=True)
        time.sleep(0.0 if number % 2 else 30.0)
        return "x" * 1_000_000
    time.sleep(30.0)
told = os.fdopen(os.dup(1), "w")
copies.shared_out(work, list(range(2 * 3)))
"""
    with subprocess.Popen([sys.executable, "-c", BEGINNING + program], stdout=subprocess.PIPE) as killed:
        assert killed.stdout is not None
        copied = [int(killed.stdout.readline()) for _ in range(2)]
        killed.kill()
    end = time.monotonic() + 20.0
    while any(_runs(process) for process in copied):
        assert time.monotonic() < end, "a copy is still there"
        time.sleep(0.1)


def _runs(process: int) -> bool:
    try:
        with open(f"/proc/{process}/stat", encoding="ascii") as told:
            return told.read().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


PREDICT = """
import sys
from glueline.studies.commands import main
from glueline.studies.examples import example_path
from glueline.studies.files import copies
made = copies._by_several
def counted(work, items, others):
    print("copied", file=sys.stderr)
    return made(work, items, others)
copies._by_several, copies.MOST = counted, int(sys.argv[1])
copies.processors = lambda: 2
main(["predict", str(example_path("finger")), "--json"])
"""


@forks
def test_an_answer_is_the_same_to_the_last_digit() -> None:
    """Nine fingers with band and ranges, in one process and in two."""
    answers = []
    for most, told in (("1", ""), ("2", "copied\ncopied\n")):
        done = subprocess.run(
            [sys.executable, "-c", PREDICT, most], capture_output=True, text=True, timeout=120, check=True
        )
        assert done.stderr == told
        answers.append(done.stdout)
    assert '"band"' in answers[0]
    assert answers[0] == answers[1]
