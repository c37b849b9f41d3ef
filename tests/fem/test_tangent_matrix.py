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
    _, _, solver, rounds = nearby(700, 13)
    assert solver(np.random.default_rng(2).normal(size=700)) is None
    assert 0 < len(rounds) <= 16
