"""A known path as what others go along: its states, how far along they lie, and across what planes.

It may be carried to another mesh, by the jumps of its surfaces.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from glueline.fem.bond import BondedSurface
from glueline.fem.equilibrium import BondedBodies
from glueline.fem.model import Array
from glueline.fem.path import PathResult

RISE = (0.5, 0.75, 0.9, 0.97)
"""Shares of a peak's load at which the way up to it is looked at."""

WIDE = 0.02
"""Share of a load by which it may change from state to state at a peak."""

FALLEN = 0.89
"""Share of the highest load to which one falls that is not thought to rise again, if no known path did."""

EARLY = 0.97
"""The same from which a known path rose again, that tells an early peak."""

EARLY_MARGIN = 1.1
"""Times an early peak to which it may come with other elements and other steps."""

FALL = (0.95, 0.85, 0.7)
"""Shares of the last peak's load on the way down, that are looked at."""

HUMP = 0.75
"""Share of the highest load from which on what climbs again might come out the higher with other laws."""

GONE = 0.6  # share of a peak's load at which no path beside is thought to peak any more
MOST_CARRIED = 20  # states that are carried to another mesh
NEIGHBOURS = 3  # points whose jumps make that of a point on another mesh


@dataclass(frozen=True)
class Guide:
    """States of a known path to go along: ``v`` (s, kept) in mm under ``load`` (s,) in N.

    ``place`` (s,) in mm is how far along it they lie, as the mean square of the jumps tells; ``normal``
    (s, kept) is the direction of the path on the jumps of points that still hold. ``turns`` are the states of
    the first peak that counts and, where a second one does, of the valley between and of that peak; ``hump``
    is a later state to which it climbs again, nearly as high. ``is_half`` is that of ``PathResult.basis``.

    ``growth`` is the most that strengths and toughnesses of a path beside it grow. With ``down`` that goes on
    past its last peak as far as the guide does, if it can: it may then be a guide in its turn. With ``falls``
    it goes on until its load has fallen by as much as tells how fast it does. ``wide`` is the share of a load
    by which it may change from state to state at a peak; ``fall`` are the shares of the last peak's load at
    which the way down is looked at. ``early`` is the highest load in N of peaks before the first that counts.
    """

    v: Array
    load: Array
    place: Array
    normal: Array
    turns: tuple[int, ...]
    hump: int | None
    is_half: bool
    growth: float = 1.0
    down: bool = False
    falls: bool = False
    wide: float = WIDE
    fall: tuple[float, ...] = FALL
    early: float = 0.0

    @classmethod
    def along(cls, path: PathResult, turns: Sequence[int]) -> Guide:
        """What to go along on the way to the ``turns`` of a path of the same bodies."""
        made = cls._through(path._bodies, path._kept, path.load, turns, path.basis is not None)
        return replace(made, early=early_peak(path, turns[0]))

    @classmethod
    def carried(
        cls,
        path: PathResult,
        surfaces: Sequence[BondedSurface],
        turns: Sequence[int],
        bodies: BondedBodies,
        onto: Sequence[BondedSurface],
        is_half: bool,
        gone: float = GONE,
    ) -> Guide:
        """The same from a path of the like on another mesh, where its jumps lie on ``surfaces``.

        They are carried to the points of the ``onto`` that go by the same name; others are taken to be shut.
        States past the last turn are, until its load has fallen to a share ``gone``.
        ``bodies`` with bonds damaged as such jumps do then lie as the load asks. Raises SolveFailure.
        """
        chosen = _spread_states(path.load, turns, gone)
        carriers = [_carrier(surfaces, each) for each in onto]
        damage = crushed = np.zeros(len(bodies.weight))
        kept = []
        for state in chosen:
            u, load = path.at_surfaces(state), float(path.load[state])
            jump = np.concatenate([carrier(u) for carrier in carriers])
            response = bodies.respond(jump, damage, crushed)
            damage, crushed = response.damage, response.crushed
            kept.append(bodies.at_rest(jump, damage, crushed, load))
        own = [chosen.index(turn) for turn in turns]
        made = cls._through(bodies, np.array(kept), path.load[chosen], own, is_half)
        return replace(made, early=early_peak(path, turns[0]))

    @classmethod
    def _through(
        cls, bodies: BondedBodies, v: Array, load: Array, turns: Sequence[int], is_half: bool
    ) -> Guide:
        jumps, shares = [], []
        damage = crushed = np.zeros(len(bodies.weight))
        for each in v:
            jumps.append(bodies.jumps(each))
            response = bodies.respond(jumps[-1], damage, crushed)
            damage, crushed = response.damage, response.crushed
            shares.append(bodies.weight / bodies.weight.sum() * (damage < 1.0))
        last = len(jumps) - 1
        steps, normals = [0.0], []
        for state, share in enumerate(shares):
            before, after = max(state - 1, 0), min(state + 1, last)
            turn = jumps[after] - jumps[before]
            normal = np.asarray(bodies.jump.T @ (share[:, None] * turn).ravel())
            normals.append(normal / np.linalg.norm(normal))
            step = jumps[state] - jumps[before]
            steps.append(float(np.sqrt(shares[before] @ np.square(step).sum(axis=1))))
        place, hump = np.cumsum(steps)[1:], hump_after(load, turns[-1])
        return cls(v, load, place, np.array(normals), tuple(turns), hump, is_half)

    def at(self, place: float) -> tuple[Array, float, Array, Array]:
        """Displacements, load, normal and direction (kept,) a mm at a ``place``."""
        state = int(np.clip(np.searchsorted(self.place, place, side="right") - 1, 0, len(self.place) - 2))
        length = self.place[state + 1] - self.place[state]
        part = (place - self.place[state]) / length
        v, load, normal = (
            (1.0 - part) * each[state] + part * each[state + 1] for each in (self.v, self.load, self.normal)
        )
        return v, float(load), normal, (self.v[state + 1] - self.v[state]) / length

    @property
    def most(self) -> float:
        """Times what it carries, that a path beside it can carry at most.

        Equilibrium stands with strengths, toughnesses and jumps times s, s squared and s, under loads times
        s. So where strengths and toughnesses are times r at most, and a load grows with either, it grows by r
        at most if that is above one, and by the root of r if it is below. Crushing is left out of that.
        """
        return max(self.growth, float(np.sqrt(self.growth)))

    @property
    def surely_past(self) -> float:
        """The load in N to which no earlier peak of a path beside it comes."""
        return past_early(self.early, self.most)

    def grown(self, growth: float) -> Guide:
        """The same for laws whose strengths and toughnesses grow so far at most."""
        return replace(self, growth=growth)

    @property
    def rises(self) -> bool:
        """Whether its last turn is where it ends: at the farthest displacement, still rising."""
        return self.turns[-1] == len(self.load) - 1

    def rise_to(self, turn: int) -> list[float]:
        """The places on the way up to a peak, from rest or from the valley before, that are looked at."""
        start = max((each for each in self.turns if each < turn), default=0)
        low, high, places = self.load[start], self.load[turn], []
        for share in RISE:
            wanted = low + share * (high - low)
            last = start + int(np.flatnonzero(self.load[start : turn + 1] < wanted)[-1])
            part = (wanted - self.load[last]) / (self.load[last + 1] - self.load[last])
            places.append(float(self.place[last] + part * (self.place[last + 1] - self.place[last])))
        return places

    def later(self) -> list[float]:
        """The places from the last peak on that are looked at on the way down, and the hump."""
        top, end = self.turns[-1], len(self.load) if self.hump is None else self.hump
        lower = [np.flatnonzero(self.load[top:end] < share * self.load[top]) for share in self.fall]
        states = sorted({top, *(top + int(below[0]) for below in lower if len(below))})
        return [float(self.place[state]) for state in (*states, *([] if self.hump is None else [self.hump]))]


