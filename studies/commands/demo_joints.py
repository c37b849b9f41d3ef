"""glueline demo --all-joints: every kind of joint on the boards of an invented chest, and of its door."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import active_children, get_context
from typing import TYPE_CHECKING

from glueline.studies.files.failures import ComputationError
from glueline.studies.files.output import directory_for_results
from glueline.studies.files.units import Units
from glueline.studies.predict.request import Request
from glueline.studies.rank.entries import rank_entry
from glueline.studies.rank.write_ranking import Ranking
from glueline.studies.sweeps.worker import prepare_worker

if TYPE_CHECKING:
    from glueline.studies.rank.every_kind import KindEntry
    from glueline.studies.rank.kinds_ranking import KindsRanking

LISTS = {
    "box": ("butt", "Corners of a box: an invented hard-maple tool chest of a community workshop"),
    "frame": ("half_lap", "Corners of a frame: the invented door of that chest"),
}
"""By lay: the example whose boards are taken, and the heading of its list."""

WORKERS = 2


def demonstrate_joints(out: str | os.PathLike[str], units: Units, request: Request | None = None) -> int:
    """Predict every kind in box and frame, without bands by default, and draw both rankings below ``out``."""
    from glueline.studies.corner.specimen_file import read_specimen
    from glueline.studies.examples import example_path
    from glueline.studies.files.bar import terminal_bar
    from glueline.studies.rank.every_kind import every_kind
    from glueline.studies.rank.kinds_ranking import KindsRanking, kinds_file
    from glueline.studies.rank.kinds_text import kinds_text
    from glueline.studies.rank.ranking import glue_labels
    from glueline.studies.rank.write_ranking import (
        BANDS_PICTURE,
        MAPS_PICTURE,
        check_ranking_place,
        write_ranking,
    )

    for lay in LISTS:
        check_ranking_place(os.path.join(out, lay))
    asked = request or Request(band=False)
    with directory_for_results(out) as folder:
        with _workers() as pool:
            kinds: dict[str, KindsRanking] = {}
            running: dict[str, list[tuple[KindEntry, Future[Ranking]]]] = {}
            for lay, (example, _) in LISTS.items():
                own = read_specimen(example_path(example))
                entries, others = every_kind(own, glue_labels([own.glue])[0])
                kinds[lay] = KindsRanking(not_compared=others)
                running[lay] = [(entry, pool.submit(_ranked, entry, asked)) for entry in entries]
            total = sum(len(each) for each in running.values())
            with terminal_bar(total=total, desc="corners", unit="corner") as bar:
                rankings = {
                    lay: _gathered(found, kinds[lay], asked, bar.update) for lay, found in running.items()
                }
        for lay, (_, heading) in LISTS.items():
            ranking = rankings[lay]
            with directory_for_results(folder / lay) as target:
                write_ranking(ranking, target, units, kinds_file(kinds[lay], ranking.corners))
            print(f"{heading}\n\n{kinds_text(kinds[lay], ranking.corners, units)}\n")
    for lay in LISTS:
        print(f"in pictures: {folder / lay / BANDS_PICTURE} and {folder / lay / MAPS_PICTURE}")
    return 0


@contextmanager
def _workers() -> Iterator[Executor]:
    """Processes that end with this one, however it ends, and at once where something is raised."""
    spawn, others = get_context("spawn"), active_children()
    with ProcessPoolExecutor(WORKERS, mp_context=spawn, initializer=prepare_worker) as pool:
        try:
            yield pool
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            for child in active_children():
                if child not in others:
                    child.terminate()
            raise


def _ranked(entry: KindEntry, request: Request) -> Ranking:
    """A ranking of one corner. Raises ComputationError."""
    ranking = Ranking(request)
    rank_entry(entry, ranking, True)
    return ranking


def _gathered(
    found: list[tuple[KindEntry, Future[Ranking]]],
    kinds: KindsRanking,
    request: Request,
    done: Callable[[], object],
) -> Ranking:
    """One ranking of all corners, in their order; what cannot be computed is listed with the reason."""
    from glueline.studies.rank.every_kind import NotCompared

    whole = Ranking(request)
    for entry, future in found:
        try:
            one = future.result()
        except ComputationError as error:
            kinds.not_compared.append(NotCompared(kind=entry.label, why=str(error)))
        else:
            whole.corners += one.corners
            whole.fields += one.fields
            whole.records += one.records
            kinds.entries.append(entry)
        done()
    return whole
