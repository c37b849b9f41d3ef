"""The packaged example corners."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

DEMO_CORNERS = ("butt", "mitre", "finger", "splined_mitre")
"""The examples of the demo, in its order."""

EXAMPLES = (
    *DEMO_CORNERS,
    "half_lap",
    "bridle",
    "mortise_and_tenon",
    "rebate",
    "dovetail",
    "loose_tenon",
    "dowel",
    "pocket_screw",
    "slot_fitting",
)
"""The examples by name."""

BENCH_DAY_FILES = ("bench_rig.toml", "bench_log.csv")
"""An invented rig and an invented log of a bench day with the corners of the demo."""


def example_path(name: str) -> Path:
    """The file of an example. Raises KeyError for a name that is not one of EXAMPLES.

    >>> example_path("splined_mitre").name
    'splined_mitre.toml'
    """
    if name not in EXAMPLES:
        raise KeyError(f"{name!r} is not an example; there are {', '.join(EXAMPLES)}")
    return Path(str(files("glueline.studies.examples") / f"{name}.toml"))


def bench_day_path(name: str) -> Path:
    """One of BENCH_DAY_FILES. Raises KeyError for a name that is not."""
    if name not in BENCH_DAY_FILES:
        raise KeyError(f"{name!r} is not of the bench day; there are {', '.join(BENCH_DAY_FILES)}")
    return Path(str(files("glueline.studies.examples") / name))
