"""One wording for what every table, picture, sheet and page says, and the terms of engineers behind it.

A maker's word stands everywhere; the engineer's term stands beside it once, in the report's glossary.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

BAND = "5 to 95 %"
"""The ends of the band, wherever it is shown."""

ANSWERS = {"progressive": "followed until it breaks", "elastic": "elastic answer"}
"""What an answer of each method is called."""


class Word(NamedTuple):
    """A maker's word, the engineer's term, and what is meant."""

    word: str
    term: str
    meaning: str


GLOSSARY = (
    Word(
        ANSWERS["progressive"],
        "progressive answer",
        "the corner is loaded past its highest load, while glue softens and lets go on the way",
    ),
    Word(
        ANSWERS["elastic"],
        "linear elasticity",
        "the corner springs back from any load, so the answer ends where the first place reaches its limit",
    ),
    Word(
        f"band, {BAND}",
        "5th and 95th percentile",
        "of a hundred corners made alike five break below it and five above: nine of ten break inside",
    ),
    Word(
        "scatter",
        "coefficient of variation, cov",
        "how far pieces made alike differ: two of three lie within this share of the mean",
    ),
    Word(
        "bending at the corner",
        "corner moment",
        "the load times its arm, the distance of its line from the inside corner",
    ),
    Word(
        "how far it gives under load",
        "compliance of the load point",
        "how far the place that is loaded moves, over the load that moves it",
    ),
    Word(
        "glue between boards whose grain crosses",
        "crossed grain",
        "glued cheeks of which the grain of one board lies across that of the other",
    ),
    Word(
        "rolling shear",
        "shear in the plane across the grain",
        "fibres that lie across the push roll over each other like pencils; few woods hold much of it",
    ),
    Word(
        "pairs counted together",
        "Holm's correction",
        "of many pairs some differ by chance, so each has to differ the more clearly, the more there are",
    ),
    Word(
        "order as predicted",
        "Spearman's rank correlation",
        "1 where measured and predicted order are the same, -1 where one is the other turned round",
    ),
)


def answers_said(methods: Iterable[str]) -> str:
    """How answers were found, each way once.

    >>> answers_said(["progressive", "progressive"]), answers_said(["progressive", "elastic"])
    ('followed until it breaks', 'followed until it breaks and elastic answer')
    """
    return " and ".join(ANSWERS.get(method, method) for method in dict.fromkeys(methods))
