"""Giving memory back: what workers do that compute one corner after the other for hours.

A followed path leaves cycles of large arrays behind, which Python looks for seldom because they are few
objects; and what the C library has freed in the middle of its heap it keeps. Together that came to several
times of what is still used.
"""

from __future__ import annotations

import ctypes
import gc
import sys
from collections.abc import Callable
from functools import cache


def keep_for_good() -> None:
    """What is loaded now stays: ``give_back`` need not look at it again."""
    gc.collect()
    gc.freeze()


def give_back() -> None:
    """Free what nothing refers to any more; some milliseconds after ``keep_for_good``."""
    gc.collect()
    _trimmer()(0)


@cache
def _trimmer() -> Callable[[int], object]:
    """What returns the heap's free pages to the system, which only the C library of Linux is asked for."""
    if sys.platform.startswith("linux"):
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
        if trim is not None:
            return lambda spare: trim(ctypes.c_size_t(spare))
    return lambda _: None
