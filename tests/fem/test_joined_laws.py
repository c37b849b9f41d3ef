"""Laws joined, laws of chosen points, and a law of another making that knows only its own points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.sparse import csr_matrix

from glueline.fem.bond import BondedSurface
from glueline.fem.cheek_law import CheekLaw, CheekSideLaw
from glueline.fem.line_law import LineLaw
from glueline.fem.model import Array, Integers
from glueline.fem.path import PathFailure, follow_path
from glueline.fem.traction_law import (
    Closing,
    Drive,
    Measure,
    TractionLaw,
    Undamaged,
    evaluate,
    joined_laws,
)

COUNTS = (4, 3, 5)
SIDES = (CheekSideLaw(0.3, 9.0, 2.5, 0.8, 0.4), CheekSideLaw(1.9, 8.0, 3.0, 0.7, 0.45))


def lines() -> list[LineLaw]:
    """Three lines: numbers for all points, then some for each point, then other ones."""
    numbers = (np.array([number]) for number in (5.0, 9.0, 0.3, 0.8))
    first = LineLaw(np.array([np.diag([2200.0, 8000.0])]), *numbers, crushing_strength=np.array([7.4]))
    second = replace(first, opening_strength=np.array([4.0, 5.0, 6.0]))
    stiffness = np.linspace(0.5, 1.5, 5)[:, None, None] * np.diag([1500.0, 4000.0])
    return [first, second, replace(first, stiffness=stiffness, crushing_strength=np.array([np.inf]))]


def cheeks() -> list[CheekLaw]:
    stiffness = np.array([[900.0, 200.0], [200.0, 600.0]])
    return [
        CheekLaw.of(np.tile(factor * stiffness, (count, 1, 1)), SIDES[::step])
        for factor, count, step in zip((1.0, 0.5, 2.0), COUNTS, (1, -1, 1), strict=True)
    ]


def some_jumps() -> Array:
    return np.random.default_rng(5).normal(0.0, 0.02, (sum(COUNTS), 2))


@pytest.mark.parametrize("laws", [lines(), cheeks()], ids=["lines", "cheeks"])
def test_joined_laws_do_what_each_would(laws: Sequence[TractionLaw]) -> None:
    """Point by point, bit by bit, and so does the law of chosen points; closing goes along."""
    ((law, whole),) = joined_laws(laws, COUNTS)
    assert whole == slice(0, sum(COUNTS))
    jump, damage = some_jumps(), np.linspace(0.0, 0.9, sum(COUNTS))
    together = evaluate(law, jump, damage)
    ends = np.cumsum([0, *COUNTS])
    for one, start, end in zip(laws, ends[:-1], ends[1:], strict=True):
        alone = evaluate(one, jump[start:end], damage[start:end])
        np.testing.assert_array_equal(together.traction[start:end], alone.traction)
        np.testing.assert_array_equal(together.tangent[start:end], alone.tangent)
        if one.closing is None or law.closing is None:
            assert one.closing is law.closing
            continue
        for numbers, own in zip(law.closing, one.closing, strict=True):
            np.testing.assert_array_equal(
                np.broadcast_to(numbers, ends[-1])[start:end], np.broadcast_to(own, end - start)
            )
    kept = np.array([7, 2, 11])
    chosen = evaluate(law.at(kept), jump[kept], damage[kept])
    np.testing.assert_array_equal(chosen.traction, together.traction[kept])


def test_only_neighbours_that_are_alike_are_joined() -> None:
    """A cheek between lines, and a line that softens otherwise, keep them apart."""
    first, second, third = lines()
    other = replace(third, softening="bridging")
    cheek = cheeks()[0]
    laws: list[TractionLaw] = [first, second, cheek, third, other]
    found = joined_laws(laws, (4, 3, 4, 5, 5))
    assert [(part.start, part.stop) for _, part in found] == [(0, 7), (7, 11), (11, 16), (16, 21)]
    assert [law for law, _ in found[1:]] == [cheek, third, other]


@dataclass(frozen=True)
class Bearing:
    """Faces that bear on each other and are not glued: they never damage, and slide and part freely."""

    stiffness: float
    crushing_strength: float
    hardening: float = 0.0
    softening: str = "linear"

    @property
    def alike(self) -> int:
        return id(self)

    @property
    def closing(self) -> Closing:
        numbers = self.stiffness, self.crushing_strength, self.hardening
        return Closing(*(np.array([number]) for number in numbers))

    @classmethod
    def joined(cls, laws: Sequence[Bearing], counts: Sequence[int]) -> Bearing:
        raise AssertionError("a law that is alike to no other is never joined")

    def at(self, points: Integers) -> Bearing:
        return self

    def measure(self, jump: Array) -> Measure:
        one = np.ones(len(jump))
        return Measure(1e-150 * one, one, one)

    def undamaged(self, jump: Array) -> Undamaged:
        pressed = np.zeros((len(jump), 2))
        pressed[:, 1] = self.stiffness * np.minimum(jump[:, 1], 0.0)
        return Undamaged(self.measure(jump), np.zeros((len(jump), 2)), pressed)

    def secant(self, jump: Array, left: Array) -> Array:
        tangent = np.zeros((len(jump), 2, 2))
        tangent[:, 1, 1] = np.where(jump[:, 1] < 0, self.stiffness, 0.0)
        return tangent

    def drive(self, jump: Array, points: Integers) -> Drive:
        raise AssertionError("nothing damages it")


def test_a_law_of_another_making_is_followed_beside_glue() -> None:
    """A lever by hand: pulled up at one end, glued 10 mm further on, bearing on a stop 40 mm from the end.

    A rigid bar over body low: u = (rise at the glue, fall at the stop). Glue holds 4 / 3 of the load, the
    stop bears 1 / 3. Glue of 20 mm2 at 5 MPa gives at 75 N; a stop of 50 mm2 that crushes at 0.3 MPa gives
    way at 45 N, from where the bar is a mechanism. One that hardens by 8 N/mm3 stands at 0.5 MPa and 0.025 mm
    when the glue gives, and has spent 50 mm2 of 0.3 MPa 0.025 mm + 8 N/mm3 (0.025 mm)^2 / 2 = 0.5 N mm then.
    """
    surfaces = [
        BondedSurface(
            name=name,
            minus="low",
            plus="high",
            points=np.zeros((1, 2)),
            weight=np.array([area]),
            axes=np.eye(2)[None],
            jump=csr_matrix(rows),
            stiffness=np.diag([2200.0, 8000.0])[None],
        )
        for name, area, rows in (
            ("glue", 20.0, [[0.0, 0.0], [1.0, 0.0]]),
            ("stop", 50.0, [[0.0, 0.0], [0.0, -1.0]]),
        )
    ]
    load, pinned = np.array([4.0, 1.0]) / 3.0, np.zeros(0, dtype=np.int64)
    glue = lines()[0]
    path = follow_path(csr_matrix((2, 2)), surfaces, [glue, Bearing(8000.0, np.inf)], load, pinned)
    assert path.is_complete
    assert path.load.max() == pytest.approx(75.0, rel=1e-3)
    assert not path.damage["stop"].any()
    assert path.audit < 0.005
    with pytest.raises(PathFailure, match="singular") as caught:
        follow_path(csr_matrix((2, 2)), surfaces, [glue, Bearing(8000.0, 0.3)], load, pinned)
    assert caught.value.result is not None
    assert caught.value.result.load[-1] == pytest.approx(45.0, rel=1e-6)
    path = follow_path(csr_matrix((2, 2)), surfaces, [glue, Bearing(8000.0, 0.3, 8.0)], load, pinned)
    assert path.load[1] == pytest.approx(45.0, rel=1e-9)
    assert path.load.max() == pytest.approx(75.0, rel=1e-3)
    peak, crushed = path.highest, path.crushed["stop"][:, 0]
    assert crushed[peak] == pytest.approx(0.025, rel=3e-3)
    assert path.spent[peak] == pytest.approx(0.5, rel=3e-3)
    assert (np.diff(crushed) >= 0).all()
    assert crushed[-1] == crushed[peak]
    assert path.audit < 0.005
