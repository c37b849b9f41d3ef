"""What a file says of the workmanship of a glue that is not there: nothing, and it is told so."""

from __future__ import annotations

import pytest

from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.predictor import predict


def elastic(*changes: tuple[str, str]) -> Answer:
    """Pocket screws without glue."""
    dry = read_specimen(example_path("pocket_screw"), [("glue.kind", "none"), *changes])
    return predict(dry, method="elastic").answer


@pytest.mark.parametrize(
    "change",
    [("glue.gap", "0.2 mm"), ("glue.quality", "50 %"), ("glue.surfaces.butt face.coverage", "50 %")],
    ids=["gap", "quality", "surface"],
)
def test_workmanship_of_a_glue_that_is_not_there_is_said_to_change_nothing(change: tuple[str, str]) -> None:
    dry = elastic()
    worked = elastic(change)
    said = "Without glue its quality, gap, coverage and end grain change nothing."
    assert said in worked.warnings
    assert said not in dry.warnings
    assert worked.break_load == dry.break_load
