"""Options shared by all tests."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import settings

from glueline.studies.files import copies

# On a busy machine a test is not wrong because it is late.
settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--run-slow``."""
    parser.addoption("--run-slow", action="store_true", help="run the tests marked slow as well")


def pytest_configure(config: pytest.Config) -> None:
    """The order of files below stands: pytest-xdist would begin with those of most tests, long or short.

    Tests note what is done in their own process, so no work is shared out to copies of it.
    """
    config.option.loadscopereorder = False
    copies.MOST = 1


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Skip what is marked slow unless it was asked for; then files of many slow tests come first.

    A file runs in one process: a long one at the end would leave the others waiting.
    """
    if config.getoption("--run-slow"):
        slow = Counter(item.path for item in items if "slow" in item.keywords)
        tests = Counter(item.path for item in items)
        items.sort(key=lambda item: (-slow[item.path], -tests[item.path], item.path))
        return
    skip = pytest.mark.skip(reason="slow: run with --run-slow")
    for item in items:
        if "slow" in item.keywords:
            item.add_marker(skip)
