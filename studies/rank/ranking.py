"""Several corners side by side: how each is called, their order, and which differences mean something."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise
from pathlib import Path

from msgspec import structs

from glueline.materials import Glue
from glueline.studies.files.toml_tables import printable
from glueline.studies.files.words import all_of
from glueline.studies.predict.answer import Answer

SAME_ARM = 0.01  # loads whose lever arms differ by less are compared as they are


class RankedCorner(Answer, frozen=True, kw_only=True):
    """The answer for one corner of a ranking, with its label, unlike any other's, its file and its glue."""

    label: str
    file: str
    glue: str

    @property
    def what_breaks(self) -> str:
        """Glue, wood or fastener, and how it gives."""
        return self.mode if self.mode.startswith(self.breaks_in) else f"{self.breaks_in}: {self.mode}"

    @property
    def arm(self) -> float:
        """Moment at the inner corner per load, in mm."""
        return 1000 * self.break_moment_Nm / self.break_load


def ranked_corner(label: str, file: str, answer: Answer, glue: str = "") -> RankedCorner:
    """An answer under the name it has in a ranking; corners of one glue have it called the same."""
    return RankedCorner(label=label, file=file, glue=glue, **structs.asdict(answer))


def glue_labels(glues: Sequence[Glue]) -> tuple[str, ...]:
    """What each glue is called: those that differ never the same, as two files of one name may."""
    different: list[Glue] = []
    for glue in glues:
        if glue not in different:
            different.append(glue)
    names = _numbered([printable(glue.name, 120) for glue in different])
    return tuple(names[different.index(glue)] for glue in glues)


def labels_of(files: Sequence[str]) -> tuple[str, ...]:
    """A short label for each file, no two alike: its name, with folders or a number where names repeat."""
    parts = [[*Path(file).absolute().parts[:-1], Path(file).stem] for file in files]
    depth = [1] * len(files)
    for _ in range(max((len(each) for each in parts), default=0)):
        labels = [_label(each, count) for each, count in zip(parts, depth, strict=True)]
        again = [
            index
            for index, label in enumerate(labels)
            if any(label == other and parts[at] != parts[index] for at, other in enumerate(labels))
        ]
        if not again:
            break
        for index in again:
            depth[index] += 1
    return _numbered(labels) if files else ()


def corner_labels(files: Sequence[str], arrangements: Sequence[str]) -> tuple[str, ...]:
    """A label for each file, as ``labels_of``, with how it is loaded where they are not all loaded alike."""
    labels = labels_of(files)
    if len(set(arrangements)) < 2:
        return labels
    return tuple(f"{label}, {loaded}" for label, loaded in zip(labels, arrangements, strict=True))


def _label(parts: Sequence[str], count: int) -> str:
    return printable("/".join(parts[-count:]).replace("_", " ").strip() or "corner", 120)


def _numbered(labels: Sequence[str]) -> tuple[str, ...]:
    """Labels with " (2)", " (3)" behind the ones that came before."""
    numbered: list[str] = []
    for label in labels:
        number, new = 1, label
        while new in numbered:
            number += 1
            new = f"{label} ({number})"
        numbered.append(new)
    return tuple(numbered)


def strongest_first(corners: Sequence[RankedCorner]) -> list[RankedCorner]:
    """The corners by break load, the highest first; equal ones as they came."""
    return sorted(corners, key=lambda corner: -corner.break_load)


def scatter_words(corners: Sequence[RankedCorner]) -> tuple[str, ...]:
    """Which differences are larger than the scatter, in sentences; no order is claimed where bands overlap.

    A difference counts where the lower end of one band (5 %) lies above the upper end of the other (95 %).
    """
    if len(corners) < 2:
        return ()
    ranked = [corner for corner in strongest_first(corners) if corner.band is not None]
    without = [corner.label for corner in strongest_first(corners) if corner.band is None]
    unknown: tuple[str, ...] = ()
    if without:
        whose = "These answers" if not ranked else all_of(without)
        have = "has" if len(without) == 1 and ranked else "have"
        unknown = (
            f"{whose} {have} no scatter band: which differences are larger than the scatter is not known.",
        )
    if len(ranked) < 2:
        return unknown
    beyond = [(corner.label, [low.label for low in ranked if _exceeds(corner, low)]) for corner in ranked]
    among = f" among {all_of([corner.label for corner in ranked])}" if without else ""
    if all(_exceeds(high, low) for high, low in pairwise(ranked)):
        return (*unknown, f"Every difference{among} is larger than the scatter: no bands overlap.")
    if not any(lower for _, lower in beyond) and len(_overlapping(ranked)) == 1:
        return (
            *unknown,
            f"No difference{among} is larger than the scatter: all bands overlap, so no order is claimed.",
        )
    sentences = []
    for lower, group in groupby(beyond, key=lambda entry: entry[1]):
        labels = [label for label, _ in group]
        if lower:
            hold = "holds" if len(labels) == 1 else "each hold"
            sentences.append(f"Larger than the scatter: {all_of(labels)} {hold} more than {all_of(lower)}.")
    sentences += [
        f"No order is claimed among {all_of([corner.label for corner in group])}: their bands overlap."
        for group in _overlapping(ranked)
    ]
    return (*unknown, *sentences)


def _overlapping(ranked: Sequence[RankedCorner]) -> list[list[RankedCorner]]:
    """The largest groups of two and more whose bands all overlap each other."""
    groups: list[list[RankedCorner]] = []
    # Bands that overlap each other all hold the highest of their lower ends, so those are enough.
    for low in sorted({corner.band[0] for corner in ranked if corner.band is not None}, reverse=True):
        group = [each for each in ranked if each.band is not None and each.band[0] <= low <= each.band[1]]
        labels = {each.label for each in group}
        if len(group) > 1 and not any(labels <= {each.label for each in known} for known in groups):
            groups = [known for known in groups if not {each.label for each in known} <= labels]
            groups.append(group)
    return groups


def comparison_notes(corners: Sequence[RankedCorner]) -> tuple[str, ...]:
    """What makes the loads of these corners less alike than they look."""
    notes = []
    arrangements = list(dict.fromkeys(corner.arrangement for corner in corners))
    if len(arrangements) > 1:
        notes.append(
            f"These corners are loaded in different ways ({all_of(arrangements)}): their loads are not of "
            "one kind; the bending at the corner says more."
        )
    elif arms_differ(corners):
        notes.append(
            "The load has different lever arms on these corners, so the same load bends them differently: "
            "compare the bending at the corner as well."
        )
    methods = list(dict.fromkeys(corner.method for corner in corners))
    if len(methods) > 1:
        notes.append(f"These answers were found in different ways ({all_of(methods)}).")
    return tuple(notes)


def arms_differ(corners: Sequence[RankedCorner]) -> bool:
    """Whether the same load makes different moments at these corners."""
    arms = [corner.arm for corner in corners]
    return len(arms) > 1 and max(arms) > (1 + SAME_ARM) * min(arms)


def _exceeds(high: RankedCorner, low: RankedCorner) -> bool:
    return high.band is not None and low.band is not None and high.band[0] > low.band[1]
