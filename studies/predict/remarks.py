"""What an answer says in words: the sentence why, and what the reader must know besides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from glueline.geometries.mesh import default_element_size, is_large
from glueline.materials import Glue, Wood, find_glue, glue_names
from glueline.materials.bond import row_on
from glueline.materials.glue import BOND_NUMBERS
from glueline.studies.corner.arrangements import LoadArrangement
from glueline.studies.corner.connections import BRITTLE, FASTENER_MODES
from glueline.studies.corner.limit import Limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.surface_effects import SOUND, spoken_effects
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.files.display import percent
from glueline.studies.predict.break_path import LARGEST_TURN, BreakPath
from glueline.studies.predict.glue_break import first_gone


def first_surface_only(corner: CornerModel, critical: Limit) -> tuple[str, ...]:
    """What an elastic answer cannot see: load that moves to other surfaces when the first one gives."""
    if critical.part in corner.pieces or len(corner.connections) == 1 or critical.mode in FASTENER_MODES:
        return ()
    words = corner.connection(critical.part).words
    return (
        f"The elastic answer ends when the {words.name} {'give' if words.is_plural else 'gives'} way; the "
        "other glued surfaces may then carry more, so this corner can hold more than is said here.",
    )


def bond_effects(corner: CornerModel) -> tuple[str, ...]:
    """Plain sentences on what a poor fit, a starved line, tired glue or damp wood does here, each once.

    Where a surface has workmanship of its own, what differs there names it and comes last.
    """
    own = corner.specimen.surface_workmanship
    if not corner.glued:
        given = own or corner.specimen.workmanship != SOUND
        return ("Without glue its quality, gap, coverage and end grain change nothing.",) if given else ()
    ordered = sorted(corner.connections, key=lambda each: each.name in own)
    return tuple(dict.fromkeys(effect for each in ordered for effect in spoken_effects(corner, each)))


ALIKE = 0.05  # of each other's numbers within which two glues hold a face alike
ROWS = ("side_grain", "grain_45", "end_grain")


def sound_glues_note(corner: CornerModel, critical: Limit) -> tuple[str, ...]:
    """Why another sound glue would hardly change the load, where the glue gives and that is so.

    A bond is the lesser of film and wood (``materials.bond``): most glues of the table then have the same
    numbers on a face. Nothing is said where the face is not soundly glued, for then that moves the load more.
    """
    if critical.kind != "glue" or corner.specimen.workmanship_on(critical.part) != SOUND:
        return ()
    gives = next((each for each in corner.glued if each.part == critical.part), None)
    if gives is None or gives.scatter_row not in (*ROWS, "crossed"):
        return ()
    row = gives.scatter_row if gives.scatter_row in ROWS else ROWS[0]
    beside = [corner.pieces.get(name) for name in (gives.surface.minus, gives.surface.plus)]
    woods = [piece.wood for piece in beside if piece is not None]  # a rod is no piece: the wood round it
    woods = woods[:1] if all(wood == woods[0] for wood in woods) else woods
    own = _numbers(corner.specimen.glue, woods, row)
    table = [glue for glue in map(find_glue, glue_names()) if glue.holds]
    others = [glue for glue in table if not same_glue(glue, corner.specimen.glue)]
    same = sum(
        all(abs(one / two - 1.0) <= ALIKE for one, two in zip(_numbers(each, woods, row), own, strict=True))
        for each in others
    )
    if same < len(others) / 2:
        return ()
    return (
        "Another sound glue would hardly change this load: a bond holds no more than the wood beside its "
        f"film, and {same} of the {len(others)} other glues in the table hold alike where it gives. Fit, how "
        "much of the face is covered, and how much of it is end grain move the load more.",
    )


def same_glue(one: Glue, other: Glue) -> bool:
    """Whether two glues are one but for their quality and what is said of it: a calibrated one is its own.

    >>> from glueline.materials import find_glue
    >>> same_glue(find_glue("pva"), find_glue("hide"))
    False
    """
    first, second = (
        replace(glue, name="", quality=1.0, calibrated="", model_error=None, load_factor=None, sources={})
        for glue in (one, other)
    )
    return first == second


def _numbers(glue: Glue, woods: Sequence[Wood], row: str) -> list[float]:
    """Strengths and toughnesses of a glue's row on each of some woods."""
    held = [row_on(glue, wood, row) for wood in woods]
    return [getattr(each, key) for each in held for key in BOND_NUMBERS]


def opening_note(arrangement: LoadArrangement) -> tuple[str, ...]:
    """What must be known to compare corners that are opened."""
    if arrangement.sense != "opens":
        return ()
    return (
        "Where a corner is opened its inner corner acts as a notch, and the moment that opens it differs by "
        "arrangement: compare opened corners by moment within one arrangement only.",
    )


CRUSHED_SHARE = 0.05  # of a glued face: less than that is the corner of a mesh more than of wood


