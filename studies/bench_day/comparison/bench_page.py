"""What bench has to say on a page: everything of the day."""

from __future__ import annotations

from collections.abc import Sequence

from glueline.studies.bench_day.comparison.bench_report import (
    PARITY_PICTURE,
    RANKING_PICTURE,
    about_bench,
    how_estimated,
    joint_rows,
    remarks_of,
    strongest_measured,
)
from glueline.studies.bench_day.comparison.bench_words import crack_words, order_words, prediction_words
from glueline.studies.bench_day.comparison.comparison import Comparison
from glueline.studies.bench_day.comparison.said_of_day import said_of_day
from glueline.studies.bench_day.estimates.doubtful_rows import FAR_OFF, doubts
from glueline.studies.bench_day.rig.rig_report import RIG_CAUTIONS
from glueline.studies.files.units import Units, significant
from glueline.studies.show.page_words import PagePart, PagePicture, PageWords, table_of

PICTURES = {
    RANKING_PICTURE: "What was measured, strongest first, beside what was predicted.",
    PARITY_PICTURE: "Measured against predicted: on the line they are the same.",
}
DOUBTED = 200


def bench_page(comparison: Comparison, units: Units, photos: Sequence[PagePart]) -> PageWords:
    """The sentence of every joint, what the data support, pictures, tables, doubtful rows, photos, notes."""
    joints = strongest_measured(comparison)
    pictures = [name for name in PICTURES if comparison.method or name != PARITY_PICTURE]
    days = comparison.days
    words, count = said_of_day(comparison, units), len(joints)
    parts = [
        PagePart(
            heading="Measured and predicted",
            pictures=tuple(PagePicture(name, PICTURES[name]) for name in pictures),
            tables=(table_of(joint_rows(joints, units)),),
            sentences=tuple(words[count:]),
            listed=(how_estimated(),),
        ),
        PagePart(
            heading="How the prediction did",
            sentences=(*prediction_words(comparison), *crack_words(joints, units)),
        ),
        PagePart(heading="Rows to look at again", sentences=tuple(_doubtful(comparison))),
        *([] if days is None else [PagePart(heading="Whether the days differ", sentences=(days.words,))]),
        *photos,
        PagePart(heading="Remarks and notes", listed=tuple(remarks_of(comparison, units))),
    ]
    return PageWords(
        title="A day at the bench",
        about=about_bench(comparison),
        said=(*words[:count], *order_words(comparison)),
        parts=tuple(each for each in parts if each.sentences or each.pictures or each.listed),
        cautions=tuple(f"{line.rstrip('.')}." for line in RIG_CAUTIONS.replace("\n", " ").split(". ")),
    )


def _doubtful(comparison: Comparison) -> list[str]:
    """Every doubtful row with what is doubted, or that there is none."""
    found = doubts(comparison.log, comparison.doubtful, DOUBTED)
    if not found:
        return [f"No row is more than {significant(FAR_OFF, 2)} times off its own kind or the prediction."]
    return [f"{line.removeprefix('warning: ').rstrip('.')}." for line in found]
