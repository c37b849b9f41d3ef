"""The bar of a terminal: beside it work can be shared out, and a log has nothing of it."""

from __future__ import annotations

import subprocess
import sys

import pytest

SHOWN = """
import io, sys, threading
from glueline.studies.files.bar import terminal_bar
class Shown(io.StringIO):
    def isatty(self):
        return {seen}
sys.stderr = Shown()
with terminal_bar(total=2, desc="corners", unit="corner") as bar:
    bar.set_postfix_str("butt")
    bar.update()
    print(threading.active_count())
print(repr(sys.stderr.getvalue()))
"""


@pytest.mark.parametrize("seen", [True, False])
def test_no_thread_watches_it_and_a_log_stays_empty(seen: bool) -> None:
    """A process of one thread can be copied (``copies.py``); on a terminal the bar is gone at the end."""
    words = [sys.executable, "-c", SHOWN.format(seen=seen)]
    threads, written = subprocess.run(words, check=True, capture_output=True, text=True).stdout.splitlines()
    assert threads == "1"
    if not seen:
        assert written == "''"
        return
    assert "corners" in written
    assert "butt" in written
    assert written.rstrip("'").endswith("\\r")