def bearing_note(break_path: BreakPath, crushing: bool) -> tuple[str, ...]:
    """What is left out without ``crushing``: faces that press harder at the break than wood can bear."""
    if crushing:
        return ()
    worst, name = CRUSHED_SHARE, ""
    tractions = break_path.tractions(break_path.state)
    for connection in break_path.corner.connections:
        beyond = connection.pressed_too_hard(tractions[connection.name])
        share = float(connection.surface.weight[beyond].sum() / connection.area)
        if share > worst:
            worst, name = share, connection.name
    if not name:
        return ()
    return (
        f"At the break the faces press harder than the wood can bear over {percent(worst)} of the "
        f"{name}. --no-crushing leaves out that they yield there, so this load is an upper value.",
    )


def left_early_note(break_path: BreakPath) -> tuple[str, ...]:
    """How far a corner was followed whose path would have taken long to its usual end."""
    path = break_path.path
    if not path.left_early:
        return ()
    return (
        "The glue is brittle for so large a corner, which is hard to follow: it was left when its load had "
        f"fallen to {percent(path.load[-1] / path.load.max())} of the highest. Should something take over "
        "after that and carry more, this answer does not know.",
    )


def split_note(break_path: BreakPath) -> tuple[str, ...]:
    """What became of a split: where it begins and whether it could be followed."""
    split = break_path.split
    if split is None:
        if break_path.unfollowed is None:
            return ()
        return (
            "The split could not be followed as a crack; the corner is taken to end where it begins "
            f"({break_path.unfollowed}).",
        )
    parted = break_path.partings or break_path.breaks_in == "wood"
    return (
        f"The wood begins to split ({WOOD_MODES[split.mode].name}) in "
        f"{break_path.corner.layout.spoken(split.where)}; it was followed as a crack along the grain, which "
        f"{'runs' if parted else 'is held by what lies across it up to the break'}.",
    )


def shape_note(break_path: BreakPath) -> tuple[str, ...]:
    """That a path ended because the corner had turned too far, not because it let go."""
    if not break_path.glue_ends_held:
        return ()
    if not break_path.ends_held:
        return (
            f"The load given for the glue is that at a turn of {LARGEST_TURN:g} rad, where the path ends: "
            "what is caught in its place would carry on after its glue has gone, had the wood held.",
        )
    return (
        f"The corner still held when it had turned by {LARGEST_TURN:g} rad, where it is no longer the shape "
        "that was asked about: the load is the one there, and the limit was the shape.",
    )


def large_note(corner: CornerModel) -> tuple[str, ...]:
    """That a corner is large against its elements, and what that does to its loads."""
    if not is_large(corner.layout) or corner.mesh.element_size < default_element_size(corner.layout):
        return ()
    return (
        "The corner is large: its elements along the glue are larger than usual, which moves the load at "
        "which glue gives by up to 1.3 % and that at which wood gives by up to 5 %.",
    )


def brittle_note(corner: CornerModel) -> tuple[str, ...]:
    """Bonds that store more at their strength than their toughness, in words."""
    return tuple(
        f"The glue of the {each.name} stores {each.excess / BRITTLE:.1f} times its toughness by the time it "
        "reaches its strength (soft glue, or much wood beside it that shears): it lets go at once and spends "
        "all that it stored."
        for each in corner.connections
        if each.excess > 1.0
    )


def sentence(corner: CornerModel, critical: Limit, share: Mapping[str, float]) -> str:
    """One plain sentence: what gives, where, and what carried the moment."""
    main = max(share, key=lambda name: abs(share[name]))
    carried = (
        f"; {percent(share[main])} of the bending at the corner was on the {main}" if len(share) > 1 else ""
    )
    place = corner.layout.spoken(critical.where)
    if critical.mode in FASTENER_MODES:
        return f"{FASTENER_MODES[critical.mode]} at {place}{carried}."
    if critical.part in corner.pieces:
        return f"{WOOD_MODES[critical.mode].beginning} in {place}{carried}."
    return f"{corner.connection(critical.part).modes[critical.mode]} at {place}{carried}."


def _outlived(break_path: BreakPath, last: Limit) -> tuple[str, ...]:
    """That the glue has gone before what gives last."""
    glue = break_path.glue_load
    if glue is None or last.mode not in FASTENER_MODES:
        return ()
    crack = break_path.path.first_peak
    if crack is None:
        return ()
    return ("The glue has cracked before; from then on the fasteners alone carry the corner.",)


FURTHER = 0.05  # of its glue by which a surface must have gone further than another to have given before it


def course(break_path: BreakPath, last: Limit) -> tuple[str, ...]:
    """Where the glue starts to go and what lets go last, in one sentence; none where that is the same.

    It starts on the surface that has spent most of its toughness by the break. ``last`` is what ends the
    corner, by the energy spent past the break.
    """
    corner, gone = break_path.corner, break_path.glue_gone
    if not gone or last.mode in FASTENER_MODES:
        return _outlived(break_path, last)
    first = max(gone, key=lambda name: gone[name])
    if last.part in corner.pieces or gone[first] < gone[last.part] + FURTHER:
        return ()
    started, ending = corner.connection(first), corner.connection(last.part)
    place = started.place_at(first_gone(break_path, first, break_path.state))
    return (
        f"It starts at {corner.layout.spoken(place)}, of which {percent(gone[first])} "
        f"{'are' if started.words.is_plural else 'is'} gone by the break; the {ending.name} "
        f"{'let' if ending.words.is_plural else 'lets'} go last.",
    )
