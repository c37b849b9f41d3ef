"""On how many threads linear algebra runs: one, since matrices here are small and threads only wait for each
other (a corner with screws took eight times as long with two on a busy machine).

Settled before numpy is loaded, which is when the libraries look; what a user has set stays.
"""

from __future__ import annotations

import os

THREAD_SETTINGS = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "BLIS_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
    "NUMEXPR_NUM_THREADS",
)
"""What linear algebra libraries read, once, when they are loaded."""


def one_thread() -> None:
    """One thread, unless the user's environment says how many."""
    for name in THREAD_SETTINGS:
        os.environ.setdefault(name, "1")
