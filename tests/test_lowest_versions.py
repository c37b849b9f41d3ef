"""The lowest versions that pyproject.toml allows, as CI installs them."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SCRIPT = ROOT / ".ci" / "lowest_versions.py"
YANKED = {"scipy==1.11.0", "scipy==1.11"}  # on the package index: "License Violation"


def lowest(project: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """The script beside a pyproject.toml of its own."""
    (folder / ".ci").mkdir()
    copy = folder / ".ci" / SCRIPT.name
    copy.write_text(SCRIPT.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "pyproject.toml").write_text(project, encoding="utf-8")
    return subprocess.run([sys.executable, copy], capture_output=True, text=True, timeout=60, check=False)


def test_every_dependency_is_held_to_its_lower_bound(tmp_path: Path) -> None:
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    project = tomllib.loads(text)["project"]
    groups = (project["dependencies"], *project["optional-dependencies"].values())
    wanted = {requirement for group in groups for requirement in group}
    held = lowest(text, tmp_path).stdout.split()
    assert {each.replace("==", ">=") for each in held} == wanted
    assert not YANKED & set(held)


@pytest.mark.parametrize("requirement", ["numpy", "numpy<3", "numpy>=1.26,<3"])
def test_a_dependency_without_a_plain_lower_bound_is_refused(requirement: str, tmp_path: Path) -> None:
    done = lowest(f'[project]\ndependencies = ["{requirement}"]\n[project.optional-dependencies]\n', tmp_path)
    assert done.returncode != 0
    assert "NAME>=VERSION" in done.stderr
