"""Rigs and expected loads that tests of the plan use; nothing here is measured."""

from __future__ import annotations

import math

from glueline.studies.bench_day.expected import Expected, KeptAnswer, expected
from glueline.studies.bench_day.plan.plan import Plan, Wishes, make_plan
from glueline.studies.bench_day.plan.power import replicates_for_pair
from glueline.studies.bench_day.rig.rig import Rig, direct_line
from glueline.studies.corner.arrangements import DIAGONAL_COMPRESSION
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.scatter.lognormal import LognormalLoad
from tests.studies.made_up_answers import made_up


def rig(preload: float = 0.0, weight_error: float = 0.0) -> Rig:
    line = direct_line(preload, weight_error)
    return Rig("hung weight", DIAGONAL_COMPRESSION, line, line)


def of(label: str, load: float, cov: float, joint: str = "butt") -> Expected:
    kept = KeptAnswer(answer=made_up(load), material_cov=cov)
    return expected(label, read_specimen(str(example_path(joint))), kept)


def day() -> Plan:
    found = [of("butt", 460.0, 0.3), of("<b>&mitre", 1290.0, 0.25, "mitre")]
    return make_plan(found, rig(50.0), Wishes())


def needed(effect: float, significance: float, power: float) -> int | None:
    first, second = LognormalLoad(math.exp(effect), 1.0), LognormalLoad(1.0, 1.0)
    return replicates_for_pair(first, second, significance=significance, power=power, most=10_000)
