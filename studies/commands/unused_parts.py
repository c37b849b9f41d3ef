"""Parts of NumPy that SciPy would load with itself though nothing here uses them."""

from __future__ import annotations

import importlib.util
import sys

UNUSED = ("numpy.f2py", "numpy.testing")
"""SciPy takes over every public name of NumPy, these parts too: 40 ms with what they load in turn."""


def leave_unused_parts() -> None:
    """See to it that these parts are loaded when something asks for what is in them, and not before.

    Of use before SciPy is loaded; after that it changes nothing.

    >>> leave_unused_parts()
    >>> from numpy.testing import assert_equal  # loaded now
    >>> assert_equal(1, 1)
    """
    for name in UNUSED:
        spec = importlib.util.find_spec(name) if name not in sys.modules else None
        if spec is None or spec.loader is None:
            continue
        spec.loader = importlib.util.LazyLoader(spec.loader)
        part = importlib.util.module_from_spec(spec)
        sys.modules[name] = part
        spec.loader.exec_module(part)
        parent, _, own = name.rpartition(".")
        setattr(sys.modules[parent], own, part)
