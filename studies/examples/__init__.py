"""The packaged example corners."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

EXAMPLES = ("butt", "mitre", "finger", "splined_mitre")
"""The examples by name, in the order of the demo."""


def example_path(name: str) -> Path:
    """The file of an example. Raises KeyError for a name that is not one of EXAMPLES."""
    if name not in EXAMPLES:
        raise KeyError(f"{name!r} is not an example; there are {', '.join(EXAMPLES)}")
    return Path(str(files("studies.examples") / f"{name}.toml"))
