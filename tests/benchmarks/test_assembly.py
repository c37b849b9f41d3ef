"""The two assemblies that the benchmark times give the same matrix; the times are nobody's pass or fail."""

from __future__ import annotations

import pytest

pytest.importorskip("skfem")

from tests.benchmarks import assembly


@pytest.mark.parametrize("unknowns", [2_000, pytest.param(100_000, marks=pytest.mark.slow)])
def test_same_matrix(unknowns: int) -> None:
    """To 1e-12 of the largest entry."""
    case = assembly.prepare(unknowns)
    assert case.model.unknowns == pytest.approx(unknowns, rel=0.05)
    assert assembly.difference(case) <= 1e-12
