"""Follow equilibrium from the first load past the peak, through snap-back, until the load has fallen.

The steps themselves are in ``fem.follower``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
import scipy.sparse as sparse

from glueline.fem.bond import BondedSurface
from glueline.fem.equilibrium import BondedBodies, TiedBodies
from glueline.fem.follower import Follower, Watch
from glueline.fem.model import Array, Integers
from glueline.fem.path_control import PathControl, TooLong
from glueline.fem.solve import SolveFailure
from glueline.fem.traction_law import TractionLaw


@dataclass(frozen=True)
class PathResult:
    """Equilibrium states, the unloaded one first, the one at first damage second.

    Arrays (s,): ``load`` P in N, ``displacement`` of the load along its line in mm, ``work`` of the load,
    energy ``stored`` and ``spent``, N mm; by surface name (s, points) the ``damage`` and, where crushing
    counts, the closing ``crushed`` in mm, below zero where what bears both ways was crushed the other way.
    ``first_damage`` is the state at which a point first is at its limit, ``first_peak`` the first state from
    which the load falls by more than the accuracy of a peak, None where there is none, ``highest`` that of
    the highest load. ``is_complete`` is False on a path that was given up; ``iterations`` solves were done
    with ``factorisations`` matrices; ``effort`` is how long it took, the same on every machine, as entries of
    factors made, and ``left_early`` tells that it was left for that (``PathControl``). ``basis`` (unknowns,
    half) is there if half of a symmetric problem was followed. ``second_from`` is the lightly loaded state
    with which a second path begins (``fem.two_lives``), None where there is one path only. ``left_out`` is
    the highest load in N of early peaks of another path, beside which it was found without (``fem.beside``).
    """

    load: Array
    displacement: Array
    work: Array
    stored: Array
    spent: Array
    damage: Mapping[str, Array]
    crushed: Mapping[str, Array]
    first_damage: int
    first_peak: int | None
    highest: int
    is_complete: bool
    iterations: int
    factorisations: int
    effort: float
    left_early: bool
    _bodies: BondedBodies = field(repr=False)
    _kept: Array = field(repr=False)
    basis: sparse.csr_matrix | None = field(default=None, repr=False)
    second_from: int | None = None
    left_out: float = 0.0

    def displacements(self, state: int) -> Array:
        """Displacements (unknowns,) in mm of a state, but for a rigid motion of the whole; see ``settle``."""
        condensed = self._bodies.condensed
        own = condensed.recover(self._kept[state], float(self.load[state]) * self._bodies.alone)
        return own if self.basis is None else np.asarray(self.basis @ own)

    def displacements_at(self, states: Sequence[int]) -> Array:
        """The same (unknowns, states) of several states."""
        bodies, kept = self._bodies, self._kept[list(states)].T
        own = bodies.condensed.recover_all(kept, self.load[list(states)], bodies.alone)
        return own if self.basis is None else np.asarray(self.basis @ own)

    def at_surfaces(self, state: int) -> Array:
        """The same (unknowns,) where surfaces lie, 0 elsewhere: all that jumps need, without a solve."""
        own = np.zeros(self._bodies.condensed.size)
        own[self._bodies.condensed.kept] = self._kept[state]
        return own if self.basis is None else np.asarray(self.basis @ own)

    @property
    def goes_on(self) -> bool:
        """Whether something may go on bearing long after all that softens is gone: screws, or rods."""
        return self.second_from is not None or self._bodies.moves_far

    @property
    def audit(self) -> float:
        """Largest difference of work and energy stored and spent, over the work at the highest load; of two
        lives each by its own."""
        gap = np.abs(self.work - self.stored - self.spent)
        ends = [0, len(self.load)] if self.second_from is None else [0, self.second_from, len(self.load)]
        lives = [slice(start, end) for start, end in pairwise(ends)]
        return max(float(gap[life].max() / self.work[life][self.load[life].argmax()]) for life in lives)


class PathFailure(RuntimeError):
    """The path could not be followed to its end; ``result`` holds it up to the last equilibrium found."""

    def __init__(self, message: str, result: PathResult | None = None) -> None:
        super().__init__(message)
        self.result = result


def follow_path(
    stiffness: sparse.csr_matrix,
    surfaces: Sequence[BondedSurface],
    laws: Sequence[TractionLaw],
    load: Array,
    pinned: Integers,
    control: PathControl | None = None,
    damage: Sequence[Array] | None = None,
) -> PathResult:
    """Follow the equilibrium path of bodies with bulk ``stiffness`` (no glue) tied by softening surfaces.

    ``stiffness`` (unknowns, unknowns) in N/mm; one of ``laws`` for every surface; ``pinned`` (k,) unknowns
    are held at zero. For the rest see ``follow_tied``. Raises PathFailure, ValueError.

    A rigid block on 20 mm2 of glue of 5 MPa, pulled straight off:

    >>> from glueline.fem.line_law import LineLaw
    >>> glue = BondedSurface(
    ...     name="glue",
    ...     minus="ground",
    ...     plus="block",
    ...     points=np.zeros((1, 2)),
    ...     weight=np.array([20.0]),
    ...     axes=np.array([np.eye(2)]),
    ...     jump=sparse.csr_matrix(np.eye(2)),
    ...     stiffness=np.array([np.diag([2200.0, 8000.0])]),
    ... )
    >>> law = LineLaw(glue.stiffness, *(np.array([number]) for number in (5.0, 9.0, 0.3, 0.8)))
    >>> pull, pinned = np.array([0.0, 1.0]), np.array([0])
    >>> path = follow_path(sparse.csr_matrix((2, 2)), [glue], [law], pull, pinned)
    >>> round(float(path.load[path.highest]), 3), path.is_complete
    (100.0, True)
    """
    try:
        tied = TiedBodies(stiffness, surfaces, pinned)
    except SolveFailure as error:
        raise PathFailure(f"eliminating the bodies: {error}") from error
    return follow_tied(tied, laws, load, control, damage)


def follow_tied(
    tied: TiedBodies,
    laws: Sequence[TractionLaw],
    load: Array,
    control: PathControl | None = None,
    damage: Sequence[Array] | None = None,
    watch: Watch | None = None,
) -> PathResult:
    """Follow bodies that were tied before, perhaps for other laws or another load.

    ``load`` (unknowns,) for P = 1 N is in equilibrium, or the pinned unknowns carry the rest; ``damage``
    (points,) for each surface is what has been done before, 1 for a crack; ``watch`` is told of the
    states as they are found. Raises PathFailure with the states so far where the path cannot be followed
    until the load has fallen, ValueError on unmatched input, and what ``watch`` raises to end it.
    """
    control = control or PathControl()
    bodies = BondedBodies(tied, laws, load)
    before = np.zeros(len(bodies.weight)) if damage is None else np.concatenate(list(damage))
    if before.shape != bodies.weight.shape or not ((before >= 0) & (before <= 1)).all():
        raise ValueError("damage must hold a number from 0 to 1 for every point of every surface")
    follower = Follower(bodies, control, before, watch)
    names = [surface.name for surface in tied.surfaces]
    try:
        follower.run()
    except SolveFailure as error:
        raise failure(error, follower, names) from error
    return result_of(follower, names, True)


def failure(error: SolveFailure, follower: Follower, names: Sequence[str]) -> PathFailure:
    """What to raise where a path over the surfaces ``names`` could not be followed on."""
    if len(follower.states) < 2:
        return PathFailure(f"before first damage: {error}")
    last = follower.states[-1]
    advice = "" if isinstance(error, TooLong) else "; try a smaller element size or a tougher, softer bond"
    return PathFailure(
        f"the path ends after {len(follower.states) - 1} steps at {last.load:.4g} N and "
        f"{last.displacement:.4g} mm: {error}{advice}",
        result_of(follower, names, False),
    )


def result_of(follower: Follower, names: Sequence[str], complete: bool) -> PathResult:
    """The states that a follower found, ``names`` those of its surfaces."""
    states, bodies = follower.states, follower.bodies
    load = np.array([state.load for state in states])
    damage = np.stack([state.response.damage for state in states])
    crushed = np.stack([state.response.crushed for state in states])
    worse = np.flatnonzero((damage > follower.before).any(axis=1))
    highest = int(np.argmax(load))
    return PathResult(
        load=load,
        displacement=np.array([state.displacement for state in states]),
        work=np.array([state.work for state in states]),
        stored=np.array([state.stored for state in states]),
        spent=np.array([state.spent for state in states]),
        damage={name: damage[:, part] for name, part in zip(names, bodies.parts, strict=True)},
        crushed={name: crushed[:, part] for name, part in zip(names, bodies.parts, strict=True)},
        first_damage=max(1, int(worse[0]) - 1) if len(worse) else 1,
        first_peak=first_peak_of(load, follower.control.peak),
        highest=highest,
        is_complete=complete,
        iterations=follower.iterations,
        factorisations=bodies.factorisations,
        effort=bodies.effort,
        left_early=follower.left_early,
        _bodies=bodies,
        _kept=np.stack([state.v for state in states]),
    )


def part_of(path: PathResult, states: Integers) -> PathResult:
    """Some ``states`` (k,) of a path of one life, as if it had no others."""
    load = path.load[states]
    return replace(
        path,
        load=load,
        displacement=path.displacement[states],
        work=path.work[states],
        stored=path.stored[states],
        spent=path.spent[states],
        damage={name: each[states] for name, each in path.damage.items()},
        crushed={name: each[states] for name, each in path.crushed.items()},
        highest=int(load.argmax()),
        second_from=None,
        _kept=path._kept[states],
    )


def first_peak_of(load: Array, accuracy: float) -> int | None:
    """The first state whose load falls by more than ``accuracy`` of it before it is passed again."""
    top = 0
    for state, value in enumerate(load):
        if value > load[top]:
            top = state
        elif value < (1.0 - accuracy) * load[top]:
            return top
    return None
