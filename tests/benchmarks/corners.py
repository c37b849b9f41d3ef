"""Times of the example corners: warm in one process, and whole processes of ``glueline predict``.

By hand, on an idle machine, with one thread: python -m tests.benchmarks.corners. What it printed last, and
what each step towards it bought, stands in ``tests/benchmarks/README.md``.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable

from glueline import predict, read_specimen
from glueline.studies.examples import DEMO_CORNERS, EXAMPLES, example_path

RUNS = 3


def main() -> None:
    """Print medians; nothing here passes or fails."""
    print("warm, mesh included, default element size, s")
    print(f"  {'':18s} {'elastic':>8s} {'no band':>8s} {'band':>8s}")
    for name in EXAMPLES:
        specimen = read_specimen(str(example_path(name)))
        took = [
            _median(lambda asked=asked, specimen=specimen: predict(specimen, **asked))  # type: ignore[misc]
            for asked in ({"method": "elastic"}, {"band": False}, {})
        ]
        print(f"  {name:18s} " + " ".join(f"{each:8.3f}" for each in took))
    print("whole processes of glueline predict, band and ranges included, s")
    for name in EXAMPLES:
        print(f"  {name:18s} {_median(lambda name=name: _process(name)):8.3f}")  # type: ignore[misc]
    print("the same with --out and all pictures, s")
    for name in DEMO_CORNERS:
        with tempfile.TemporaryDirectory() as folder:
            words = ["--out", folder, "--all-pictures", "--replace"]
            took_all = _median(lambda name=name, words=words: _process(name, words))  # type: ignore[misc]
        print(f"  {name:18s} {took_all:8.3f}")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"largest memory of one such process: {peak:.0f} MB")


def _median(done: Callable[[], object]) -> float:
    """Seconds that it takes, warm."""
    done()
    took = []
    for _ in range(RUNS):
        started = time.perf_counter()
        done()
        took.append(time.perf_counter() - started)
    return statistics.median(took)


def _process(name: str, more: list[str] | None = None) -> None:
    words = [sys.executable, "-m", "glueline.studies.commands", "predict", str(example_path(name))]
    # As where it is installed its modules have been compiled; else compiling them takes 0.2 s every time.
    compiled = {each: value for each, value in os.environ.items() if each != "PYTHONDONTWRITEBYTECODE"}
    compiled.setdefault("PYTHONPYCACHEPREFIX", os.path.join(tempfile.gettempdir(), "compiled_for_benchmarks"))
    subprocess.run([*words, *(more or [])], check=True, capture_output=True, env=compiled)


if __name__ == "__main__":
    main()
