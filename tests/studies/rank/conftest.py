"""What the tests of rankings share."""

from __future__ import annotations

import pytest

from glueline import predict
from glueline.studies.rank.ranking import ranked_corner
from glueline.studies.rank.ranking_maps import corner_field
from tests.studies.corners import JOINTS, specimen
from tests.studies.rank.ranked_corners import Made


@pytest.fixture(scope="session")
def made() -> dict[str, Made]:
    """The four joints, elastic, as a ranking keeps them."""
    found = {}
    for kind in JOINTS:
        answer = predict(specimen(kind), method="elastic")
        found[kind] = ranked_corner(kind, f"{kind}.toml", answer.answer), corner_field(answer, kind)
    return found
