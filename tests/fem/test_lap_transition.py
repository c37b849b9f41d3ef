"""The lap joint's limits and its transition between them; see tests/fem/lap_transition.py for the curves."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.fem import lap_transition
from tests.fem.lap_transition import LENGTHS, Row, row


@cache
def rows() -> tuple[Row, ...]:
    """All laps, followed once for all tests: about two seconds."""
    return tuple(row(length) for length in LENGTHS)


def test_ductile_limit() -> None:
    """Area times strength within 5 % (0.1 % is reached), without snap-back."""
    short = rows()[0]
    assert short.followed == pytest.approx(short.area_times_strength, rel=0.05)
    assert not short.snaps_back


def test_brittle_limit() -> None:
    """2 sqrt(G E t) within 5 % (0.1 % is reached), with snap-back."""
    long = rows()[-1]
    assert long.followed == pytest.approx(long.energy_limit, rel=0.05)
    assert long.snaps_back


def test_transition() -> None:
    """Within 2 % of the bilinear closed form; from Volkersen's curve up to the lesser limit; audits hold."""
    for one in rows():
        print(f"l {one.overlap:g}: {one.over_bilinear:.4f}, Volkersen {one.generalised_volkersen:.1f} N/mm")
        assert one.over_bilinear == pytest.approx(1.0, abs=0.02)
        assert one.followed > 0.998 * one.generalised_volkersen
        assert one.followed < 1.002 * min(one.area_times_strength, one.energy_limit)
        assert one.energy_audit < 0.005
    gap = [one.followed / one.generalised_volkersen for one in rows()]
    assert 1.05 < max(gap) < 1.12, "in between Volkersen's curve is low by up to a tenth"


def test_kept_table_still_holds() -> None:
    """The table in the repository is what the laps give today, to 0.5 % of the load."""
    with (Path(__file__).parent / "lap_transition.csv").open() as file:
        kept = list(csv.DictReader(file))
    assert len(kept) == len(rows())
    for line, one in zip(kept, rows(), strict=True):
        assert float(line["overlap"]) == one.overlap
        assert float(line["followed"]) == pytest.approx(one.followed, rel=0.005)
        assert float(line["generalised_volkersen"]) == pytest.approx(one.generalised_volkersen, rel=1e-5)


def test_script_writes_table_and_picture(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A CSV that reads back and a PNG that opens; without a directory it says how it is called."""
    monkeypatch.setattr(lap_transition, "LENGTHS", (4.0, 40.0, 160.0))
    assert lap_transition.main([str(tmp_path)]) == 0
    with (tmp_path / "lap_transition.csv").open() as file:
        read = list(csv.DictReader(file))
    assert [float(line["overlap"]) for line in read] == [4.0, 40.0, 160.0]
    assert np.diff([float(line["followed"]) for line in read]).min() > 0
    with Image.open(tmp_path / "lap_transition.png") as picture:
        assert picture.format == "PNG"
        assert min(picture.size) > 600
    assert lap_transition.main([]) == 2
