"""Finished lines of a long table, kept in a file so that a run that was killed goes on where it was."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path


@dataclass
class KeptLines:
    """Numbers by line, in a file of one JSON object a line; those of other inputs are not looked at.

    ``made_from`` tells inputs apart. What was being written when a run was killed is a line not finished yet.
    """

    path: Path
    made_from: str
    found: dict[str, Mapping[str, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.path.exists():
            return
        for text in self.path.read_text(encoding="utf-8").splitlines():
            try:
                line = json.loads(text)
            except ValueError:
                continue
            if line["made_from"] == self.made_from:
                self.found[line["line"]] = line["numbers"]

    def add(self, line: str, numbers: Mapping[str, float]) -> None:
        """Keep the numbers of a line, on the disk before this returns."""
        self.found[line] = numbers
        text = json.dumps({"made_from": self.made_from, "line": line, "numbers": dict(numbers)})
        with self.path.open("a+", encoding="utf-8") as file:
            # Behind a line that a kill has torn a new one begins.
            file.write(f"\n{text}\n")
            file.flush()
            os.fsync(file.fileno())
