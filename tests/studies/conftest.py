"""What several tests of studies share."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.studies.files import Bench


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A directory with a specimen file of its own."""
    return Bench(tmp_path)
