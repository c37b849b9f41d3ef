"""Slips in the words of a command line: what a shell has split or left as it was, and what was meant."""

from __future__ import annotations

import argparse
import os
import re
from collections.abc import Iterable, Mapping, Sequence

LONG_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2212"
CURLY_QUOTES = "“”„‟«»‘’‚‛"
MOST_WORDS = 6  # of one path or value
NEEDS_QUOTES = "a path or value with a space needs quotes"
FILES = ("file", "files")
"""What commands call their arguments that are files to read."""


def slip_before_parsing(words: Sequence[str], parsers: Mapping[str, argparse.ArgumentParser]) -> str | None:
    """What is wrong with words that a parser might take for something else; None if nothing."""
    parser = parsers.get(words[0]) if words else None
    return (
        _typed_marks(words)
        or _split_path(words)
        or (None if parser is None else _one_dash(words, parser) or _split_value(words, parser))
    )


def slip_in_rest(words: Sequence[str], rest: Sequence[str], parser: argparse.ArgumentParser) -> str:
    """What is wrong with words that are left over: the first option nobody knows, else what stands alone."""
    chosen = [
        word for action in parser._actions if not action.option_strings for word in action.choices or ()
    ]
    for word in rest:
        if word.startswith("-"):
            return unknown_option(word.partition("=")[0], parser._option_string_actions)
    at = _place(words, rest)
    alone = " ".join(rest)
    if at == 0 or words[at - 1].startswith("-") or words[at - 1] in chosen or os.path.exists(words[at - 1]):
        return f"`{alone}` is more than this command takes"
    return f"`{alone}` stands alone: {NEEDS_QUOTES}, so type {_quoted(words, at - 1, at + len(rest))}"


def unknown_option(option: str, known: Iterable[str]) -> str:
    """What to say of an option that nobody knows.

    >>> unknown_option("-out", ["--out", "--json"])
    '-out is not known: did you mean --out (with two dashes)?'
    """
    from glueline.materials.names import nearest  # slow to load, and only a slip needs it

    known = list(known)
    meant = f"--{option.lstrip('-')}"
    if meant in known and not option.startswith("--"):
        return f"{option} is not known: did you mean {meant} (with two dashes)?"
    near = nearest(meant, known)
    return f"{option} is not known" + (f": did you mean {near}?" if near else "")


def nearest_choice(message: str) -> str:
    """A complaint about a word that is none of several, with the nearest of them before the whole list.

    >>> nearest_choice("argument COMMAND: invalid choice: 'predcit' (choose from 'predict', 'rank')")
    "argument COMMAND: 'predcit' is not known: did you mean predict? (choose from 'predict', 'rank')"
    """
    match = re.fullmatch(r"(.*?)invalid choice: '([^']*)' \(choose from (.*)\)", message, re.DOTALL)
    if match is None:
        return message
    from glueline.materials.names import nearest

    near = nearest(match[2], [word.strip("' ") for word in match[3].split(",")])
    if near is None:
        return message
    return f"{match[1]}'{match[2]}' is not known: did you mean {near}? (choose from {match[3]})"


def _typed_marks(words: Sequence[str]) -> str | None:
    """Long dashes and curly quotes, as they come from a letter or a web page."""
    for at, word in enumerate(words):
        option = word.lstrip(f"{LONG_DASHES}-")
        if word.startswith(tuple(LONG_DASHES)) and option[:1].isalpha():
            return f"{word} begins with a long dash: type --{option} (with two short ones)"
        if any(mark in word for mark in CURLY_QUOTES) and not os.path.exists(word):
            ends = [end for end in range(at, len(words)) if words[end].endswith(tuple(CURLY_QUOTES))]
            plain = [re.sub(f"[{CURLY_QUOTES}]", "", each) for each in words]
            right = _quoted(plain, at, (ends or [at])[0] + 1)
            return f"curly quotes do not hold words together here; type straight ones: {right}"
    return None


def _one_dash(words: Sequence[str], parser: argparse.ArgumentParser) -> str | None:
    """An option with one dash: the parser might take its first letter for another."""
    known = parser._option_string_actions
    for word in words:
        option = word.partition("=")[0]
        if re.fullmatch(r"-[a-z][a-z-]+", option) and f"-{option}" in known:
            return unknown_option(option, known)
    return None


def _split_path(words: Sequence[str]) -> str | None:
    """A path with spaces that is there, where its first part is not."""
    for at, word in enumerate(words):
        if at == 0 or word.startswith("-") or os.path.exists(word):
            continue
        for end in range(at + 2, min(at + MOST_WORDS, len(words)) + 1):
            if os.path.exists(" ".join(words[at:end])):
                return f"`{word}` is not there: {NEEDS_QUOTES}, so type {_quoted(words, at, end)}"
    return None


def _split_value(words: Sequence[str], parser: argparse.ArgumentParser) -> str | None:
    """A value with spaces whose second word would be taken for a file."""
    if not any(action.dest in FILES for action in parser._actions):
        return None
    for at, word in enumerate(words[:-2]):
        action = parser._option_string_actions.get(word)
        if action is None or action.nargs is not None or action.choices or words[at + 1].startswith("-"):
            continue
        end = at + 2
        while end < len(words) and _is_no_file(words[end]):
            end += 1
        if end > at + 2:
            alone = " ".join(words[at + 2 : end])
            return f"`{alone}` is no file here: {NEEDS_QUOTES}, so type {_quoted(words, at + 1, end)}"
    return None


def _is_no_file(word: str) -> bool:
    return not word.startswith("-") and not os.path.exists(word) and not re.search(r"[./\\]", word)


def _quoted(words: Sequence[str], start: int, end: int) -> str:
    """How the words from ``start`` to ``end`` would be typed, after the option that they belong to."""
    option = f"{words[start - 1]} " if start > 0 and words[start - 1].startswith("-") else ""
    return f'{option}"{" ".join(words[start:end])}"'


def _place(words: Sequence[str], rest: Sequence[str]) -> int:
    """Where ``rest`` stands among ``words``; 0 where it does not stand together."""
    for at in range(len(words) - len(rest), 0, -1):
        if list(words[at : at + len(rest)]) == list(rest):
            return at
    return 0
