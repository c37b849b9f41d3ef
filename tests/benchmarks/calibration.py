"""What calibrating a glue by some joints does for the joint left out: gain or loss, as it is.

Logs are simulated, everything in them invented: a hidden quality of the glue, an error of the prediction
for each joint that the fit does not know, specimens that scatter, loads in steps of a tenth of the mean. The
joint left out is then predicted with the nominal glue and with the calibrated one.

By hand: python -m tests.benchmarks.calibration > tests/benchmarks/calibration.txt
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.bench_day.calibration.calibration import Intervals, load_curve
from glueline.studies.bench_day.calibration.joint_errors import calibrate_joints

Array = NDArray[np.float64]
STEP = 0.1


@dataclass(frozen=True)
class World:
    """What is hidden: median and log deviation of quality, log deviations of model error and specimens."""

    words: str
    quality: float
    quality_spread: float
    model_error: float
    scatter: float = 0.15
    specimens: int = 5


WORLDS = (
    World("weak glue, small model errors", 0.6, 0.2, 0.10),
    World("weak glue, large model errors", 0.6, 0.2, 0.30),
    World("glue as the table has it, small model errors", 1.0, 0.15, 0.10),
    World("glue as the table has it, large model errors", 1.0, 0.0, 0.30),
)


@dataclass(frozen=True)
class Outcome:
    """Root mean square errors of the logarithm of the load left out; how often limits hold.

    ``covered`` by those of the quality, ``load_covered`` by what a prediction is said to be off by at most.
    """

    nominal: float
    calibrated: float
    covered: float
    load_covered: float
    unsettled: int


def broken(rng: np.random.Generator, mean: float, world: World) -> tuple[Array, Array]:
    """Intervals of one joint's specimens, lower and upper bounds in N."""
    s = world.scatter
    loads = mean * np.exp(rng.normal(size=world.specimens) * s - s**2 / 2)
    step = STEP * mean
    lower = np.floor(loads / step) * step
    return lower, lower + step


def left_out(
    loads: Mapping[str, Array],
    name: str,
    using: Sequence[str],
    world: World,
    days: int,
    seed: int,
    width: float,
) -> Outcome:
    """Simulate ``days`` logs, calibrate by ``using`` and predict ``name``; ``loads`` by quality, in N."""
    rng = np.random.default_rng(seed)
    curves: dict[str, Callable[[Array], Array]] = {joint: load_curve(each) for joint, each in loads.items()}
    nominal, calibrated, covered, load_covered, unsettled = [], [], 0, 0, 0
    for _ in range(days):
        quality = np.clip(world.quality * np.exp(rng.normal() * world.quality_spread), 0.1, 1.9)
        error = {joint: rng.normal() * world.model_error for joint in loads}
        true = {joint: float(curves[joint](np.log([quality]))[0]) + error[joint] for joint in loads}
        joints = [[Intervals(*broken(rng, np.exp(true[joint]), world), loads[joint])] for joint in using]
        found = calibrate_joints(joints, width)
        nominal.append(float(curves[name](np.zeros(1))[0]) - true[name])
        if found.quality is None or found.interval is None or found.model is None:
            unsettled += 1
            calibrated.append(nominal[-1])
            continue
        calibrated.append(float(curves[name](np.log([found.quality]))[0]) - true[name])
        load_covered += abs(calibrated[-1]) <= np.log(found.model.load_factor)
        low, high = found.interval
        covered += (low is None or low <= quality) and (high is None or quality <= high)
    settled = max(days - unsettled, 1)
    return Outcome(_rms(nominal), _rms(calibrated), covered / settled, load_covered / settled, unsettled)


def _rms(errors: Sequence[float]) -> float:
    return float(np.sqrt(np.mean(np.square(errors))))


def main(days: int = 50) -> None:
    """Print the table; nothing here passes or fails."""
    from glueline.studies.bench_day.calibration.calibrated_glue import loads_by_quality
    from glueline.studies.bench_day.calibration.joint_errors import table_width
    from glueline.studies.corner.reuse import Reuse
    from glueline.studies.corner.specimen_file import read_specimen
    from glueline.studies.examples import DEMO_CORNERS, example_path
    from glueline.studies.predict.request import Request

    corners = {name: read_specimen(example_path(name)) for name in DEMO_CORNERS}
    loads = {name: loads_by_quality(corner, Request(), Reuse()) for name, corner in corners.items()}
    width = table_width(corners["butt"].glue)
    print(f"Invented: {days} simulated bench days a line, 5 specimens a joint, steps a tenth of the mean.")
    print("Typical error (root mean square of the logarithm, in %) of the load of the joint left out, with")
    print("the nominal glue and with the calibrated one; how often the 95 % limits hold the hidden quality,")
    print("and how often a prediction is off by no more than it is said to be.")
    with ProcessPoolExecutor(2) as workers:
        for text in workers.map(_table, WORLDS, *([each] * len(WORLDS) for each in (loads, days, width))):
            print(text, flush=True)


def _table(world: World, loads: Mapping[str, Array], days: int, width: float) -> str:
    """Every joint left out in one world."""
    lines = [
        f"\n{world.words}: quality {100 * world.quality:.0f} % (log deviation {world.quality_spread:g}), "
        f"model error {world.model_error:g}, specimens {world.scatter:g}",
        "left out        calibrated by     nominal  calibrated  gain  limits hold  load holds  unsettled",
    ]
    found: dict[str, list[Outcome]] = {}
    for seed, name in enumerate(loads):
        others = [other for other in loads if other != name]
        ways = {"three others": others} | ({"butt alone": ["butt"]} if name != "butt" else {})
        for words, using in ways.items():
            found.setdefault(words, []).append(left_out(loads, name, using, world, days, seed, width))
            lines.append(_line(name, words, found[words][-1]))
    return "\n".join([*lines, *(_line("mean", words, _mean(each)) for words, each in found.items())])


def _line(name: str, words: str, found: Outcome) -> str:
    gain = found.nominal - found.calibrated
    return (
        f"{name:15s} {words:16s} {100 * found.nominal:7.1f}  {100 * found.calibrated:10.1f}  "
        f"{100 * gain:+5.1f}  {100 * found.covered:8.0f} %  {100 * found.load_covered:8.0f} %  "
        f"{found.unsettled:8d}"
    )


def _mean(outcomes: Sequence[Outcome]) -> Outcome:
    """Outcomes of several lines: means, and how many days were not settled in all."""
    means = (
        float(np.mean([getattr(each, name) for each in outcomes]))
        for name in ("nominal", "calibrated", "covered", "load_covered")
    )
    return Outcome(*means, sum(each.unsettled for each in outcomes))


if __name__ == "__main__":
    main()
