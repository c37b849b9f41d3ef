"""Which orders another count would turn: one finger, dowel or tail more or less."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from msgspec import Struct, field

from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError, InputError
from glueline.studies.files.json_text import Count, Positive
from glueline.studies.files.key_changes import joint_fields
from glueline.studies.predict.predictor import predict_request
from glueline.studies.predict.request import Request
from glueline.studies.rank.every_kind import KindEntry, with_count
from glueline.studies.rank.ranking import RankedCorner

EQUAL = 0.005
"""Loads that differ by less, as a share, are taken as equal: meshes of two kinds differ by as much."""


class OtherCount(Struct, frozen=True, kw_only=True):
    """A kind with one more or one less of what it counts, all else as it was or filled in anew.

    ``turns`` are the kinds whose order with it is then another; without a break load ``why_not`` says why
    there is none.
    """

    kind: str
    key: str
    label: str
    count: Count
    usual_count: Count
    break_load: Positive | None = field(name="break_load_N")
    turns: tuple[str, ...] = ()
    why_not: str | None = None


@dataclass(frozen=True)
class CountToTry:
    """Another count of a kind, and the words for it."""

    entry: KindEntry
    key: str
    label: str
    count: int
    usual_count: int


def counts_to_try(entries: Sequence[KindEntry]) -> list[CountToTry]:
    """One less and one more of everything that these corners count."""
    return [each for entry in entries for each in _of_entry(entry)]


def _of_entry(entry: KindEntry) -> Iterator[CountToTry]:
    kind, boards = entry.specimen.joint_kind, entry.specimen.boards
    filled = kind.filled(entry.specimen.joint, boards)
    for key, about in joint_fields(kind).items():
        usual = getattr(filled, key)
        if about["quantity"] == "count" and usual is not None:
            for count in (usual - 1, usual + 1):
                if count >= about.get("least", 1):
                    yield CountToTry(entry, key, about["label"], count, usual)


def other_count(tried: CountToTry, request: Request, corners: Sequence[RankedCorner]) -> OtherCount:
    """Predict a kind with that count, without its band, and compare it with all other corners."""
    found, why = _load(tried, replace(request, band=False))
    own = next(corner for corner in corners if corner.label == tried.entry.label)
    return OtherCount(
        kind=own.label,
        key=tried.key,
        label=tried.label,
        count=tried.count,
        usual_count=tried.usual_count,
        break_load=found,
        turns=() if found is None else turned_orders(own, found, corners),
        why_not=why,
    )


def _load(tried: CountToTry, request: Request) -> tuple[float | None, str | None]:
    try:
        specimen: Specimen = with_count(tried.entry.specimen, tried.key, tried.count)
        return predict_request(specimen, request).break_load, None
    except InputError as error:
        return None, "; ".join(problem.message for problem in error.problems)
    except ComputationError as error:
        return None, str(error)


def turned_orders(own: RankedCorner, load: float, corners: Sequence[RankedCorner]) -> tuple[str, ...]:
    """The corners that ``own`` would pass, or that would pass it, if it broke at ``load`` in N instead.

    One that comes out equal is not passed.
    """
    return tuple(
        other.label
        for other in corners
        if own.break_load > other.break_load > (1 + EQUAL) * load
        or own.break_load < other.break_load < load / (1 + EQUAL)
    )


def other_counts(
    tried: Sequence[CountToTry],
    request: Request,
    corners: Sequence[RankedCorner],
    done: Callable[[], object] = lambda: None,
) -> tuple[OtherCount, ...]:
    """All of them in turn; ``done`` is called after each."""
    found = []
    for each in tried:
        found.append(other_count(each, request, corners))
        done()
    return tuple(found)
