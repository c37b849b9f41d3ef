"""One scale of colours for every picture of a corner: pale is healthy, strong is near breaking.

A single hue, madder, from nearly paper to nearly black. Equal steps are equally far apart in lightness, so
that it is read in daylight, in print without colour and by every kind of colour vision, and no step looks
like a border that is not there. Places are in CIE 1976 L*a*b*, for white D65 and the colours of a screen as
IEC 61966-2-1 has them (both from memory).
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from matplotlib.colors import Colormap

Array = NDArray[np.float64]

PALEST, STRONGEST = 95.0, 25.0  # lightness L* of 0 % and of 100 %
MADDER, SLATE = 18.0, 255.0  # degrees in the plane of a* and b*
LEAST_CHROMA = 4.0
MOST_CHROMA = {MADDER: 54.0, SLATE: 34.0}  # as much as a screen has along that hue
STEPS = 256
WHITE = np.array([0.95047, 1.0, 1.08883])
TO_SCREEN = np.array(
    [
        [3.2404542, -1.5371385, -0.4985314],
        [-0.9692660, 1.8760108, 0.0415560],
        [0.0556434, -0.2040259, 1.0572252],
    ]
)
STRENGTH_TICKS = (0.0, 0.25, 0.5, 0.75, 1.0)
STRENGTH_WORDS = ("0 %\nhealthy", "25 %", "50 %", "75 %", "100 %\ngives")
GONE_WORDS = ("0 %\nwhole", "25 %", "50 %", "75 %", "100 %\ngone")


@cache
def strength_colours() -> Colormap:
    """From 0, healthy and pale, to 1, giving and strong.

    >>> pale, strong = strength_colours()(0.0), strength_colours()(1.0)
    >>> bool(sum(pale[:3]) > 2.6), bool(sum(strong[:3]) < 0.8)
    (True, True)
    """
    from matplotlib.colors import ListedColormap

    return ListedColormap(_sequence(MADDER, STEPS), "strength")


def strength_scale() -> list[tuple[int, int, int]]:
    """The same as red, green and blue from 0 to 255 in ``STEPS`` even steps, for a screen without matplotlib.

    >>> scale = strength_scale()
    >>> len(scale), max(scale[0]) > 230, max(scale[-1]) < 150
    (256, True, True)
    """
    whole = np.rint(255 * _sequence(MADDER, STEPS)).astype(int)
    return [(red, green, blue) for red, green, blue in whole.tolist()]


@cache
def signed_colours() -> Colormap:
    """The same for what is pulled, and slate for what is pressed: pale in the middle, where there is none.

    >>> pressed, none, pulled = (signed_colours()(share) for share in (0.0, 0.5, 1.0))
    >>> bool(pressed[2] > pressed[0]), bool(sum(none[:3]) > 2.6), bool(pulled[0] > pulled[2])
    (True, True, True)
    """
    from matplotlib.colors import ListedColormap

    return ListedColormap(np.concatenate([_sequence(SLATE, STEPS)[::-1], _sequence(MADDER, STEPS)]), "signed")


def draw_scale(
    sheet: Any, colours: Any, axes: Any, size: float, words: tuple[str, ...] = STRENGTH_WORDS, **place: Any
) -> Any:
    """The scale beside ``axes`` (or in ``cax``) with letters of ``size`` points; it always ends at 100 %."""
    bar = sheet.colorbar(colours, ax=axes, **place)
    bar.set_ticks(list(STRENGTH_TICKS), labels=list(words))
    bar.ax.tick_params(labelsize=size, length=0)
    return bar


def _sequence(hue: float, steps: int) -> Array:
    """Colours (steps, 3) of a screen along one hue, even in lightness."""
    share = np.linspace(0.0, 1.0, steps)
    lightness = PALEST + (STRONGEST - PALEST) * share
    # The strongest hues lie at middle lightness, and the palest hold hardly any.
    most = MOST_CHROMA[hue] * (1.0 - 0.3 * share**3)
    chroma = LEAST_CHROMA + (most - LEAST_CHROMA) * np.sin(0.5 * np.pi * np.minimum(1.0, 1.35 * share))
    turn = np.radians(hue)
    return _screen(np.stack([lightness, chroma * np.cos(turn), chroma * np.sin(turn)], axis=1))


def _screen(places: Array) -> Array:
    """Colours (n, 3) from 0 to 1 of places (n, 3) in L*a*b*."""
    middle = (places[:, 0] + 16.0) / 116.0
    root = np.stack([middle + places[:, 1] / 500.0, middle, middle - places[:, 2] / 200.0], axis=1)
    light = np.where(root > 6 / 29, root**3, 3 * (6 / 29) ** 2 * (root - 4 / 29)) * WHITE
    linear = np.clip(light @ TO_SCREEN.T, 0.0, 1.0)
    return np.asarray(np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055))
