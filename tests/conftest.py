"""Options shared by all tests."""

from __future__ import annotations

import pytest
from hypothesis import settings

# On a busy machine a test is not wrong because it is late.
settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--run-slow``."""
    parser.addoption("--run-slow", action="store_true", help="run the tests marked slow as well")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Skip what is marked slow unless it was asked for."""
    if config.getoption("--run-slow"):
        return
    skip = pytest.mark.skip(reason="slow: run with --run-slow")
    for item in items:
        if "slow" in item.keywords:
            item.add_marker(skip)
