"""Every material value that an answer rests on: its number, its unit, its scatter and its source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from glueline.fem.bond import BondedSurface
from glueline.materials import Bond, CheekBond, Glue, Provenance, Wood, glue_source, glue_to_tables
from glueline.materials.wood import FOLLOWS_MOISTURE, PROPERTIES, STANDARD_MOISTURE
from glueline.materials.workmanship import DAMP, SIZED_45, SIZED_END, Workmanship
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.display import property_unit

Entry = dict[str, Any]

MOISTURE_RULE = (
    "Moved from 12 % to {moisture:g} % moisture: bending, compression, shear along the grain and the moduli "
    "by the formula of the Wood Handbook (FPL-GTR-190, eq. 5-3, recalled), rolling shear with shear "
    "along the grain, density by the weight of the water; the rest stays."
)
BOND_RULE = (
    "by rule from the glue's rows, the wood and the angle of its grain: the lesser of film and wood, "
    "between the rows by Hankinson's form, times what workmanship and moisture leave"
)
CHEEK_RULE = (
    "by rule from the glue's side-grain row and the wood: the lesser of film and wood; rolling is across "
    "the grain, by the shares of the glue's crossed row"
)
SIZED_SOURCE = Provenance(
    "a primer more than doubled, and a heavier spread made 2.6 times, the strength of polyurethane end-grain "
    "bonds (Follrich et al., part 2); 45 degrees by judgement",
    "judgement",
)
NOT_STATED = "no source stated where the value was given"


def materials_used(corner: CornerModel, label: str = "") -> tuple[Entry, ...]:
    """The woods, the glue and what each bond holds, in the order in which they matter to a reader.

    Each entry holds kind ("wood", "glue" or "bond"), name, used_for (list of texts, led by ``label`` if there
    is one), notes and values; a value holds key, value, unit, cov, mark and source, None where there is none.
    """
    specimen = corner.specimen
    entries = [
        _wood(wood, [f"{label}: {member}" if label else member for member in members])
        for wood, members in _woods_of(specimen)
    ]
    entries.append(_glue(specimen.glue, specimen.workmanship, specimen.moisture, label))
    entries += [_bond(corner.bonds[surface.name], surface, label) for surface in corner.surfaces]
    return tuple(entries)


def merged(entries: Iterable[Entry]) -> list[Entry]:
    """Entries with the same contents as one, used for all that they are used for; woods, glues, bonds."""
    found: list[Entry] = []
    for entry in entries:
        contents = {key: value for key, value in entry.items() if key != "used_for"}
        for known in found:
            if contents == {key: value for key, value in known.items() if key != "used_for"}:
                known["used_for"] += [use for use in entry["used_for"] if use not in known["used_for"]]
                break
        else:
            found.append({**entry, "used_for": list(entry["used_for"])})
    kinds = ("wood", "glue", "bond")
    return sorted(found, key=lambda entry: kinds.index(entry["kind"]))


def _woods_of(specimen: Specimen) -> list[tuple[Wood, list[str]]]:
    found: list[tuple[Wood, list[str]]] = []
    splines = specimen.spline_wood
    members = [(specimen.wood_a, "board A"), (specimen.wood_b, "board B")]
    for wood, member in [*members, *([(splines, "splines")] if splines is not None else [])]:
        for known, uses in found:
            if known == wood:
                uses.append(member)
                break
        else:
            found.append((wood, [member]))
    return found


def _wood(wood: Wood, used_for: list[str]) -> Entry:
    moved = wood.moisture != STANDARD_MOISTURE
    values = []
    for key in PROPERTIES:
        entry = _value(
            key, getattr(wood, key), property_unit(key), wood.cov.get(key), wood.provenance.get(key)
        )
        if moved and key in wood.standard:
            entry["at_12_percent"] = wood.standard[key]
        values.append(entry)
    if moved:
        # The formula starts from the values at 12 % and ends at those of unseasoned wood.
        values += [
            _value(
                f"green_{key}", wood.green[key], property_unit(key), None, wood.provenance.get(f"green_{key}")
            )
            for key in FOLLOWS_MOISTURE
        ]
        source = wood.provenance.get("intersection_moisture")
        values.append(_value("intersection_moisture", wood.intersection_moisture, "%", None, source))
    return {
        "kind": "wood",
        "name": wood.name,
        "scientific": wood.scientific,
        "moisture_percent": wood.moisture,
        "used_for": used_for,
        "notes": [MOISTURE_RULE.format(moisture=wood.moisture)] if moved else [],
        "values": values,
    }


def _glue(glue: Glue, workmanship: Workmanship, moisture: float, label: str) -> Entry:
    values = []
    for key, number in glue_to_tables(glue).items():
        if isinstance(number, Mapping) and key != "sources":
            values += [
                _value(
                    f"{key}.{inner}",
                    each,
                    "1" if key == "crossed" else property_unit(inner),
                    None,
                    glue_source(glue, f"{key}.{inner}"),
                )
                for inner, each in number.items()
            ]
        elif isinstance(number, int | float):
            values.append(_value(key, float(number), property_unit(key), None, glue_source(glue, key)))
    if workmanship.end_grain == "sized":
        values += [
            _value(f"sized_{name}", factor, "1", None, SIZED_SOURCE)
            for name, factor in (("end_grain", SIZED_END), ("grain_45", SIZED_45))
        ]
    asked = []
    if workmanship.quality != 1.0:
        asked.append(f"quality {100 * workmanship.quality:g} %")
    if workmanship.gap:
        asked.append(f"gap {workmanship.gap:g} mm")
    if workmanship.coverage != 1.0:
        asked.append(f"coverage {100 * workmanship.coverage:g} %")
    if workmanship.end_grain != "plain":
        asked.append("sized end grain")
    notes = ["Rows hold on white oak at 12 % moisture; the softening is " + glue.softening + "."]
    if glue.mixing_exponent is not None:
        notes.append(
            f"Opening and sliding mix after Benzeggagh and Kenane with the exponent {glue.mixing_exponent:g}."
        )
    if asked:
        notes.append(f"As glued: {', '.join(asked)}.")
    if moisture > DAMP:
        notes.append(f"Wood above {DAMP:g} % moisture: the moist share of the bond counts.")
    return {
        "kind": "glue",
        "name": glue.name,
        "used_for": [label] if label else [],
        "notes": notes,
        "values": values,
    }


def _bond(bond: Bond | CheekBond, surface: BondedSurface, label: str) -> Entry:
    values = []
    if isinstance(bond, Bond):
        rule = Provenance(BOND_RULE, "derived")
        notes = list(bond.effects)
        for key in ("opening_stiffness", "shear_stiffness"):
            values.append(_value(key, getattr(bond, key), property_unit(key), None, rule))
        for key in ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness"):
            values.append(_value(key, getattr(bond, key), property_unit(key), bond.cov, rule))
    else:
        rule = Provenance(CHEEK_RULE, "derived")
        notes = []
        values.append(_value("shear_stiffness", bond.shear_stiffness, "N/mm3", None, rule))
        for side, numbers in zip((surface.minus, surface.plus), bond.sides, strict=True):
            for key in ("shear_strength", "rolling_strength", "shear_toughness", "rolling_toughness"):
                number = getattr(numbers, key)
                values.append(_value(f"{side}.{key}", number, property_unit(key), bond.cov, rule))
    return {
        "kind": "bond",
        "name": surface.name,
        "used_for": [label] if label else [],
        "notes": notes,
        "values": values,
    }


def _value(key: str, value: float, unit: str, cov: float | None, source: Provenance | None) -> dict[str, Any]:
    """One number; None where it is without limit, which JSON has no number for."""
    return {
        "key": key,
        "value": value if abs(value) != float("inf") else None,
        "unit": unit,
        "cov": cov,
        "mark": None if source is None else source.mark,
        "source": NOT_STATED if source is None else source.source,
    }
