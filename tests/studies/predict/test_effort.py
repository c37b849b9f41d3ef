"""No change makes the paths of the example corners take a tenth more than they did."""

from __future__ import annotations

from dataclasses import asdict

import pytest

from glueline.studies.examples import EXAMPLES
from tests.studies.predict.effort import effort_of, kept_efforts

GROWTH = 1.1


def test_every_example_is_kept() -> None:
    assert set(kept_efforts()) == set(EXAMPLES)


@pytest.mark.slow
@pytest.mark.parametrize("example", EXAMPLES)
def test_a_corner_takes_no_more_than_it_did(example: str) -> None:
    """States, solves and factorisations of the corner alone and of all paths of its band."""
    before, now = asdict(kept_efforts()[example]), asdict(effort_of(example))
    grown = {
        name: (before[name], count)
        for name, count in now.items()
        if name != "corner" and count > GROWTH * before[name]
    }
    assert not grown, f"{example}, before and now: {grown}; if wanted: python -m tests.studies.predict.effort"
