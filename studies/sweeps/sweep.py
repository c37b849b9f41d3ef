"""A sweep: every point computed once, kept as soon as it is done, and carried on where it was left."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import asdict

from glueline.fem.solve import SOLVER
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import InputError
from glueline.studies.predict.request import Request
from glueline.studies.show.record import specimen_tables
from glueline.studies.sweeps.cluster import cluster_lanes
from glueline.studies.sweeps.lanes import Lane, process_lanes
from glueline.studies.sweeps.points import Point, fingerprint, same_corner
from glueline.studies.sweeps.schedule import computed
from glueline.studies.sweeps.store import Asked, SweepStore
from glueline.studies.sweeps.vary import Varied
from glueline.studies.sweeps.version import glueline_version
from glueline.studies.sweeps.worker import Computed

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

    A point that cannot be computed is kept with its reason. Raises ComputationError where nothing more can be
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
            _compute(specimens, request, store, lanes, progress)
    finally:
        if store.finished:
            store.write_table()


def _compute(
    specimens: Mapping[int, Specimen],
    request: Request,
    store: SweepStore,
    lanes: Sequence[Lane],
    progress: Callable[[], object],
) -> None:
    keys = {number: same_corner(specimen) for number, specimen in specimens.items()}
    for number, result in computed(specimens, keys, request, lanes):
        store.add(number, result)
        progress()
