"""Finding a row of a table by the name a maker would use for it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache


class UnknownName(ValueError):
    """A name that no table row goes by, or that several go by.

    ``nearest`` lists the names it may have meant, best first.

    >>> from glueline.materials import find_wood
    >>> try:
    ...     find_wood("mahogany")
    ... except UnknownName as error:
    ...     print(error.nearest)
    ['Mahogany (African)', 'Mahogany (true, Honduras)']
    """

    def __init__(self, kind: str, name: str, nearest: list[str], *, ambiguous: bool = False) -> None:
        self.kind = kind
        self.name = name
        self.nearest = nearest
        self.ambiguous = ambiguous
        message = (
            f"{name!r} could be more than one {kind}" if ambiguous else f"{name!r} is not a known {kind}"
        )
        if nearest:
            quoted = ", ".join(repr(each) for each in nearest)
            message += f"; say which: {quoted}" if ambiguous else f"; nearest: {quoted}"
        super().__init__(message)

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild, (self.kind, self.name, self.nearest, self.ambiguous)


def _rebuild(kind: str, name: str, nearest: list[str], ambiguous: bool) -> UnknownName:
    return UnknownName(kind, name, nearest, ambiguous=ambiguous)


@lru_cache(4096)
def plain(name: str) -> str:
    """The name in lower case, with hyphens, underscores and runs of space read as one space."""
    return re.sub(r"[\s_-]+", " ", name.casefold()).strip()


def near_names(name: str, known: Iterable[str], most: int, likeness: float) -> list[str]:
    """The known names most like ``name``, best first, of a ``likeness`` from 0 (none) to 1 (the same)."""
    by_plain = {plain(each): each for each in known}
    close = difflib.get_close_matches(plain(name)[:100], list(by_plain), n=most, cutoff=likeness)
    return [by_plain[each] for each in close]


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that ``name`` was most likely meant to be, if any is near.

    >>> nearest("hinge", ["hung weight", "hinged platform"])  # what it is the beginning of comes first
    'hinged platform'
    """
    known = list(known)
    begun = [each for each in known if plain(each).startswith(plain(name))] if len(plain(name)) > 2 else []
    return begun[0] if len(begun) == 1 else next(iter(near_names(name, known, most=1, likeness=0.5)), None)


def spellings(name: str) -> set[str]:
    """Every plain spelling of a table name that holds brackets.

    ``Sugar (hard) maple`` goes by itself, ``sugar maple``, ``hard maple`` and ``sugar hard maple``;
    ``Mahogany (true, Honduras)`` by itself, ``mahogany``, ``true mahogany`` and ``Honduras mahogany``.
    """
    plain_spellings = {plain(name)}
    bracket = re.fullmatch(r"\s*(.*?)\s*\(([^)]*)\)\s*(.*?)\s*", name)
    if bracket is None:
        return plain_spellings
    before, inside, after = bracket.groups()
    plain_spellings.add(plain(f"{before} {after}"))
    for part in inside.split(","):
        plain_spellings.add(plain(f"{part} {after}" if after else f"{part} {before}"))
        plain_spellings.add(plain(f"{before} {part} {after}"))
    return plain_spellings


class NameIndex:
    """Looks up table names by any of their spellings.

    ``also_called`` maps a table name to further names; those win over a spelling made by dropping brackets,
    and a full table name wins over both.
    """

    def __init__(self, kind: str, names: Iterable[str], also_called: Mapping[str, Iterable[str]]) -> None:
        self.kind = kind
        self._owners: dict[str, set[str]] = {}
        own = {plain(name): name for name in names}
        shop: dict[str, set[str]] = {}
        loose: dict[str, set[str]] = {}
        for name in own.values():
            for other in also_called.get(name, ()):
                shop.setdefault(plain(other), set()).add(name)
            for spelling in spellings(name):
                loose.setdefault(spelling, set()).add(name)
        self._owners = {**loose, **shop, **{key: {name} for key, name in own.items()}}

    def find(self, name: str) -> str:
        """The table name that ``name`` stands for. Raises UnknownName if none or several answer to it."""
        key = plain(name)
        owners = self._owners.get(key, set())
        if len(owners) == 1:
            return next(iter(owners))
        if owners:
            raise UnknownName(self.kind, name, sorted(owners), ambiguous=True)
        raise UnknownName(self.kind, name, self._nearest(key))

    def _nearest(self, key: str) -> list[str]:
        close = near_names(key, self._owners, most=6, likeness=0.6)
        words = set(key.split())
        close += sorted(other for other in self._owners if words & set(other.split()))
        close = close or near_names(key, self._owners, most=3, likeness=0.0)
        nearest: list[str] = []
        for other in close:
            nearest += [name for name in sorted(self._owners[other]) if name not in nearest]
        return nearest[:4]
