"""Points a minute of a 24-point finger sweep with one worker and two, and what points of one corner share.

By hand: python -m tests.benchmarks.sweep [--band] [--many]; without --band the scatter is left out, with
which it takes about four times as long. With --many only what 10,000 points cost that are finished but
for one.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from msgspec import structs

from glueline.studies.corner.arrangements import APEX_PRESS
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.json_text import json_line, json_text
from glueline.studies.predict.predictor import predict_request
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.lanes import Lane, process_lanes
from glueline.studies.sweeps.points import cross, same_corner
from glueline.studies.sweeps.rows import finished
from glueline.studies.sweeps.schedule import computed
from glueline.studies.sweeps.store import ASKED, FINISHED
from glueline.studies.sweeps.sweep import described
from glueline.studies.sweeps.vary import parse_varied
from glueline.studies.sweeps.worker import Computed, greet

MANY = ("boards.thickness=10 mm:29.8 mm:0.2 mm", "glue.quality=51 %:100 %:1 %", "joint.fingers=3,5")
POINTS = ("joint.fingers=2:13", "boards.wood=hard maple,red oak")


def main() -> None:
    """Print times; nothing here passes or fails."""
    if "--many" in sys.argv[1:]:
        many_points()
        return
    band = "--band" in sys.argv[1:]
    several_workers(band)
    command_line(band)
    shared_work()


def several_workers(band: bool) -> None:
    """The points themselves, workers warm."""
    points = cross(str(example_path("finger")), (), parse_varied(POINTS))
    specimens = {point.number: point.specimen for point in points if point.specimen is not None}
    keys = {number: same_corner(specimen) for number, specimen in specimens.items()}
    given = 0.0
    print(f"{len(specimens)} points, progressive, {'with' if band else 'without'} the band, workers warm")
    took = {}
    for workers in (1, 2):
        with process_lanes(workers) as lanes:
            for greeting in [lane.submit(greet) for lane in lanes]:
                greeting.result()
            if workers == 2:
                given = arithmetic(lanes)
            started = time.perf_counter()
            failed = [
                n for n, each in computed(specimens, keys, Request(band=band), lanes) if not each.answer
            ]
            took[workers] = time.perf_counter() - started
            if workers == 2:
                given = (given + arithmetic(lanes)) / 2
        rate = 60 * len(specimens) / took[workers]
        print(
            f"  {workers} worker(s): {took[workers]:6.1f} s, {rate:5.1f} points a minute, {len(failed)} fail"
        )
    print(f"  two workers are {took[1] / took[2]:.2f} times as fast as one")
    print(f"  (plain arithmetic in two processes, just before and after: {given:.2f} times)")


def arithmetic(lanes: Sequence[Lane]) -> float:
    """How many times as fast two processes are as one on this machine now, whatever else it does."""
    took = []
    for number in (1, 2):
        started = time.perf_counter()
        for future in [lane.submit(sum, range(40_000_000)) for lane in lanes[:number]]:
            future.result()
        took.append(time.perf_counter() - started)
    return 2 * took[0] / took[1]


def command_line(band: bool) -> None:
    """The whole command, start and picture included."""
    with tempfile.TemporaryDirectory() as folder:
        words = [sys.executable, "-m", "glueline.studies.commands", "sweep", str(example_path("finger"))]
        words += [word for points in POINTS for word in ("--vary", points)]
        words += ["--out", str(Path(folder) / "sweep"), "--workers", "2", *([] if band else ["--no-band"])]
        for what in ("the command, two workers", "the same again, finished"):
            started = time.perf_counter()
            subprocess.run(words, check=True, capture_output=True)
            print(f"  {what}: {time.perf_counter() - started:.1f} s")


def shared_work() -> None:
    """Points that differ in glue or load only, after one that made mesh, rows of wood and condensed legs."""
    for method in ("elastic", "progressive"):
        print(f"a point that shares all but glue, or all but load, with the one before ({method}, no band):")
        for name in EXAMPLES:
            specimen = read_specimen(str(example_path(name)))
            poorer = replace(specimen, workmanship=replace(specimen.workmanship, quality=0.9))
            for words, other in (("glue", poorer), ("load", replace(specimen, arrangement=APEX_PRESS))):
                alone, after = [], []
                for _ in range(3):
                    alone.append(_seconds(other, method, Reuse()))
                    reuse = Reuse()
                    predict_request(specimen, Request(method, band=False), reuse=reuse)
                    after.append(_seconds(other, method, reuse))
                first, second = statistics.median(alone), statistics.median(after)
                times = f"{first:.3f} and {second:.3f} s: {first / second:.2f} times as fast"
                print(f"  {name:14s} {words}  {times}")


def many_points() -> None:
    """A sweep of 10,000 points taken up again where one is left; the others are one answer, load changed."""
    file = str(example_path("finger"))
    varied = parse_varied(MANY)
    started = time.process_time()
    points = cross(file, (), varied)
    asked = described(points, varied, Request(band=False))
    print(f"{len(points)} points read from one file: {time.process_time() - started:.2f} s of a processor")
    answer = predict_request(read_specimen(file), Request()).answer
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "sweep"
        out.mkdir()
        (out / ASKED).write_text(json_text(asked))
        with (out / FINISHED).open("wb") as journal:
            for point in points[:-1]:
                made = structs.replace(answer, break_load=answer.break_load * (1 + point.number / 7000))
                journal.write(json_line(finished(point.number, point.values, Computed(made))) + b"\n")
        words = [sys.executable, "-m", "glueline.studies.commands", "sweep", file, "--out", str(out)]
        words += ["--no-band", "--workers", "1", *(word for points in MANY for word in ("--vary", points))]
        started, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(words, check=True, capture_output=True)
        took, after = time.perf_counter() - started, resource.getrusage(resource.RUSAGE_CHILDREN)
        processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        print(f"the command, one point left: {took:.1f} s, {processor:.1f} s of processors")
        print(f"the largest of its processes: {after.ru_maxrss // 1000} MB")


def _seconds(specimen: Specimen, method: str, reuse: Reuse) -> float:
    started = time.perf_counter()
    predict_request(specimen, Request(method, band=False), reuse=reuse)
    return time.perf_counter() - started


if __name__ == "__main__":
    main()
