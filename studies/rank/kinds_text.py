"""Every kind of joint on one corner's boards, in words."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from itertools import groupby

from glueline.studies.corner.proportions import said
from glueline.studies.files.columns import aligned
from glueline.studies.files.display import format_force, format_property
from glueline.studies.files.units import Units
from glueline.studies.files.wording import BAND
from glueline.studies.files.words import all_of
from glueline.studies.rank.count_orders import OtherCount
from glueline.studies.rank.effort import COUNTED_SO
from glueline.studies.rank.every_kind import NotCompared
from glueline.studies.rank.kinds_ranking import ComparedKind, KindsRanking, compared_kinds
from glueline.studies.rank.rank_table import rank_columns
from glueline.studies.rank.ranking import RankedCorner, strongest_first
from glueline.studies.rank.write_ranking import ranking_text

FROM_RANKING = ("joint", "break load", f"band, {BAND}", "bending then", "what breaks", "where", "glue area")
NOTHING, INDENT, LINE = "—", "    ", 110
MEASURES_TAKEN = "What is taken for a kind follows from the boards by common practice, which has no source."


def kinds_text(kinds: KindsRanking, corners: Sequence[RankedCorner], units: Units) -> str:
    """The table with what was taken, kinds that do not fit, lists by effort, and all that a ranking says."""
    found = {each.kind: each for each in compared_kinds(kinds, corners)}
    more = [
        "\n".join(_not_compared(kinds.not_compared)),
        "\n".join([*by_effort(list(found.values()), units), _wrapped(COUNTED_SO, INDENT), MEASURES_TAKEN]),
        "\n".join(count_words(kinds.other_counts, units)),
    ]
    return ranking_text(corners, units, kinds_table(kinds, corners, units), more)


def _not_compared(others: Sequence[NotCompared]) -> list[str]:
    """Kinds that are not in the table, those of one reason together."""
    why = {other.why: [each.kind for each in others if each.why == other.why] for other in others}
    return [_wrapped(f"not compared: {all_of(kinds)}: {reason}", INDENT) for reason, kinds in why.items()]


def kinds_table(kinds: KindsRanking, corners: Sequence[RankedCorner], units: Units) -> str:
    """A row a kind, the strongest first, and below it what was taken for it and which cuts are counted."""
    ranked = strongest_first(corners)
    found = {each.kind: each for each in compared_kinds(kinds, corners)}
    efforts = [found[corner.label].effort for corner in ranked]
    of_ranking = rank_columns(corners, units)
    columns = {name: of_ranking[name] for name in FROM_RANKING if name in of_ranking}
    columns["cuts"] = [NOTHING if each.cuts is None else str(each.cut_number) for each in efforts]
    columns["let in"] = [_counts(each.hardware) or NOTHING for each in efforts]
    rows = [list(columns), *(list(row) for row in zip(*columns.values(), strict=True))]
    head, rule, *lines = aligned(rows).splitlines()
    below = {entry.label: _below(kinds, entry.label, found[entry.label], units) for entry in kinds.entries}
    under = [f"{line}\n{below[corner.label]}" for line, corner in zip(lines, ranked, strict=True)]
    return "\n".join([head, rule, *under])


def _below(kinds: KindsRanking, label: str, kind: ComparedKind, units: Units) -> str:
    entry = next(each for each in kinds.entries if each.label == label)
    taken = said(entry.filled, units)
    if kind.as_in_file:
        taken = f"as in the file, {taken} taken" if taken else "as in the file"
    cuts = "" if kind.effort.cuts is None else f"cuts: {_counts(kind.effort.cuts)}"
    return _wrapped("; ".join(part for part in (taken or "nothing left open", cuts) if part), INDENT, INDENT)


def _counts(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{name} {count}" for name, count in counts.items())


def _wrapped(words: str, further: str, first: str = "") -> str:
    return "\n".join(textwrap.wrap(words, LINE, initial_indent=first, subsequent_indent=further))


def by_effort(kinds: Sequence[ComparedKind], units: Units) -> list[str]:
    """Two lists, each in its own order: load for each mm2 of glue, load for each cut."""
    lists = []
    areas = [(each.load_per_glue_area, each.kind) for each in kinds if each.load_per_glue_area is not None]
    if areas:
        shown = [f"{kind} {format_property(load, 'MPa', units)}" for load, kind in _most_first(areas)]
        lists.append(f"By break load for each area of glue: {', '.join(shown)}.")
    cuts = [(each.load_per_cut, each.kind) for each in kinds if each.load_per_cut is not None]
    if cuts:
        shown = [f"{kind} {format_force(load, units)}" for load, kind in _most_first(cuts)]
        lists.append(f"By break load for each cut: {', '.join(shown)}.")
    return [_wrapped(each, INDENT) for each in lists]


def _most_first(pairs: Sequence[tuple[float, str]]) -> list[tuple[float, str]]:
    return sorted(pairs, key=lambda pair: -pair[0])


def count_words(counts: Sequence[OtherCount], units: Units) -> list[str]:
    """In sentences, which orders one more or one less of what a kind counts would turn."""
    if not counts:
        return []
    words = ["One more or less of what is counted, all else as it was or filled in anew, without scatter:"]
    for kind, group in groupby(counts, lambda each: each.kind):
        words.append(_wrapped(f"  {kind}: {'; '.join(_one_count(each, units) for each in group)}.", INDENT))
    return words


def _one_count(other: OtherCount, units: Units) -> str:
    name = f"{other.label} {other.count} for {other.usual_count}"
    if other.break_load is None:
        return f"{name}: not found, {other.why_not}"
    turns = f"turns the order with {all_of(other.turns)}" if other.turns else "turns no order"
    return f"{name}: {format_force(other.break_load, units)}, {turns}"
