"""Which orders of a ranking hold whatever can be believed of the judged values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, groupby, product
from typing import Literal

from msgspec import Struct

from glueline.studies.files.json_text import Number
from glueline.studies.files.words import all_of, one_of
from glueline.studies.predict.answer import Answer, JudgedRow
from glueline.studies.rank.ranking import RankedCorner, strongest_first
from glueline.studies.show.range_words import JUDGED_GLUE

End = Literal["weak", "strong"]
ENDS: tuple[End, End] = ("weak", "strong")


class RowEnd(Struct, frozen=True, kw_only=True):
    """A judged row at one end of what can be believed of it; of one corner, or of both where that is None."""

    row: JudgedRow
    end: End
    corner: str | None = None


class OrderOverRanges(Struct, frozen=True, kw_only=True):
    """Two corners by label, the stronger first, and whether their order ``holds`` at all ends of all ranges.

    ``ratio`` is the stronger's break load over the weaker's, ``least_ratio`` the least of it over the ends,
    None like ``holds`` where a corner has no ranges. ``turned_by`` lists the ends at which the order does not
    hold: of one glue each that does so alone, of two glues those that together do so most.
    """

    stronger: str
    weaker: str
    ratio: Number
    least_ratio: Number | None
    holds: bool | None
    turned_by: tuple[RowEnd, ...] = ()


def orders_over_ranges(corners: Sequence[RankedCorner]) -> tuple[OrderOverRanges, ...]:
    """Every pair of corners, the strongest first.

    Corners of one glue stand at the same end of the same row, since it is one judgement; a row that one does
    not use leaves that one as it is. Of two glues each may be at any end, whatever the other.
    """
    return tuple(_order(high, low) for high, low in combinations(strongest_first(corners), 2))


def _order(high: RankedCorner, low: RankedCorner) -> OrderOverRanges:
    ratio = high.break_load / low.break_load
    if high.ranges is None or low.ranges is None:
        return OrderOverRanges(
            stronger=high.label, weaker=low.label, ratio=ratio, least_ratio=None, holds=None
        )
    if high.glue == low.glue:
        ratios = dict(_of_one_glue(high, low))
        turned = tuple(end for end, each in ratios.items() if each <= 1.0)
    else:
        by_ends = dict(_of_two_glues(high, low))
        worst = min(by_ends, key=lambda ends: by_ends[ends])
        ratios = {end: by_ends[worst] for end in worst}
        turned = worst if by_ends[worst] <= 1.0 else ()
    least = min([ratio, *ratios.values()])
    return OrderOverRanges(
        stronger=high.label,
        weaker=low.label,
        ratio=ratio,
        least_ratio=least,
        holds=least > 1.0,
        turned_by=turned,
    )


def _loads(answer: Answer) -> Mapping[JudgedRow, tuple[float, float]]:
    return answer.ranges or {}


def _of_one_glue(high: RankedCorner, low: RankedCorner) -> Iterator[tuple[RowEnd, float]]:
    """Ratio of their loads at each end of each row that either uses."""
    for row in dict.fromkeys([*(high.ranges or {}), *(low.ranges or {})]):
        for at, end in enumerate(ENDS):
            first, second = (
                _loads(each).get(row, (each.break_load, each.break_load))[at] for each in (high, low)
            )
            yield RowEnd(row=row, end=end), first / max(second, 1e-300)


def _of_two_glues(high: RankedCorner, low: RankedCorner) -> Iterator[tuple[tuple[RowEnd, ...], float]]:
    """Ratio of their loads with each as it is or at an end of its own, whatever the other."""
    for (first_ends, first), (second_ends, second) in product(_alone(high), _alone(low)):
        yield (*first_ends, *second_ends), first / max(second, 1e-300)


def _alone(corner: RankedCorner) -> list[tuple[tuple[RowEnd, ...], float]]:
    states: list[tuple[tuple[RowEnd, ...], float]] = [((), corner.break_load)]
    for row, pair in (corner.ranges or {}).items():
        for end, load in zip(ENDS, pair, strict=True):
            states.append(((RowEnd(row=row, end=end, corner=corner.label),), load))
    return states


def range_order_words(corners: Sequence[RankedCorner]) -> tuple[str, ...]:
    """In sentences, which orders hold at every end of the judged values and what turns the others."""
    orders = orders_over_ranges(corners)
    known = [order for order in orders if order.holds is not None]
    if not known:
        return ()
    without = [corner.label for corner in strongest_first(corners) if corner.ranges is None]
    words = []
    if without:
        words.append(
            f"What the judged values leave open is not known for {all_of(without)}: no order with "
            f"{'it' if len(without) == 1 else 'them'} is judged so."
        )
    if all(order.holds for order in known):
        among = "other order" if without else "order"
        return (*words, f"Every {among} holds at both ends of each judged value, one moved at a time.")
    held = [
        f"{stronger} above {all_of([order.weaker for order in group])}"
        for stronger, group in groupby([each for each in known if each.holds], lambda each: each.stronger)
    ]
    turned = [
        f"{order.stronger} above {order.weaker}, but not with {_ends_in_words(order.turned_by)}"
        for order in known
        if order.turned_by
    ]
    if held:
        words.append(f"At both ends of each judged value, one moved at a time: {'; '.join(held)}.")
    if turned:
        words.append(f"Rests on judged values: {'; '.join(turned)}.")
    return tuple(words)


def _ends_in_words(ends: Sequence[RowEnd]) -> str:
    named = [
        f"{end.end} {JUDGED_GLUE[end.row]}" + ("" if end.corner is None else f" in {end.corner}")
        for end in ends
    ]
    return all_of(named) if any(end.corner for end in ends) else one_of(named)
