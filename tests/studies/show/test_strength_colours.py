"""The one scale of colours: even from pale to strong in one hue, to every kind of colour vision."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from glueline.studies.show.strength_colours import signed_colours, strength_colours

Array = NDArray[np.float64]

# Linear light of a screen to X, Y, Z, and what dichromats see of it (Vienot, Brettel, Mollon 1999; both from
# memory, in their rounded form).
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
TO_CONES = np.array([[17.8824, 43.5161, 4.1194], [3.4557, 27.1554, 3.8671], [0.0300, 0.1843, 1.4671]])
LESS_RED = np.array([[0.0, 2.02344, -2.52581], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
LESS_GREEN = np.array([[1.0, 0.0, 0.0], [0.494207, 0.0, 1.24827], [0.0, 0.0, 1.0]])


def linear(colours: Array) -> Array:
    return np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)


def lab(light: Array) -> Array:
    """L*, a*, b* (n, 3) of linear light (n, 3)."""
    share = np.clip(light, 0.0, 1.0) @ TO_XYZ.T / TO_XYZ.sum(axis=1)
    root = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = root.T
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=1)


def seen(vision: Array | None, steps: int = 21) -> Array:
    light = linear(strength_colours()(np.linspace(0.0, 1.0, steps))[:, :3])
    return light if vision is None else light @ (np.linalg.inv(TO_CONES) @ vision @ TO_CONES).T


@pytest.mark.parametrize("vision", [None, LESS_RED, LESS_GREEN], ids=["all", "protan", "deutan"])
def test_every_step_is_darker_by_about_as_much(vision: Array | None) -> None:
    """No step is invisible and none looks like a border: 20 steps of 5 % within a factor of three."""
    lightness = lab(seen(vision))[:, 0]
    steps = -np.diff(lightness)
    print(steps.round(2))
    assert steps.min() > 0.5 * steps.mean()
    assert steps.max() < 1.5 * steps.mean()
    assert lightness[0] > 90
    assert lightness[-1] < 30


def test_it_is_one_hue() -> None:
    colours = lab(seen(None))
    hue = np.degrees(np.arctan2(colours[1:, 2], colours[1:, 1]))
    print(hue.round(1))
    assert np.ptp(hue) < 10


def test_the_signed_scale_is_pale_where_there_is_no_stress_and_strong_at_both_ends() -> None:
    colours = lab(linear(signed_colours()(np.linspace(0.0, 1.0, 41))[:, :3]))
    assert (np.diff(colours[:21, 0]) > 0).all()
    assert (np.diff(colours[20:, 0]) < 0).all()
    assert colours[0, 2] < -20 < 0 < colours[-1, 1]
