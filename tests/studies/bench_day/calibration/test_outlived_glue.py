"""Calibration by corners whose screws and fittings outlive the glue: what each failure says of it."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from glueline.studies.bench_day.calibration.calibrated_glue import (
    Chosen,
    all_remarks,
    calibrated,
    choose,
    groups_of,
)
from glueline.studies.bench_day.calibration.calibration import QUALITIES, Calibration
from glueline.studies.bench_day.log.log_file import BenchLog, Break
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path

CURVE = 500 * np.array(QUALITIES) ** 0.8  # an invented joint of 500 N


def row(lower: float, upper: float, failure: str, cracked: float | None = None) -> Break:
    return Break(2, "x", "a", lower, upper, failure, "", cracked)


def chosen_of(kind: str, *rows: Break) -> Chosen:
    return choose(BenchLog("log.csv", None, rows, ()), ["a"], {"x": read_specimen(example_path(kind))})


@pytest.mark.parametrize("kind", ["pocket_screw", "slot_fitting"])
@pytest.mark.parametrize(
    ("broken", "bounds"),
    [
        # What pulled out at 700 to 750 N had lost its glue before, nobody knows when.
        (row(700.0, 750.0, "fastener"), (0.0, 750.0)),
        # The crack at 450 N was the glue's; steps of 50 N, so it had held 400 N.
        (row(700.0, 750.0, "fastener", 450.0), (400.0, 450.0)),
        (row(700.0, inf, "", 450.0), (0.0, 450.0)),
        (row(0.0, 750.0, "glue", 450.0), (0.0, 450.0)),
        (row(400.0, 450.0, "glue"), (400.0, 450.0)),
        (row(400.0, 450.0, "both"), (400.0, 450.0)),
    ],
)
def test_what_outlives_the_glue(kind: str, broken: Break, bounds: tuple[float, float]) -> None:
    (group,) = groups_of(chosen_of(kind, broken), {"x": CURVE})
    assert (*group.lower, *group.upper) == bounds


def test_a_broken_dowel_says_that_its_glue_held() -> None:
    """A dowel is held by the glue alone, so as for wood: at least what the specimen stood."""
    chosen = chosen_of("dowel", row(700.0, 750.0, "fastener"), row(400.0, 450.0, "glue"))
    (group,) = groups_of(chosen, {"x": CURVE})
    assert group.upper.tolist() == [inf, 450.0]
    remarks = " ".join(all_remarks(chosen, Calibration(0.7, (0.6, 0.8), 0.1, 2, ())))
    assert "1 of 2 failed in the wood or a fastener" in remarks
    assert "outlive" not in remarks


def test_wood_that_fails_beside_screws_is_left_out() -> None:
    """Whether the glue had gone by then nobody noted, so such a specimen does not count."""
    rows = [row(low, low + 20.0, "glue") for low in (280.0, 300.0, 330.0)]
    silent = row(600.0, 650.0, "wood")
    found = calibrated(chosen_of("pocket_screw", *rows, silent), {"x": CURVE})
    assert found == calibrated(chosen_of("pocket_screw", *rows), {"x": CURVE})
    assert found.count == 3
    assert "1 of 4 say nothing of the glue" in " ".join(
        all_remarks(chosen_of("pocket_screw", *rows, silent), found)
    )


def test_a_log_that_says_nothing_of_the_glue_settles_nothing() -> None:
    for failures, said in ((("wood", "wood"), "says anything"), (("fastener", "fastener"), "at most")):
        rows = [row(700.0, 750.0, failure) for failure in failures]
        found = calibrated(chosen_of("pocket_screw", *rows), {"x": CURVE})
        assert found.quality is None
        assert said in found.remarks[0]


def test_first_cracks_calibrate_where_the_fasteners_end_the_test() -> None:
    """Cracks and breaks of the same glue, by the same steps: the same quality as from a butt that lets go."""
    screwed = [row(700.0, 720.0, "fastener", low + 20.0) for low in (280.0, 300.0, 330.0)]
    plain = [row(low, low + 20.0, "glue") for low in (280.0, 300.0, 330.0)]
    by_cracks = calibrated(chosen_of("pocket_screw", *screwed), {"x": CURVE})
    assert by_cracks == calibrated(chosen_of("butt", *plain), {"x": CURVE})
    assert by_cracks.quality is not None
