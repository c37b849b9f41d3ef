"""Solving with the factors of a matrix nearby, against numpy's own solver."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sparse

from glueline.fem.tangent_matrix import Near, TangentMatrix

ACCURACY = 1e-9


def tied(size: int, points: int) -> tuple[TangentMatrix, np.ndarray]:
    """A chain of ``size`` springs with ``points`` of bond from unknowns to the ground, and its tangents."""
    chain = sparse.diags(
        [np.full(size - 1, -100.0), np.full(size, 201.0), np.full(size - 1, -100.0)], (-1, 0, 1)
    )
    places = np.linspace(0, size - 2, points).astype(int)
    columns = np.stack([places, places + 1], axis=1).ravel()
    jump = sparse.csr_matrix(
        (np.ones(2 * points), (np.arange(2 * points), columns)), shape=(2 * points, size)
    )
    tangent = np.tile(np.array([[40.0, 3.0], [1.0, 70.0]]), (points, 1, 1))
    return TangentMatrix(chain.tocsr(), jump, np.ones(points)), tangent


def nearby(size: int, changed: int, accuracy: float = ACCURACY):  # type: ignore[no-untyped-def]
    matrix, tangent = tied(size, 40)
    before = matrix.factored(matrix.filled(tangent))
    after = tangent.copy()
    after[: 3 * changed : 3] *= -np.linspace(0.3, 0.9, changed)[:, None, None]  # these soften
    rounds: list[int] = []

    def counted(right: np.ndarray) -> np.ndarray:
        rounds.append(1)
        return before.solve(right)

    return matrix, matrix.filled(after), matrix.nearby(after, Near(tangent, counted), accuracy), rounds


@pytest.mark.parametrize("size", [200, 399, 700])
def test_as_exact_as_factors_of_its_own(size: int) -> None:
    matrix, filled, solver, _ = nearby(size, 1)
    right = np.random.default_rng(1).normal(size=size)
    solution = solver(right)
    assert solution is not None
    own = matrix.factored(filled).solve(right)
    assert np.abs(solution - own).max() < 1e-6 * np.abs(own).max()


@pytest.mark.parametrize("changed", [1, 2, 3])
def test_exact_once_every_changed_tangent_has_its_rounds(changed: int) -> None:
    """Two for each point: the change has that rank, so the method ends by then (Eisenstat 1983)."""
    _, _, solver, rounds = nearby(700, changed)
    assert solver(np.ones(700)) is not None
    assert len(rounds) <= 2 * changed + 1


def test_a_second_right_side_costs_nothing_that_the_first_has_found() -> None:
    _, _, solver, rounds = nearby(700, 2)
    first = solver(np.ones(700))
    taken = len(rounds)
    second = solver(3.0 * np.ones(700))
    assert first is not None
    assert second is not None
    assert len(rounds) == taken > 0
    assert np.allclose(second, 3.0 * first, rtol=1e-7)


def test_a_guess_that_is_near_enough_costs_no_round() -> None:
    _, _, solver, rounds = nearby(700, 2, 1e-6)
    first = solver(np.ones(700))
    taken = len(rounds)
    assert first is not None
    again = solver(np.ones(700), first)
    assert again is first
    assert len(rounds) == taken > 0


def test_nothing_where_too_much_has_changed() -> None:
    """As many rounds as factors take, and none where it can be told before."""
    _, _, solver, rounds = nearby(700, 10)
    assert solver is not None
    assert solver(np.random.default_rng(2).normal(size=700)) is None
    assert 0 < len(rounds) <= 16
    matrix, tangent = tied(700, 40)
    near = Near(tangent, matrix.factored(matrix.filled(tangent)).solve)
    assert matrix.nearby(1.01 * tangent, near, ACCURACY) is not None
    assert matrix.nearby(100.0 * tangent, near, ACCURACY) is None


def test_changes_count_by_what_they_are_against_bond_and_bodies() -> None:
    """By hand: a point has the give 1 / 201 of one unknown of the chain in either direction."""
    matrix, before = tied(700, 40)
    after = before.copy()
    after[3, 0, 0] = 20.0
    after[5, 1, 1] = 170.0
    after[7, 0, 1] = 9.0  # what couples them does not count
    give = 1 / 201
    by_hand = 20 * give / (1 + 40 * give) + 100 * give / (1 + 70 * give)
    assert matrix.changed(after, before) == pytest.approx(by_hand, rel=1e-12)
    after[:] = 1e9
    assert matrix.changed(after, before) == 80.0  # none by more than one
