"""Corner moments of small rigid frames: four-sided boxes and two-legged portals. N, mm, N mm.

Members are straight, of even section; joints are rigid, which puts more moment on a corner than a joint that
gives would see. Bottoms, backs and stretchers are left out, which also errs upward.
"""

from __future__ import annotations

from math import hypot


def end_moment_of_even_load(force: float, span: float) -> float:
    """End moment of a beam held at both ends under ``force`` spread evenly: F L / 12 (beam tables)."""
    return force * span / 12


def end_moment_of_middle_load(force: float, span: float) -> float:
    """End moment of a beam held at both ends under ``force`` at its middle: F L / 8 (beam tables)."""
    return force * span / 8


def box_share(loaded: float, side: float, stiffness: float = 1.0) -> float:
    """Share of the held-end moment that reaches the corners of a four-sided box loaded on one side.

    ``loaded`` and ``side`` are the lengths of the loaded board (and the one opposite) and of the two others,
    ``stiffness`` the loaded board's E I over the others'. By slope and deflection, symmetric load: with
    f = 2 EI/loaded and s = 2 EI/side, r = s (2 - s/(2 s + f)) and the share is r / (f + r).
    """
    own, other = 2 * stiffness / loaded, 2 / side
    resisting = other * (2 - other / (2 * other + own))
    return resisting / (own + resisting)


def racked_box_moment(force: float, height: float) -> float:
    """Corner moment of a box pushed sideways at its top: F h / 4 at each corner.

    Top and bottom alike: the uprights' points of no moment lie half way up, each takes half the push.
    """
    return force * height / 4


def portal_middle_load_moment(force: float, span: float, height: float, stiffness: float = 1.0) -> float:
    """Corner moment of a portal with hinged feet, ``force`` at the middle of its beam.

    3 F L / (8 (2 k + 3)) with k = ``stiffness`` (beam's E I over a leg's) times h / L; by least work
    (portal tables). Feet that slide take less.
    """
    return 3 * force * span / (8 * (2 * stiffness * height / span + 3))


def portal_sway_moment(force: float, height: float) -> float:
    """Corner moment of a portal with hinged feet pushed sideways at its beam: F h / 2 at either corner."""
    return force * height / 2


def tipped_portal_moment(weight: float, span: float, height: float, centre_above: float) -> float:
    """Corner moment where a stool balances on one leg board, its sitter's weight plumb over the foot.

    The foot bears all of the ``weight``; the corner lies h sin(tilt) beside it, with tan(tilt) =
    (span / 2) / (height + centre_above): the sitter's centre is ``centre_above`` mm over the seat's middle.
    """
    half = span / 2
    return weight * height * half / hypot(half, height + centre_above)


def resting_fill_force(weight: float, height: float, across: float, at_rest: float) -> float:
    """Force of loose contents on one side of a box: K0 W h / (2 b).

    Pressure K0 (unit weight) (depth below the top) over height h; ``across`` b is the inside size square to
    that side, ``weight`` W of contents that fill the box to ``height``.
    """
    return at_rest * weight * height / (2 * across)
