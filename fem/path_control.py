"""How finely an equilibrium path is followed, and the effort that it may take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from glueline.fem.solve import SolveFailure

NEAR_END = 1e-3  # relative: how near to the farthest displacement a path ends


@dataclass(frozen=True)
class PathControl:
    """How finely to follow.

    ``step`` largest change in one step of the jump of any point that still holds, over the jump at which it
    breaks; ``first_step`` the same at first damage, ``beginning`` the same for a step in which points begin
    to soften; ``smallest_step`` where to give up; ``residual`` out of balance forces over the bond's forces;
    ``audit`` energy lost in one step over energy spent in it (less after the highest load, as the work done
    up to there is to all work since);
    ``peak`` how well the highest load is located; ``stop`` share of the highest load at which to end,
    ``stop_first`` the same where it has not been lower before: what is left may take over and lift it again;
    ``known_peak`` load in N to which no peak comes but the one that counts: the path ends where it has fallen
    from that or more to ``stop_past_known`` of it;
    ``farthest`` displacement of the load in mm at which to end however much it still carries;
    ``limit`` how near a point must be to further damage to count as being there, ``limit_when_short`` the
    same for steps below ``short_step``, by which the path is closing in on such a point; ``keep`` by how
    much a kept factorisation must bring the residual down to be used again; ``most_matrices`` with how many
    tangents to try one step. ``most_effort`` is how many entries of factors to make in all; from
    ``enough_effort`` on the path ends where the load has fallen to ``stop_late`` of the highest.
    """

    step: float = 0.3
    first_step: float = 0.005
    beginning: float = np.inf
    smallest_step: float = 1e-6
    residual: float = 1e-6
    audit: float = 0.006
    peak: float = 1e-4
    stop: float = 0.5
    stop_first: float = 0.4
    known_peak: float = np.inf
    stop_past_known: float = 0.0
    farthest: float = np.inf
    limit: float = 1e-5
    short_step: float = 1e-3
    limit_when_short: float = 1e-3
    keep: float = 0.2
    most_steps: int = 3000
    most_iterations: int = 30
    stop_late: float = 0.9
    enough_effort: float = np.inf
    most_effort: float = np.inf
    most_matrices: int = 7


class TooLong(SolveFailure):
    """A path has taken all the effort that it may.

    >>> str(TooLong())
    'it would take too long to the end'
    """

    def __init__(self) -> None:
        super().__init__("it would take too long to the end")
