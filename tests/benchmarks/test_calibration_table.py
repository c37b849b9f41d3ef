"""The table of simulated calibrations: a killed run goes on where it was; the numbers of its head hold."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from tests.benchmarks.calibration import HEAD, TABLE, WORLDS, Outcome, World, lines_of, table

LOADS = {name: np.linspace(100.0, 200.0, 8) for name in ("butt", "mitre", "finger", "splined_mitre")}
LINES = len(lines_of(list(LOADS)))


class Simulated:
    """Stands for the simulation: made-up outcomes, counted, and a kill before the line ``killed_at``."""

    def __init__(self, killed_at: int = LINES) -> None:
        self.calls, self.killed_at = 0, killed_at

    def __call__(self, _: object, name: str, using: tuple[str, ...], world: World, *__: object) -> Outcome:
        if self.calls == self.killed_at:
            raise KeyboardInterrupt
        self.calls += 1
        number = len(name) + 10 * len(using) + 100 * WORLDS.index(world)
        return Outcome(number / 7000, number / 9000, 1 / 3, 2 / 3, number)


def test_a_killed_run_goes_on_where_it_was(tmp_path: Path) -> None:
    """To the same table, though the kill tore the line that was being kept."""
    whole = table(LOADS, 50, 0.3, tmp_path / "whole", Simulated())
    kept, first, second = tmp_path / "kept", Simulated(killed_at=3), Simulated()
    with pytest.raises(KeyboardInterrupt):
        table(LOADS, 50, 0.3, kept, first)
    text = kept.read_text(encoding="utf-8")
    kept.write_text(text.rstrip()[:-20], encoding="utf-8")
    assert table(LOADS, 50, 0.3, kept, second) == whole
    assert (first.calls, second.calls) == (3, LINES - 2)


@pytest.mark.parametrize(("loads", "days"), [(LOADS, 49), ({**LOADS, "butt": LOADS["mitre"] + 1.0}, 50)])
def test_lines_of_other_inputs_are_made_anew(loads: dict[str, np.ndarray], days: int, tmp_path: Path) -> None:
    kept, again = tmp_path / "kept", Simulated()
    table(LOADS, 50, 0.3, kept, Simulated())
    table(loads, days, 0.3, kept, again)
    assert again.calls == LINES


def test_the_table_that_is_kept_has_this_head() -> None:
    assert TABLE.read_text(encoding="utf-8").startswith(
        HEAD.format(days=50) + "\nweak glue, small model errors: "
    )


def test_the_numbers_of_the_head() -> None:
    """Of days on which a normal error lies within so many of its standard deviations, both sides."""

    def reach(held: float) -> float:
        return float(norm.ppf(0.5 + held / 2))

    def missed(deviations: float) -> float:
        return float(2 * norm.sf(deviations))

    assert [round(reach(held), 3) for held in (0.90, 0.97)] == [1.645, 2.17]
    assert [round(30 * reach(held)) for held in (0.90, 0.97)] == [49, 65]
    assert round(3 * reach(0.90), 1) == 4.9
    assert missed(3 * reach(0.90)) == pytest.approx(1e-6, rel=0.25)
    assert [round(10 * reach(held)) for held in (0.90, 0.97)] == [16, 22]
    assert [round(100 * (1 - missed(reach(held) / 3))) for held in (0.90, 0.97)] == [42, 53]
    small, large = (float(np.sqrt(2 * error**2 + 0.15**2 / 5)) for error in (0.1, 0.3))
    assert [round(100 * each) for each in (small, large)] == [16, 43]
    assert round(1e6 * missed(reach(0.90) * large / small)) == 6
