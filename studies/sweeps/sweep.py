"""A sweep: every point computed once, kept as soon as it is done, and carried on where it was left."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import asdict

from glueline.fem.solve import SOLVER
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError, InputError
from glueline.studies.files.words import counted
from glueline.studies.predict.request import Request
from glueline.studies.show.record import specimen_tables
from glueline.studies.sweeps.cluster import cluster_lanes
from glueline.studies.sweeps.lanes import Lane, process_lanes
from glueline.studies.sweeps.points import Point, fingerprint, same_corner
from glueline.studies.sweeps.schedule import computed
from glueline.studies.sweeps.store import Asked, SweepStore
from glueline.studies.sweeps.vary import Varied
from glueline.studies.sweeps.version import glueline_version
from glueline.studies.sweeps.worker import Computed, Lost

Lanes = Callable[[int], AbstractContextManager[Sequence[Lane]]]
"""Opens lanes for that many points."""


def described(points: Sequence[Point], varied: Sequence[Varied], request: Request) -> Asked:
    """A sweep as its directory keeps it."""
    keys = [each.key for each in varied]
    example = next(point.specimen for point in points if point.specimen is not None)
    tables = {
        table: {name: value for name, value in values.items() if f"{table}.{name}" not in keys}
        for table, values in specimen_tables(example).items()
    }
    return Asked(
        **asdict(request),
        glueline_version=glueline_version(),
        specimen=tables,
        vary={each.key: list(each.values) for each in varied},
        solver=SOLVER,
        points=len(points),
        fingerprint=fingerprint(points),
    )


def checked(points: Sequence[Point], request: Request) -> None:
    """Raises InputError where the request fits not one point."""
    refused = []
    for point in points:
        if point.specimen is None:
            continue
        try:
            request.check(point.specimen)
        except InputError as error:
            refused.append(error)
        else:
            return
    raise refused[0]


def lanes_for(workers: int, cluster: str | None) -> Lanes:
    """Opens the workers of the scheduler at ``cluster``, or at most ``workers`` processes here."""
    if cluster is not None:
        address = cluster
        return lambda _: cluster_lanes(address)
    return lambda points: process_lanes(min(workers, points))


def sweep(
    points: Sequence[Point],
    request: Request,
    store: SweepStore,
    open_lanes: Lanes,
    progress: Callable[[], object] = lambda: None,
) -> None:
    """Compute every point that the store does not hold yet; ``progress`` is called after each.

    A point that cannot be computed is kept with its reason. One whose worker was lost is not, so that the
    next run computes it. Raises ComputationError where there are such points, and where nothing more can be
    computed at all; what is done by then is kept.
    """
    left = [point for point in points if point.number not in store.finished]
    specimens = {point.number: point.specimen for point in left if point.specimen is not None}
    try:
        with open_lanes(len(specimens)) if specimens else nullcontext([]) as lanes:
            for point in left:
                if point.specimen is None:
                    store.add(point.number, Computed(None, point.error))
                    progress()
            lost = _compute(specimens, request, store, lanes, progress)
    finally:
        if store.finished:
            store.write_table()
    if lost:
        raise _still_open(lost, points)
    store.put_in_order()


def _compute(
    specimens: Mapping[int, Specimen],
    request: Request,
    store: SweepStore,
    lanes: Sequence[Lane],
    progress: Callable[[], object],
) -> dict[int, str]:
    """Adds every result to the store; why each of the points has none that has none, by number."""
    keys = {number: same_corner(specimen) for number, specimen in specimens.items()}
    lost = {}
    for number, result in computed(specimens, keys, request, lanes):
        if isinstance(result, Lost):
            lost[number] = result.reason
            continue
        store.add(number, result)
        progress()
    return lost


def _still_open(lost: Mapping[int, str], points: Sequence[Point]) -> ComputationError:
    """What to say of points without a result, and why each has none, by number."""
    number, reason = min(lost.items())
    values = next(point.values for point in points if point.number == number)
    such = ", ".join(f"{key} = {value}" for key, value in values.items())
    are = "is" if len(lost) == 1 else "are"
    return ComputationError(
        "the sweep",
        f"{counted(len(lost), 'point')} of {len(points)} {are} still open, such as {such}: {reason}",
        "run the same command again, with fewer --workers where memory ran out; what is finished is kept",
    )
