"""The load at which wood gives along a path, for wood of any strength, without another path.

Glue and wood meet in the stresses alone: how strong the wood is changes nothing along a path but the place
at which it ends. So one path answers for all strengths of the wood.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studies.glue_limits import Limit

Array = NDArray[np.float64]

FAMILIES = {
    "fibre tension": "fibre tension",
    "fibre bending on the pressed side": "fibre bending on the pressed side",
    "splitting": "splitting or shear along the grain",
    "shear along the grain": "splitting or shear along the grain",
    "rolling shear": "rolling shear",
}
"""Modes that break wood, and the family that follows one of them along a path.

Splitting and shear are the two names of one criterion on either side of an even mixture, and which of them
leads may change along a path; together they are smooth.
"""

CEILING = 4.0
"""Loads of wood above so many times the highest load are not told apart: a surface would swing with them."""

_NOTHING = 1e-300


@dataclass(frozen=True)
class WoodUse:
    """Share of strength used (s,) by one mode at the states of a run, at the mean strengths.

    ``parts`` lists the shares by strength (a property of the wood); the square root of the sum of their
    squares is the whole share. So with strengths times factors x the share is that of parts over x, held at
    the place that was worst at the mean.
    """

    piece: str
    mode: str
    parts: Mapping[str, Array]


@dataclass(frozen=True)
class GlueRun:
    """A path with given factors on its glue, from the unloaded state to the highest load.

    ``peaks`` in N as of ``peaks_of``; ``loads`` (s,) in N at the sampled states, the first 0 and the last the
    highest; ``wood`` what every breaking mode uses at these states, empty where wood was not judged.
    """

    peaks: tuple[float, ...]
    loads: Array
    wood: tuple[WoodUse, ...] = ()

    @property
    def peak_load(self) -> float:
        """The highest load in N."""
        return max(self.peaks)

    def __post_init__(self) -> None:
        if not self.peaks or not min(self.peaks) > 0 or len(self.loads) < 2 or self.loads[0] != 0:
            raise ValueError("a run starts unloaded and has a load above zero")
        if any(part.shape != self.loads.shape for use in self.wood for part in use.parts.values()):
            raise ValueError("wood must be judged at every state of the run")


def glue_run(
    peaks: tuple[float, ...], loads: Sequence[float], limits: Sequence[Sequence[Limit]] | None = None
) -> GlueRun:
    """A run from ``loads`` (N) of increasing states up to the highest and the ``limits`` of wood at each.

    The unloaded state is added; every limit's own load is that at which it would be met, held so.
    """
    states = np.array([0.0, *loads])
    used: dict[tuple[str, str], dict[str, Array]] = {}
    for state, found in enumerate(limits or (), start=1):
        for limit in found:
            if limit.kind != "wood" or not limit.breaks:
                continue
            parts = used.setdefault((limit.part, limit.mode), {})
            for strength, share in _shares(limit).items():
                here = parts.setdefault(strength, np.zeros(len(states)))
                here[state] = max(here[state], share * states[state] / limit.load)
    wood = tuple(WoodUse(piece, mode, parts) for (piece, mode), parts in used.items())
    return GlueRun(peaks, states, wood)


def _shares(limit: Limit) -> dict[str, float]:
    if limit.mode.startswith("fibre"):
        return {"bending_strength": 1.0}
    if limit.mode == "rolling shear":
        return {"rolling_shear_strength": 1.0}
    shear = limit.shear_share
    return {"tension_across": float(np.sqrt(1.0 - shear)), "shear_strength": float(np.sqrt(shear))}


def load_of_wood(loads: Array, uses: Sequence[WoodUse], factors: Mapping[str, Array], reach: Array) -> Array:
    """Load in N (n,) at which the first of ``uses`` is met with strengths times ``factors`` (n,).

    It is the highest load up to the state at which the share reaches 1, straight between states. Where the
    highest load of the run comes first, it is that load over the share used there: glue then breaks first,
    and the load says only by how much, up to CEILING. Both agree where the share is 1 at the highest load,
    and more strength never lowers the load. ``reach`` (n,) multiplies all factors.
    """
    share = np.zeros((len(reach), len(loads)))
    for use in uses:
        square = np.zeros_like(share)
        for strength, part in use.parts.items():
            square += np.square(part) / np.square(factors[strength] * reach)[:, None]
        np.maximum(share, np.sqrt(square), out=share)
    met = share >= 1.0
    crossed = met.any(axis=1)
    after = np.where(crossed, met.argmax(axis=1), len(loads) - 1)
    row = np.arange(len(reach))
    before = np.maximum(after - 1, 0)
    low, high = share[row, before], share[row, after]
    part = np.clip((1.0 - low) / np.maximum(high - low, _NOTHING), 0.0, 1.0)
    between = loads[before] + part * (loads[after] - loads[before])
    highest_before = np.maximum.accumulate(loads)[before]
    beyond = loads[-1] / np.maximum(share[:, -1], 1.0 / CEILING)
    return np.asarray(np.where(crossed, np.maximum(highest_before, between), beyond))
