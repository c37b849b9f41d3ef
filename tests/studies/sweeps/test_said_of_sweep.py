"""What is said aloud of a sweep, from made-up points."""

from __future__ import annotations

from glueline.studies.predict.said_aloud import FORCES_MEANT, TREAT_AS_BROKEN, sentence_aloud
from glueline.studies.sweeps.rows import FinishedPoint, finished
from glueline.studies.sweeps.said_of_sweep import said_of_sweep, stand_clear_words
from glueline.studies.sweeps.tables import sweep_table
from glueline.studies.sweeps.worker import Computed
from tests.studies.made_up_answers import made_up


def point(number: int, load: float | None, band: tuple[float, float] | None = None) -> FinishedPoint:
    """A point with its number as its splines; without a load it failed."""
    computed = Computed(None, "a reason") if load is None else Computed(made_up(load, band=band, ranges={}))
    return finished(number, {"joint.splines": str(number)}, computed)


WEAK, MIDDLE, STRONG = (point(1, 500.0, (400, 700)), point(2, 800.0, (600, 900)), point(3, 900.0, (700, 999)))


def test_the_strongest_and_the_weakest_point_come_first_in_the_table() -> None:
    said = said_of_sweep([WEAK, STRONG, MIDDLE, point(4, None)], "metric")
    assert said[0].startswith("strongest, joint.splines = 3: Stand clear from 700 N (force on the joint): it")
    assert said[1].startswith("weakest, joint.splines = 1: Stand clear from 400 N (force on the joint): it")
    assert said[-2:] == [TREAT_AS_BROKEN, FORCES_MEANT]
    text = sweep_table(["joint.splines"], [WEAK, STRONG, MIDDLE], "metric", 60)
    assert text.splitlines()[:2] == said[:2]
    assert stand_clear_words([WEAK, STRONG, MIDDLE], "imperial") == (
        # 700 N are 157.4 lbf, 400 N 89.9 lbf, both down to a step.
        "Stand clear from 155 lbf at the strongest (3) and 89 lbf at the weakest (1); forces on the joint."
    )


def test_one_that_may_give_before_the_weakest_is_named() -> None:
    early = point(7, 600.0, (300, 1200))
    said = said_of_sweep([WEAK, STRONG, early], "metric")
    assert said[2].startswith("earliest to stand clear of, joint.splines = 7: Stand clear from 300 N")
    assert "300 N at the earliest to stand clear of (7)" in stand_clear_words([WEAK, STRONG, early], "metric")


def test_one_answer_is_said_as_predict_says_it_and_none_not_at_all() -> None:
    assert WEAK.answer is not None
    assert said_of_sweep([WEAK, point(4, None)], "metric")[0] == sentence_aloud(WEAK.answer, "metric")
    assert stand_clear_words([WEAK], "metric") == "Stand clear from 400 N (force on the joint)."
    assert said_of_sweep([point(4, None)], "metric") == []
    assert sweep_table(["joint.splines"], [point(4, None)], "metric", 60).startswith("failed: joint.splines")
