"""A split followed as a crack: where wood gives first along its grain, a line is put in and the path goes on.

The criterion of mean stress says at what load a crack of the wood's toughness would begin to run. Whether it
runs on, or is held by what lies across it, only a path can tell: the corner is meshed again with a line along
the grain through that place, held by the wood's own strength and toughness, and followed once more.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from glueline.fem.follower import Watch
from glueline.geometries import mirrored_place
from glueline.geometries.joinings import Point
from glueline.geometries.mesh import MeshFailure
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.corner.limit import Limit
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.break_path import BreakPath, WoodShare
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.wood_limits import sample_wood

MOST_LINES = 2
"""More than that and the criterion ends the corner. Two that are each other's image count as one."""

SMALLER = 0.9
"""Times the elements that are tried where a path cannot be followed."""

MOST_EFFORT, MOST_SPLIT_EFFORT = 60e6, 100e6
"""Entries of factors made along a path, three seconds of it, after which no further line is followed, and
those that following one may take."""

WITH_LINE = 1.3
"""Times the effort that a path takes with a further line."""

LIKELY = 0.6
"""Of the strength against splitting: from there on one corner in twenty splits, with a scatter of 25 %."""


Lines = tuple[tuple[str, Point], ...]
"""Pieces and places, x, y in mm, through which split lines run."""

Build = Callable[[CornerModel, Lines, Reuse | None], CornerModel]


def followed_through_splits(
    found: BreakPath,
    criterion: str = DEFAULT_CRITERION,
    crushing: bool = True,
    reuse: Reuse | None = None,
    build: Build | None = None,
    watch: Watch | None = None,
) -> BreakPath:
    """The corner of ``found`` with the splits that it came to followed; itself where it came to none.

    A corner that is its own mirror image comes to two at once. Where a path with a split cannot be followed,
    or would take more than ``MOST_EFFORT`` allows, the one before it stands, and ``unfollowed`` says why.
    ``build`` makes the corner with its lines, where it is not that of its specimen; ``watch`` is told of the
    states of every path.
    """
    first = found.wood if ends_by_split(found) else None
    unsplit = found
    while ends_by_split(found) and (lines := _further_lines(found, found.wood)):
        if found.path.effort > MOST_EFFORT:
            found = replace(found, unfollowed="in a corner as large as this it would take too long")
            break
        try:
            found = _first_followed(found.corner, lines, criterion, crushing, reuse, build or _built, watch)
        except (ComputationError, MeshFailure) as error:
            found = replace(found, unfollowed=str(error))
            break
    if first is None or not found.corner.splits:
        return found
    given = found.wood_load if found.partings or found.breaks_in == "wood" else found.break_load
    return replace(found, split=first, wood_load=given, whole_glue_load=unsplit.glue_load)


def ready_to_split(
    found: BreakPath,
    criterion: str = DEFAULT_CRITERION,
    crushing: bool = True,
    reuse: Reuse | None = None,
    watch: Watch | None = None,
) -> BreakPath:
    """The corner of ``found`` with lines where many of its like would split, though it does not.

    Itself where few would, where it has as many as are followed, or where the path with a line cannot be
    followed, or would take long if all of it were. ``watch`` is told of the states of every path.
    """
    effort = found.path.effort
    while (most := found.split_share) is not None and most.share >= LIKELY:
        lines = _further_lines(found, most.limit)
        if not lines or effort > MOST_EFFORT:
            break
        effort *= WITH_LINE
        try:
            ready = _first_followed(found.corner, lines, criterion, crushing, reuse, _built, watch, found)
        except (ComputationError, MeshFailure):
            break
        found = replace(ready, split=found.split, whole_glue_load=found.whole_glue_load)
    return found


def _built(corner: CornerModel, lines: Lines, reuse: Reuse | None) -> CornerModel:
    return build_corner(corner.specimen, corner.mesh.element_size, reuse, "split corner", lines)


def _first_followed(
    corner: CornerModel,
    lines: Lines,
    criterion: str,
    crushing: bool,
    reuse: Reuse | None,
    build: Build,
    watch: Watch | None = None,
    known: BreakPath | None = None,
) -> BreakPath:
    """The corner with its lines; where its path cannot be followed, with elements a little smaller.

    It is found by a few states beside the ``known`` corner, if there is one.
    """
    try:
        return _followed(build(corner, lines, reuse), criterion, crushing, reuse, watch, known)
    except ComputationError as error:
        if build is not _built or error.effort > 0.5 * MOST_SPLIT_EFFORT:
            raise
        size = SMALLER * corner.mesh.element_size
        smaller = build_corner(corner.specimen, size, reuse, "split corner", lines)
        return _followed(smaller, criterion, crushing, reuse, watch)


def _followed(
    corner: CornerModel,
    criterion: str,
    crushing: bool,
    reuse: Reuse | None,
    watch: Watch | None,
    known: BreakPath | None = None,
) -> BreakPath:
    follower = CornerFollower(corner, reuse, MOST_SPLIT_EFFORT, watch)
    return follower.broken(sample_wood(corner, reuse), criterion, crushing, known=known)


def ends_by_split(found: BreakPath) -> bool:
    """Whether wood ends a corner by a split or by shear along its grain."""
    return found.wood_state is not None and WOOD_MODES[found.wood.mode].family == SPLIT_OR_SHEAR


def _further_lines(found: BreakPath, gives: Limit) -> Lines:
    """The lines so far and one where the wood gives, with its image in a mirrored corner; () if too many."""
    lines, here = found.corner.split_places, (gives.part, gives.point)
    layout = found.corner.layout
    images = {line: mirrored_place(layout, *line) for line in (*lines, here)}
    if sum(images[line] not in lines[:place] for place, line in enumerate(lines)) == MOST_LINES:
        return ()
    image = images[here] if found.path.basis is not None else None
    if image is None:
        return (*lines, here)
    return (*lines, *sorted((here, image)))  # which of the two is found first is a matter of rounding


def split_share(found: BreakPath) -> WoodShare:
    """The largest share of the wood's strength up to the break: all of it where a split was followed."""
    if found.split is None:
        return found.wood_share
    return WoodShare(1.0, found.split.load, found.split)


def followed_split(found: BreakPath) -> tuple[Limit, ...]:
    """The limit of the first split that was followed, which by itself ended nothing."""
    if found.split is None:
        return ()
    return (
        replace(found.split, breaks=False, note="by the criterion alone; followed as a crack from there"),
    )
