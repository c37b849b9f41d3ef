"""matplotlib, loaded without the help texts that it writes as it loads: a third of that time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib
from matplotlib.artist import Artist

HELP = "_update_set_signature_and_docstring"
"""What writes the help of the ``set`` of a class as the class is made, and nothing else."""


@contextmanager
def without_help_texts() -> Iterator[None]:
    """Inside, classes of the library are made without the help of their ``set``, if it is still made so."""
    kind: Any = Artist
    before = vars(kind).get(HELP)
    if before is None:
        yield
        return
    setattr(kind, HELP, classmethod(lambda _: None))
    try:
        yield
    finally:
        setattr(kind, HELP, before)


with without_help_texts():
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

__all__ = ["Figure", "FigureCanvasAgg", "matplotlib", "without_help_texts"]
