"""What calibrating a glue by some joints does for the joint left out: gain or loss, as it is.

Logs are simulated, everything in them invented: a hidden quality of the glue, an error of the prediction
for each joint that the fit does not know, specimens that scatter, loads in steps of a tenth of the mean. The
joint left out is then predicted with the nominal glue and with the calibrated one.

By hand: python -m tests.benchmarks.calibration > tests/benchmarks/calibration.txt
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.bench_day.calibration.calibration import Intervals, calibrate, load_curve

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
    """Root mean square errors of the logarithm of the load left out; how often the limits hold."""

    nominal: float
    calibrated: float
    covered: float
    unsettled: int


def broken(rng: np.random.Generator, mean: float, world: World) -> tuple[Array, Array]:
    """Intervals of one joint's specimens, lower and upper bounds in N."""
    s = world.scatter
    loads = mean * np.exp(rng.normal(size=world.specimens) * s - s**2 / 2)
    step = STEP * mean
    lower = np.floor(loads / step) * step
    return lower, lower + step


def left_out(
    loads: Mapping[str, Array], name: str, using: Sequence[str], world: World, days: int, seed: int
) -> Outcome:
    """Simulate ``days`` logs, calibrate by ``using`` and predict ``name``; ``loads`` by quality, in N."""
    rng = np.random.default_rng(seed)
    curves: dict[str, Callable[[Array], Array]] = {joint: load_curve(each) for joint, each in loads.items()}
    nominal, calibrated, covered, unsettled = [], [], 0, 0
    for _ in range(days):
        quality = np.clip(world.quality * np.exp(rng.normal() * world.quality_spread), 0.1, 1.9)
        error = {joint: rng.normal() * world.model_error for joint in loads}
        true = {joint: float(curves[joint](np.log([quality]))[0]) + error[joint] for joint in loads}
        groups = [Intervals(*broken(rng, np.exp(true[joint]), world), loads[joint]) for joint in using]
        found = calibrate(groups)
        nominal.append(float(curves[name](np.zeros(1))[0]) - true[name])
        if found.quality is None or found.interval is None:
            unsettled += 1
            calibrated.append(nominal[-1])
            continue
        calibrated.append(float(curves[name](np.log([found.quality]))[0]) - true[name])
        low, high = found.interval
        covered += (low is None or low <= quality) and (high is None or quality <= high)
    settled = max(days - unsettled, 1)
    return Outcome(_rms(nominal), _rms(calibrated), covered / settled, unsettled)


def _rms(errors: Sequence[float]) -> float:
    return float(np.sqrt(np.mean(np.square(errors))))


def main(days: int = 200) -> None:
    """Print the table; nothing here passes or fails."""
    from glueline.studies.bench_day.calibration.calibrated_glue import loads_by_quality
    from glueline.studies.corner.reuse import Reuse
    from glueline.studies.corner.specimen_file import read_specimen
    from glueline.studies.examples import EXAMPLES, example_path
    from glueline.studies.predict.request import Request

    loads = {
        name: loads_by_quality(read_specimen(example_path(name)), Request(), Reuse()) for name in EXAMPLES
    }
    print(f"Invented: {days} simulated bench days a line, 5 specimens a joint, steps a tenth of the mean.")
    print("Typical error (root mean square of the logarithm, in %) of the load of the joint left out, with")
    print("the nominal glue and with the calibrated one; how often the 95 % limits hold the hidden quality.")
    for world in WORLDS:
        print(
            f"\n{world.words}: quality {100 * world.quality:.0f} % (log deviation {world.quality_spread:g}), "
            f"model error {world.model_error:g}, specimens {world.scatter:g}"
        )
        print("left out        calibrated by     nominal  calibrated  gain   limits hold  not settled")
        for seed, name in enumerate(EXAMPLES):
            others = [other for other in EXAMPLES if other != name]
            ways = {"three others": others} | ({"butt alone": ["butt"]} if name != "butt" else {})
            for words, using in ways.items():
                found = left_out(loads, name, using, world, days, seed)
                gain = found.nominal - found.calibrated
                print(
                    f"{name:15s} {words:16s} {100 * found.nominal:7.1f}  {100 * found.calibrated:10.1f}  "
                    f"{100 * gain:+5.1f}  {100 * found.covered:8.0f} %  {found.unsettled:8d}"
                )


if __name__ == "__main__":
    main()
