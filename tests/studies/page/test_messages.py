"""Messages with arrays: what is packed is unpacked, aligned, and never a number that nobody can draw."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.studies.page.messages import packed, unpacked


@given(st.text(max_size=9), st.lists(st.floats(-1e6, 1e6, width=32), max_size=7))
def test_what_is_packed_is_unpacked(word: str, numbers: list[float]) -> None:
    places = np.array(numbers, dtype=np.float32)
    message = packed({"word": word}, {"places": places, "piece": np.arange(6).reshape(2, 3)})
    assert int.from_bytes(message[:4], "little") % 4 == 0
    header, arrays = unpacked(message)
    assert header == {"word": word}
    assert (arrays["places"] == places).all()
    assert arrays["piece"].dtype == np.uint32
    assert arrays["piece"].tolist() == [[0, 1, 2], [3, 4, 5]]


def test_what_is_cut_off_or_not_finite_is_refused() -> None:
    message = packed({}, {"places": np.ones((3, 2))})
    with pytest.raises(ValueError, match="ends within places"):
        unpacked(message[:-1])
    with pytest.raises(ValueError, match="share has numbers that are not finite"):
        packed({}, {"share": np.array([1.0, np.nan])})