def _spread_states(load: Array, turns: Sequence[int], share: float) -> list[int]:
    """States from half of the first turn's load on until the last has gone, and the turns."""
    start = int(np.flatnonzero(load[: turns[0] + 1] < RISE[0] * load[turns[0]])[-1])
    gone = np.flatnonzero(load[turns[-1] :] < share * load[turns[-1]])
    end = turns[-1] + int(gone[0]) if len(gone) else len(load) - 1
    spread = np.linspace(start, end, min(MOST_CARRIED, end - start + 1)).round().astype(int)
    hump = hump_after(load, turns[-1])
    return sorted({0, *turns, *spread.tolist(), *([] if hump is None else [hump])})


def _carrier(surfaces: Sequence[BondedSurface], onto: BondedSurface) -> Callable[[Array], Array]:
    """What makes jumps (p, 2) at the points of a surface of all displacements on another mesh."""
    named = [each for each in surfaces if each.name == onto.name]
    if not named:
        return lambda _: np.zeros((len(onto.points), 2))
    source = named[0]
    count = min(NEIGHBOURS, len(source.points))
    # All distances at once: loading a tree of places takes longer than these few thousand.
    apart = np.linalg.norm(onto.points[:, None] - source.points, axis=2)
    nearest = np.argpartition(apart, count - 1, axis=1)[:, :count]
    distance = np.take_along_axis(apart, nearest, axis=1)
    weights = 1.0 / np.maximum(distance, 1e-9)
    weights /= weights.sum(axis=1, keepdims=True)
    return lambda u: np.asarray(np.einsum("pk,pki->pi", weights, source.jumps(u)[nearest]))


def past_early(early: float, growth: float) -> float:
    """The load in N to which an ``early`` peak does not come, if it grows so far at most; 0 without one."""
    return EARLY_MARGIN * growth * early if early else 0.0


def early_peak(path: PathResult, turn: int) -> float:
    """The highest load in N from which a path falls before a ``turn``, or that it leaves out; else 0."""
    upto = path.load[: turn + 1]
    tops = np.maximum.accumulate(upto)
    return max(path.left_out, float(tops[upto < EARLY * tops].max(initial=0.0)))


def hump_after(load: Array, peak: int) -> int | None:
    """The highest state to which a ``load`` (s,) climbs again after a peak, if that is nearly as high.

    >>> hump_after(np.array([0.0, 100.0, 50.0, 80.0, 40.0]), 1), hump_after(np.array([0.0, 100.0, 50.0]), 1)
    (3, None)
    """
    fallen = np.flatnonzero(load[peak:] < FALLEN * load[peak])
    if not len(fallen):
        return None
    valley = peak + int(fallen[0])
    hump = valley + int(load[valley:].argmax())
    climbs = load[hump] > load[valley:hump].min(initial=np.inf) / FALLEN
    return hump if climbs and load[hump] > HUMP * load[peak] else None
