"""A headline made up for tests of scenes, and messages taken apart."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.studies.page.messages import unpacked

HEADLINE = "glueline.studies.page.headline"


def made_up_headline() -> Any:
    """A module whose headline says what it was given."""

    def headline(answer: Any, units: str, rig: object) -> dict[str, Any]:
        return {"load": answer.break_load, "units": units, "on_rig": rig is not None}

    return SimpleNamespace(headline=headline)


class Scene:
    """An unpacked message: header and arrays by name."""

    def __init__(self, message: bytes) -> None:
        self.header, self.arrays = unpacked(message)

    def __getitem__(self, name: str) -> Any:
        return self.arrays[name] if name in self.arrays else self.header[name]


def area(outline: Any) -> float:
    """Area of an outline (n, 2)."""
    places: NDArray[np.float64] = np.asarray(outline, dtype=np.float64)
    x, y = places.T
    return 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def check_wood_and_holds(scene: Scene) -> None:
    """Shapes agree, indices are in range, shares are between nothing and all: of scenes and paths alike."""
    cells = len(scene["piece"])
    assert scene["places"].shape == (3 * cells, 2)
    assert all(scene[name].shape == (3 * cells,) for name in ("share", "along", "across", "shear"))
    assert scene["piece"].max() == len(scene["pieces"]) - 1
    for name, shares, shape in (
        ("glue", "glue_share", (2, 2)),
        ("splits", "split_share", (2, 2)),
        ("spots", "spot_share", (2,)),
    ):
        assert scene[name].shape == (len(scene[shares]), *shape)
        assert ((scene[shares] >= 0.0) & (scene[shares] <= 1.0)).all()
    assert ((scene["share"] >= 0.0) & (scene["share"] <= 1.0)).all()
    for name in ("glue", "spot"):
        assert len(scene[f"{name}_hold"]) == len(scene[f"{name}_share"])
        assert (scene[f"{name}_hold"] < len(scene["holds"])).all()
    assert scene["grain"].shape[1:] == scene["edges"].shape[1:] == (2, 2)
    assert len(scene["grain"]) > 10
    low, high = scene["close"]["low"], scene["close"]["high"]
    assert (np.array(low) <= scene["ring"]).all()
    assert (scene["ring"] <= np.array(high)).all()
    assert (np.array(scene["whole"]["low"]) <= low).all()
    assert all(0.0 <= rod["share"] <= 1.0 for rod in scene["rods"])
    assert all(len(rod["outline"]) == 2 * len(rod["shares"]) for rod in scene["rods"])
