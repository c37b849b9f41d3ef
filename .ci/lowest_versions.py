"""Prints the lowest versions that pyproject.toml allows, as a constraints file for pip."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

REQUIREMENT = re.compile(r"([A-Za-z0-9_.-]+)>=([0-9.]+)")


def lowest_versions(pyproject: str) -> list[str]:
    """Every dependency, those of extras too, held to its lower bound.

    Raises ValueError for one that is not written NAME>=VERSION and so has none.
    """
    project = tomllib.loads(pyproject)["project"]
    held = []
    for group in (project["dependencies"], *project["optional-dependencies"].values()):
        for requirement in group:
            match = REQUIREMENT.fullmatch(requirement)
            if match is None:
                raise ValueError(f"{requirement!r} must be written NAME>=VERSION")
            held.append(f"{match[1]}=={match[2]}")
    return sorted(set(held))


if __name__ == "__main__":
    project_file = Path(__file__).resolve().parents[1] / "pyproject.toml"
    sys.stdout.write("\n".join(lowest_versions(project_file.read_text(encoding="utf-8"))) + "\n")
