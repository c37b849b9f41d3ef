"""A structure that goes on after its glue: the path of the glue, then that of what is left, as one.

Where fasteners hold what glue has let go, the path snaps back to nearly nothing and rises again. The way down
tells little and is costly to follow. So the first path ends where its load has fallen, the second begins with
the glue cracked from the start, and the two stand one after the other: both are states of equilibrium of one
structure, and what the glue takes up to be cracked is energy spent by the time the second begins.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from glueline.fem.beside import follow_beside
from glueline.fem.crushing import borne_jump
from glueline.fem.equilibrium import BondedBodies, TiedBodies
from glueline.fem.follower import Follower, Watch
from glueline.fem.guide import FALLEN, Guide, hump_after
from glueline.fem.model import Array
from glueline.fem.path import PathResult, failure, first_peak_of, follow_tied, part_of, result_of
from glueline.fem.path_control import NEAR_END, PathControl
from glueline.fem.softening import spent_to
from glueline.fem.solve import SolveFailure
from glueline.fem.traction_law import TractionLaw

BEGINNING = 30  # states put in where a second life is linear
FIRST_SHARE = 0.7  # of the effort allowed, for the glue: what outlives it is the quicker to follow
FIRST_ENOUGH = 0.3  # of the effort from which a fallen load is enough: the second path tells what comes after
FASTENERS_BEGIN = 0.01
"""The longest step in which fasteners begin to give: one goes on and the others unload, but in longer steps
all go on together, on a way that the structure does not take (two fittings then held a fifth more)."""

SHARED = 1e-9  # relative: loads at first damage so near each other are those of the same path
WHOLE = 1e-9  # mm of opening by which a point that has not moved is taken to part, for its mixture


@dataclass(frozen=True)
class KnownLives:
    """Both lives of a known path, to go along with other laws.

    ``first`` guides the life of the glue. ``second`` is the life after it: another has its states as far as
    they are in balance with its laws too, so all of them where only what is cracked has others. Without it
    the life after the glue is followed whole; where none is ``wanted`` it is left out.
    """

    first: Guide
    second: PathResult | None = None
    wanted: bool = True

    @property
    def is_half(self) -> bool:
        """That of ``PathResult.basis``."""
        return self.first.is_half

    def grown(self, growth: float) -> KnownLives:
        """The same for laws whose strengths and toughnesses grow so far at most."""
        return replace(self, first=self.first.grown(growth))


def follow_two_lives(
    tied: TiedBodies,
    laws: Sequence[TractionLaw],
    load: Array,
    cracks: Collection[str],
    control: PathControl | None = None,
    watch: Watch | None = None,
    known: KnownLives | None = None,
) -> PathResult:
    """Follow bodies past the peak of their glue, then with the surfaces named in ``cracks`` cracked.

    Where the first path comes to the farthest displacement, or has gone on by itself past all that the
    second would tell, there is no second. ``watch`` is told of the states of both as of one path. Beside
    ``known`` lives they are found by a few states.
    For the rest see ``fem.path.follow_tied``. Raises PathFailure, and ValueError for a name that no surface
    has.
    """
    control = control or PathControl()
    names = [surface.name for surface in tied.surfaces]
    if unknown := set(cracks) - set(names):
        raise ValueError(f"no surface is called {', '.join(sorted(unknown))}")
    of_glue = replace(
        control,
        most_effort=FIRST_SHARE * control.most_effort,
        enough_effort=FIRST_ENOUGH * control.enough_effort,
        known_peak=np.inf,  # as far as glue goes: what is left of it decides how the second life begins
    )
    if known is None:
        first = follow_tied(tied, laws, load, of_glue, watch=watch)
    else:
        first = follow_beside(tied, laws, load, known.first, of_glue, watch)
        if not known.wanted:
            return first
    if first.displacement[-1] >= (1.0 - 2.0 * NEAR_END) * control.farthest:
        return first
    is_cracked = [name in cracks for name in names]
    rest = replace(control, most_effort=control.most_effort - first.effort, beginning=FASTENERS_BEGIN)
    after = None if known is None else known.second
    second = _second(tied, laws, load, is_cracked, rest, _going_on(watch, first), after)
    if second.displacement[second.highest] <= first.displacement[-1]:
        return first
    u = first.displacements(len(first.load) - 1)
    left = 0.0
    for surface, law in zip(tied.surfaces, laws, strict=True):
        if surface.name in cracks:
            jump = borne_jump(surface.jumps(u), first.crushed[surface.name][-1])
            left += float(surface.weight @ toughness_left(law, jump, first.damage[surface.name][-1]))
    return joined(first, second, float(first.spent[-1]) + left, control)


def _second(
    tied: TiedBodies,
    laws: Sequence[TractionLaw],
    load: Array,
    is_cracked: Sequence[bool],
    control: PathControl,
    watch: Watch | None,
    known: PathResult | None,
) -> PathResult:
    """The life after the glue, with as many states of a ``known`` one as hold. Raises PathFailure."""
    damage = [
        np.full(len(each.weight), float(gone)) for each, gone in zip(tied.surfaces, is_cracked, strict=True)
    ]
    if known is None:
        return follow_tied(tied, laws, load, control, damage, watch)
    bodies, names = BondedBodies(tied, laws, load), [surface.name for surface in tied.surfaces]
    follower = Follower(bodies, control, np.concatenate(damage), watch)
    try:
        follower.begin()
        length = _share(follower, known)
        if hump_after(known.load, known.highest) is None:
            # Nor will this one climb again, once it has fallen by as much as tells how fast it does.
            follower.control = replace(control, stop=FALLEN, stop_first=FALLEN)
        follower.go_on(length)
    except SolveFailure as error:
        raise failure(error, follower, names) from error
    return result_of(follower, names, True)


def _share(follower: Follower, known: PathResult) -> float:
    """Take the states of a ``known`` path over as far as they are in balance, and return the length of the
    last step between them."""
    length = follower.control.first_step
    if abs(known.load[1] - follower.states[1].load) > SHARED * known.load[1]:
        return length
    for v, load, work in zip(known._kept[2:], known.load[2:], known.work[2:], strict=True):
        trial = follower._trial(v, float(load))
        if trial.error > follower.control.residual:
            break
        last = follower.states[-1]
        moved = follower.bodies.change_share(trial.jump - last.jump)
        length = float(moved[last.response.damage < 1.0].max(initial=0.0))
        follower.states.append(replace(follower._state(trial), work=float(work)))
    follower.tell()
    return min(length, follower.control.step)


def lives_of(path: PathResult) -> tuple[PathResult, PathResult | None]:
    """The paths that were set one after the other, each as if it had been followed alone.

    The second begins unloaded, its glue cracked; None where there is one life.
    """
    start = path.second_from
    if start is None:
        return path, None
    first = part_of(path, np.arange(start))
    second = part_of(path, np.array([start, *range(start + BEGINNING, len(path.load))]))
    unloaded = np.arange(len(second.load)) > 0
    return first, replace(
        second,
        load=unloaded * second.load,
        displacement=unloaded * second.displacement,
        work=unloaded * (second.work - path.spent[start]),
        stored=unloaded * second.stored,
        spent=unloaded * (second.spent - path.spent[start]),
        _kept=unloaded[:, None] * second._kept,
    )


def _going_on(watch: Watch | None, first: PathResult) -> Watch | None:
    """What is told of the states of a second path: that they come after those of the first."""
    if watch is None:
        return None
    before = list(zip(first.load.tolist(), first.displacement.tolist(), strict=True))
    return lambda states: watch([*before, *states[1:]])


def toughness_left(law: TractionLaw, jump: Array, damage: Array) -> Array:
    """Energy (p,) in N/mm that a bond of ``damage`` (p,) still takes up to be cracked, at the mixture of
    ``jump`` (p, 2) in mm; of points that have not moved, or are pressed straight on, at that of opening.

    >>> from glueline.fem.line_law import LineLaw
    >>> law = LineLaw(*(np.array([n]) for n in (np.diag([2200.0, 8000.0]), 5.0, 9.0, 0.3, 0.8)))
    >>> jump, damage = np.array([[0.0, 0.0], [0.1, 0.0], [0.0, 0.1]]), np.array([0.0, 0.0, 1.0])
    >>> toughness_left(law, jump, damage).round(9).tolist()  # N/mm
    [0.3, 0.8, 0.0]
    """
    moved = law.measure(jump).stretch > 0
    measure = law.measure(np.where(moved[:, None], jump, [0.0, WHOLE]))
    return np.asarray(measure.toughness - spent_to(law.softening, measure.onset, measure.toughness, damage))


def _begun_finely(path: PathResult) -> PathResult:
    """With ``BEGINNING`` states in place of the unloaded one: up to the next all is linear.

    Energy is a square of the load there and is later taken to go straight between two states.
    """
    share = np.arange(1, BEGINNING + 1) / (BEGINNING + 1)

    def linear(values: Array) -> Array:
        between = values[0] + share.reshape(-1, *(1 for _ in values.shape[1:])) * (values[1] - values[0])
        return np.concatenate([between, values[1:]])

    def square(values: Array) -> Array:
        return np.concatenate([share**2 * values[1], values[1:]])

    return replace(
        path,
        load=linear(path.load),
        displacement=linear(path.displacement),
        work=square(path.work),
        stored=square(path.stored),
        spent=linear(path.spent),
        damage={name: linear(each) for name, each in path.damage.items()},
        crushed={name: linear(each) for name, each in path.crushed.items()},
        highest=path.highest + BEGINNING - 1,
        _kept=linear(path._kept),
    )


def joined(first: PathResult, second: PathResult, spent: float, control: PathControl) -> PathResult:
    """Both paths of the same bodies as one; ``spent`` N mm have been by the time the second begins.

    That counts as work of the load too: on the way that was not followed it is what the load has done.
    """
    second = _begun_finely(second)
    load = np.concatenate([first.load, second.load])
    names = first.damage
    return replace(
        first,
        load=load,
        displacement=np.concatenate([first.displacement, second.displacement]),
        work=np.concatenate([first.work, second.work + spent]),
        stored=np.concatenate([first.stored, second.stored]),
        spent=np.concatenate([first.spent, second.spent + spent]),
        damage={name: np.concatenate([first.damage[name], second.damage[name]]) for name in names},
        crushed={name: np.concatenate([first.crushed[name], second.crushed[name]]) for name in names},
        first_peak=first_peak_of(load, control.peak),
        highest=int(load.argmax()),
        iterations=first.iterations + second.iterations,
        factorisations=first.factorisations + second.factorisations,
        effort=first.effort + second.effort,
        left_early=second.left_early,
        second_from=len(first.load),
        _kept=np.concatenate([first._kept, second._kept]),
    )
