"""Where a number comes from and how well it is known."""

from __future__ import annotations

from dataclasses import dataclass

MARKS = ("read in source", "from memory", "derived", "estimate", "judgement")
"""The five degrees of knowledge, best first.

``derived`` is arithmetic on other numbers, ``estimate`` a fit or a median, ``judgement`` a reasoned choice.
"""


@dataclass(frozen=True)
class Provenance:
    """The source of one number and the mark that says how it was obtained.

    Raises ValueError if the mark is not one of ``MARKS``.

    >>> from glueline.materials import find_wood
    >>> find_wood("hard maple").provenance["density"].mark
    'derived'
    """

    source: str
    mark: str

    def __post_init__(self) -> None:
        if self.mark not in MARKS:
            raise ValueError(f"mark {self.mark!r} is not one of {', '.join(MARKS)}")
