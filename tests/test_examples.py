"""Every example in a docstring holds, and every public entry has one."""

from __future__ import annotations

import contextlib
import doctest
import importlib
import io
import pkgutil
from typing import Any

import pytest

import glueline

MODULES = [
    "glueline",
    *(
        module.name
        for module in pkgutil.walk_packages(glueline.__path__, "glueline.")
        if not module.name.endswith("__main__") and ".public" not in module.name
    ),
]

ENTRIES = {
    "glueline": glueline.__all__,
    "glueline.geometries": importlib.import_module("glueline.geometries").__all__,
    "glueline.materials": importlib.import_module("glueline.materials").__all__,
    "glueline.fem.cheek_law": ["CheekLaw"],
    "glueline.fem.line_law": ["LineLaw"],
    "glueline.fem.mirror": ["find_mirror"],
    "glueline.fem.model": ["Body", "Mesh", "Model"],
    "glueline.fem.path": ["follow_path"],
    "glueline.fem.solve": ["ElasticSystem.solve"],
    "glueline.fem.stress": ["grain_rows"],
    "glueline.fem.ties": ["BondArea", "BondLine"],
    "glueline.studies.corner.arrangements": ["LoadArrangement"],
    "glueline.studies.corner.connections": ["connections_of"],
    "glueline.studies.corner.model": ["build_corner"],
    "glueline.studies.corner.specimen": ["Specimen"],
    "glueline.studies.files.json_text": ["json_text", "read_json"],
    "glueline.studies.files.units": [
        "format_cut",
        "format_force",
        "format_length",
        "format_limit",
        "format_moment",
        "format_share",
        "format_stress",
        "parse",
        "parse_length",
        "parse_mass",
        "parse_share",
        "parse_weight",
    ],
}

VALUES_ONLY = {
    "Bond": "a row of numbers; the example of bond shows it",
    "Cell": "an outline and what fills it; the example of Layout shows them",
    "CheekBond": "a row of numbers; the example of cheek_bond shows it",
    "CheekSide": "a row of numbers; the example of cheek_bond shows it",
    "DowelBond": "a row of numbers; the example of dowel_bond shows it",
    "Face": "two distances",
    "FastenerFigure": "a number, what is credible and its source; the example of fastener_figure shows it",
    "Part": "three sizes",
    "PressedFace": "a wood, an angle and a depth; the example of crushing_hardening shows it",
    "Piece": "a name, whose wood, and an angle; the example of Layout shows it",
}
"""Public entries without behaviour, whose example would only repeat their fields."""


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_hold(name: str) -> None:
    module = importlib.import_module(name)
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        found = doctest.testmod(module, optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    assert found.failed == 0, printed.getvalue()


@pytest.mark.parametrize(
    ("module", "name"), [(module, name) for module, names in ENTRIES.items() for name in names]
)
def test_a_public_entry_has_an_example(module: str, name: str) -> None:
    """In its own docstring or in that of its class; constants have none."""
    owners: list[Any] = [importlib.import_module(module)]
    for part in name.split("."):
        owners.append(getattr(owners[-1], part))
    if callable(owners[-1]) and name not in VALUES_ONLY:
        assert any(">>>" in (owner.__doc__ or "") for owner in owners[1:])


def test_what_is_let_off_is_still_there_and_still_bare() -> None:
    for name in VALUES_ONLY:
        module = next(module for module, names in ENTRIES.items() if name in names)
        assert ">>>" not in getattr(importlib.import_module(module), name).__doc__
