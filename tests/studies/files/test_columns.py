"""Rows of text in columns."""

from __future__ import annotations

from glueline.studies.files.columns import aligned

ROWS = [["a", "b"], ["", "mm"], ["first", "1"], ["x", "100"]]


def test_columns_line_up_under_their_head() -> None:
    assert aligned(ROWS, head=2, right=(1,)) == "a        b\n        mm\n-----  ---\nfirst    1\nx      100"
    assert aligned(ROWS[:2]) == "a  b\n-  --\n   mm"
    assert aligned(ROWS[2:], head=0) == "first  1\nx      100"
