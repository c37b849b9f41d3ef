"""The corners that a ranking is made of, and one after the other predicted into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.predictor import predict_request
from glueline.studies.rank.ranking import corner_labels, glue_labels, labels_of, ranked_corner
from glueline.studies.rank.ranking_maps import corner_field
from glueline.studies.rank.write_ranking import Ranking
from glueline.studies.show.record import recorded_corner, writable


@dataclass(frozen=True)
class Entry:
    """A corner to be ranked; ``name`` is its label where its load is said beside it."""

    label: str
    name: str
    file: str
    specimen: Specimen
    glue: str


def entries_of(files: Sequence[str], specimens: Sequence[Specimen]) -> list[Entry]:
    """A corner for each file."""
    labels = corner_labels(files, [specimen.arrangement.name for specimen in specimens])
    glues = glue_labels([specimen.glue for specimen in specimens])
    return [Entry(*each) for each in zip(labels, labels_of(files), files, specimens, glues, strict=True)]


def rank_entry(entry: Entry, ranking: Ranking, pictured: bool) -> None:
    """Predict a corner into the ranking; what pictures and record need only where it is ``pictured``.

    Raises ComputationError, which says of which corner.
    """
    try:
        prediction = predict_request(entry.specimen, ranking.request)
    except ComputationError as error:
        raise ComputationError(f"{entry.label}: {error.step}", error.reason, error.remedy) from error
    answer = ranked_corner(entry.label, writable(entry.file), prediction.answer, entry.glue)
    ranking.corners.append(answer)
    if pictured:
        # A prediction holds its factors; what the picture and the record need is little.
        ranking.fields.append(corner_field(prediction, entry.name))
        ranking.records.append(recorded_corner(prediction.corner, entry.label, entry.file))
