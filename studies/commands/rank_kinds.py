"""glueline rank --all-kinds: every kind of joint that fits one corner's boards, side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from glueline.studies.files.failures import ComputationError, InputError, InputProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.rank.every_kind import KindEntry
    from glueline.studies.rank.kinds_ranking import KindsRanking
    from glueline.studies.rank.write_ranking import Ranking


def refuse_more_than_one(files: Sequence[str]) -> None:
    """Raises InputError where more than one file is named."""
    if len(files) > 1:
        message = f"takes exactly one FILE, whose boards every kind is put on; {len(files)} are named"
        raise InputError((InputProblem("command line", "--all-kinds", None, message),))


def predict_kinds(own: Specimen, ranking: Ranking, pictured: bool) -> KindsRanking:
    """Every kind that fits predicted into the ranking, then with one more and one less of what it counts.

    A kind whose computation fails is left out with the reason; the file's own raises ComputationError.
    """
    from glueline.studies.files.bar import terminal_bar
    from glueline.studies.rank.count_orders import counts_to_try, other_counts
    from glueline.studies.rank.every_kind import every_kind
    from glueline.studies.rank.kinds_ranking import KindsRanking
    from glueline.studies.rank.ranking import glue_labels

    entries, not_compared = every_kind(own, glue_labels([own.glue])[0])
    kinds = KindsRanking(not_compared=not_compared)
    with terminal_bar(total=len(entries), desc="kinds", unit="kind") as bar:
        for entry in entries:
            bar.set_postfix_str(entry.label)
            _predict(entry, ranking, kinds, pictured)
            bar.update()
    tried = counts_to_try(kinds.entries)
    with terminal_bar(total=len(tried), desc="other counts", unit="corner") as bar:
        kinds.other_counts = other_counts(tried, ranking.request, ranking.corners, bar.update)
    return kinds


def _predict(entry: KindEntry, ranking: Ranking, kinds: KindsRanking, pictured: bool) -> None:
    from glueline.studies.rank.entries import rank_entry
    from glueline.studies.rank.every_kind import NotCompared

    try:
        rank_entry(entry, ranking, pictured)
    except ComputationError as error:
        if entry.as_in_file:
            raise
        kinds.not_compared.append(NotCompared(kind=entry.label, why=str(error)))
    else:
        kinds.entries.append(entry)
