"""Times of the example corners, warm in one process; of the demo's as whole processes too, and their memory.

By hand: python -m tests.benchmarks.corners
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time

from glueline import predict, read_specimen
from glueline.studies.examples import DEMO_CORNERS, EXAMPLES, example_path

RUNS = 3


def main() -> None:
    """Print medians; nothing here passes or fails."""
    print("elastic answer, warm, mesh included, default element size")
    for name in EXAMPLES:
        specimen = read_specimen(str(example_path(name)))
        predict(specimen, method="elastic")
        took = []
        for _ in range(RUNS):
            started = time.perf_counter()
            predict(specimen, method="elastic")
            took.append(time.perf_counter() - started)
        print(f"  {name:14s} {statistics.median(took):6.3f} s")
    for words, asked in (
        ("progressive answer without band", {"band": False}),
        ("progressive answer with band", {"band": True}),
    ):
        print(f"{words}, warm, mesh included, default element size; times the elastic answer")
        for name in DEMO_CORNERS if asked["band"] else EXAMPLES:
            specimen = read_specimen(str(example_path(name)))
            took = {"elastic": [], "progressive": []}
            for _ in range(RUNS):
                for method, more in (("elastic", {}), ("progressive", asked)):
                    started = time.perf_counter()
                    predict(specimen, method=method, **more)
                    took[method].append(time.perf_counter() - started)
            elastic, progressive = (statistics.median(times) for times in took.values())
            print(f"  {name:14s} {progressive:6.3f} s {progressive / elastic:6.1f}")
    print("whole process of glueline predict with pictures")
    for name in DEMO_CORNERS:
        took = []
        for _ in range(RUNS):
            with tempfile.TemporaryDirectory() as folder:
                words = [
                    sys.executable,
                    "-m",
                    "glueline.studies.commands",
                    "predict",
                    str(example_path(name)),
                ]
                started = time.perf_counter()
                subprocess.run([*words, "--out", folder], check=True, capture_output=True)
                took.append(time.perf_counter() - started)
        print(f"  {name:14s} {statistics.median(took):6.3f} s")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"largest memory of one such process: {peak:.0f} MB")


if __name__ == "__main__":
    main()
