"""Kept corners are ranked as ``glueline rank`` ranks them, from their answers alone."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from glueline.studies.files.json_text import Damaged
from glueline.studies.page.kept import rank_kept
from glueline.studies.page.questions import Kept
from tests.studies.made_up_answers import made_up


def kept(name: str, load: float, band: tuple[float, float] | None) -> Kept:
    answer = made_up(load, band=band)
    plain: Any = msgspec.to_builtins(answer)
    return Kept(name, plain)


def test_the_strongest_stands_first() -> None:
    ranked = rank_kept([kept("a", 400.0, (300.0, 500.0)), kept("b", 900.0, (700.0, 1200.0))], "metric")
    assert ranked["order"] == [1, 0]
    assert [row["name"] for row in ranked["rows"]] == ["b", "a"]
    assert ranked["rows"][0]["load"] == "900 N"
    assert ranked["rows"][0]["index"] == 1
    assert any("larger than the scatter" in claim for claim in ranked["claims"])


def test_no_order_is_claimed_where_bands_overlap() -> None:
    both = [kept("corner", 400.0, (300.0, 600.0)), kept("corner", 500.0, (350.0, 700.0))]
    claims = " ".join(rank_kept(both, "imperial")["claims"])
    assert "no order is claimed" in claims.casefold()


def test_a_damaged_answer_is_told() -> None:
    with pytest.raises(Damaged):
        rank_kept([Kept("a", {"joint": "butt"})], "metric")
