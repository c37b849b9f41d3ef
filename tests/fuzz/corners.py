"""Random corners that the reader lets pass: every kind, lay, wood, glue, arrangement and way to make them."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

from glueline.geometries import JOINTS
from glueline.geometries.joint_kind import JointKind
from glueline.materials import glue_names, wood_names
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.files.failures import InputError
from glueline.studies.files.key_changes import joint_fields

TRIES = 400
"""How often a corner of a kind is drawn before it counts as not to be had."""


def random_corner(kind: str, chance: random.Random) -> Specimen:
    """A corner of that kind. Raises LookupError where none of many is valid."""
    for _ in range(TRIES):
        tables = _tables(JOINTS[kind], chance)
        try:
            return specimen_of("random", tables)
        except InputError as error:
            last = error
    raise LookupError(f"no {kind} corner in {TRIES} tries: {last}")


def _tables(kind: JointKind, chance: random.Random) -> dict[str, dict[str, Any]]:
    lay = chance.choice(kind.lays)
    thickness = chance.choice((chance.uniform(6, 15), chance.uniform(15, 25), chance.uniform(25, 60)))
    width = chance.uniform(2, 12) * thickness
    deep = thickness if lay == "box" else width
    boards = {
        "thickness": _mm(thickness),
        "width": _mm(width),
        "leg": _mm(deep * chance.uniform(3.01, 12)),
        "lay": lay,
        "wood": chance.choice(wood_names()),
        "sawn": chance.choice(("flat", "quarter")),
        "moisture": f"{chance.uniform(6, 18):.1f} %",
    }
    if chance.random() < 0.3:
        boards["wood_b"] = chance.choice(wood_names())
    if kind.allows_thickness_b and chance.random() < 0.4:
        boards["thickness_b"] = _mm(thickness * chance.uniform(0.6, 1.6))
    glue = {
        "kind": chance.choice([name for name in glue_names() if name != "none" or _may_be_dry(kind)]),
        "quality": f"{chance.uniform(30, 150):.0f} %",
        "gap": _mm(chance.choice((0.1, chance.uniform(0.05, 0.6)))),
        "coverage": f"{chance.uniform(30, 100):.0f} %",
    }
    if glue["kind"] == "none":
        glue = {"kind": "none"}
    return {
        "joint": {"kind": kind.kind, **_measures(kind, thickness, width, chance)},
        "boards": boards,
        "glue": glue if chance.random() < 0.8 else {"kind": glue["kind"]},
        "load": {"arrangement": chance.choice(list(ARRANGEMENTS))},
    }


def _may_be_dry(kind: JointKind) -> bool:
    return kind.holds_dry or not kind.surfaces


def _measures(kind: JointKind, thickness: float, width: float, chance: random.Random) -> dict[str, Any]:
    """Measures of a joint: what it cannot do without, and some of what may be left out."""
    measures: dict[str, Any] = {}
    for name, about in joint_fields(kind).items():
        other = about.get("exclusive_with")
        needed = about["required"] and other not in measures
        if other in measures or not (needed or chance.random() < 0.3):
            continue
        measures[name] = _measure(about, thickness, width, chance)
    for name, about in joint_fields(kind).items():
        if measures.get(name) is True:
            measures.pop(about.get("voids"), None)
    return measures


def _measure(about: Mapping[str, Any], thickness: float, width: float, chance: random.Random) -> Any:
    quantity = about["quantity"]
    if quantity == "count":
        return chance.choice((1, 2, 3, 4, 5, 7, 9, max(1, round(width / thickness))))
    if quantity == "choice":
        return chance.choice(about["choices"])
    if quantity == "yes or no":
        return chance.random() < 0.5
    if quantity == "wood name":
        return chance.choice(wood_names())
    if quantity == "slope":
        return f"1:{chance.choice((4, 5, 6, 7, 8, 10))}"
    if quantity == "angle":
        return f"{chance.uniform(8, 30):.1f} deg"
    if quantity == "force":
        return f"{chance.uniform(100, 5000):.0f} N"
    if quantity == "stiffness":
        return f"{chance.uniform(50, 5000):.0f} N/mm"
    size = chance.choice(
        (thickness * chance.uniform(0.1, 1.0), thickness * chance.uniform(0.5, 2.5), width * 0.4)
    )
    return _mm(size)


def _mm(length: float) -> str:
    return f"{length:.1f} mm" if length >= 1 else f"{length:.2f} mm"
