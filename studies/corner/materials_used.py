"""Every material value that an answer rests on: its number, its unit, its scatter and its source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import structs

from glueline.materials import Provenance, Wood, glue_source, glue_to_tables
from glueline.materials.wood import FOLLOWS_MOISTURE, PROPERTIES, STANDARD_MOISTURE
from glueline.materials.workmanship import DAMP, SIZED_45, SIZED_END, SURFACE_KEYS, Workmanship
from glueline.studies.corner.connections import Connection
from glueline.studies.corner.material_values import Material, recorded_value
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.surface_effects import workmanship_words

MOISTURE_RULE = (
    "Moved from 12 % to {moisture:g} % moisture: bending, compression, shear along the grain and the moduli "
    "by the formula of the Wood Handbook (FPL-GTR-190, eq. 5-3, recalled), rolling shear with shear "
    "along the grain, density by the weight of the water; the rest stays."
)
SIZED_SOURCE = Provenance(
    "a primer more than doubled, and a heavier spread made 2.6 times, the strength of polyurethane end-grain "
    "bonds (Follrich et al., part 2); 45 degrees by judgement",
    "judgement",
)


def materials_used(corner: CornerModel, label: str = "") -> tuple[Material, ...]:
    """The woods, the glue and what each bond holds, in the order in which they matter to a reader.

    What each is used for is led by ``label`` if there is one.
    """
    specimen = corner.specimen
    entries = [
        _wood(wood, tuple(f"{label}: {member}" if label else member for member in members))
        for wood, members in _woods_of(specimen)
    ]
    entries.append(_glue(specimen, label))
    entries += [_bond(connection, label) for connection in corner.connections]
    return tuple(entries)


def merged(materials: Iterable[Material]) -> tuple[Material, ...]:
    """Those with the same contents as one, used for all that they are used for; woods, glues, bonds."""
    uses: list[tuple[Material, dict[str, None]]] = []
    for material in materials:
        contents = structs.replace(material, used_for=())
        for known, used_for in uses:
            if contents == known:
                used_for.update(dict.fromkeys(material.used_for))
                break
        else:
            uses.append((contents, dict.fromkeys(material.used_for)))
    kinds = ("wood", "glue", "bond")
    ordered = sorted(uses, key=lambda each: kinds.index(each[0].kind))
    return tuple(structs.replace(material, used_for=tuple(used_for)) for material, used_for in ordered)


def _woods_of(specimen: Specimen) -> list[tuple[Wood, list[str]]]:
    woods: list[tuple[Wood, list[str]]] = []
    for member, wood in specimen.woods.items():
        for known, uses in woods:
            if known == wood:
                uses.append(member)
                break
        else:
            woods.append((wood, [member]))
    return woods


def _wood(wood: Wood, used_for: tuple[str, ...]) -> Material:
    moved = wood.moisture != STANDARD_MOISTURE
    values = []
    for key in PROPERTIES:
        dry = wood.standard.get(key) if moved else None
        cov, source = wood.cov.get(key), wood.provenance.get(key)
        values.append(recorded_value(key, getattr(wood, key), cov, source, at_12_percent=dry))
    if moved:
        # The formula starts from the values at 12 % and ends at those of unseasoned wood.
        values += [
            recorded_value(f"green_{key}", wood.green[key], None, wood.provenance.get(f"green_{key}"))
            for key in FOLLOWS_MOISTURE
        ]
        source = wood.provenance.get("intersection_moisture")
        values.append(recorded_value("intersection_moisture", wood.intersection_moisture, None, source))
    return Material(
        kind="wood",
        name=wood.name,
        scientific=wood.scientific,
        moisture_percent=wood.moisture,
        used_for=used_for,
        notes=(MOISTURE_RULE.format(moisture=wood.moisture),) if moved else (),
        values=tuple(values),
    )


def _glue(specimen: Specimen, label: str) -> Material:
    glue, workmanship, moisture = specimen.glue, specimen.workmanship, specimen.moisture
    values = []
    for key, number in glue_to_tables(glue).items():
        if isinstance(number, Mapping) and key != "sources":
            values += [
                recorded_value(
                    f"{key}.{inner}",
                    each,
                    None,
                    glue_source(glue, f"{key}.{inner}"),
                    "1" if key == "crossed" else None,
                )
                for inner, each in number.items()
            ]
        elif isinstance(number, int | float):
            values.append(recorded_value(key, float(number), None, glue_source(glue, key)))
    if workmanship.end_grain == "sized":
        values += [
            recorded_value(f"sized_{name}", factor, None, SIZED_SOURCE)
            for name, factor in (("end_grain", SIZED_END), ("grain_45", SIZED_45))
        ]
    notes = ["Rows hold on white oak at 12 % moisture; the softening is " + glue.softening + "."]
    if glue.mixing_exponent is not None:
        notes.append(
            f"Opening and sliding mix after Benzeggagh and Kenane with the exponent {glue.mixing_exponent:g}."
        )
    notes += _as_glued(specimen)
    if moisture > DAMP:
        notes.append(f"Wood above {DAMP:g} % moisture: the moist share of the bond counts.")
    return Material(
        kind="glue",
        name=glue.name,
        used_for=(label,) if label else (),
        notes=tuple(notes),
        values=tuple(values),
    )


def _as_glued(specimen: Specimen) -> list[str]:
    """What is not as sound gluing has it; then what surfaces have of their own."""
    sound, workmanship = Workmanship(), specimen.workmanship
    asked = [
        workmanship_words(key, getattr(workmanship, key))
        for key in SURFACE_KEYS
        if getattr(workmanship, key) != getattr(sound, key)
    ]
    if workmanship.end_grain != "plain":
        asked.append("sized end grain")
    notes = [f"As glued: {', '.join(asked)}."] if asked else []
    for surface, own in specimen.surface_workmanship.items():
        words = ", ".join(workmanship_words(key, value) for key, value in own.given.items())
        notes.append(f"As glued on the {surface}: {words}.")
    return notes


def _bond(connection: Connection, label: str) -> Material:
    notes, values = connection.recorded()
    return Material(
        kind="bond",
        name=connection.name,
        used_for=(label,) if label else (),
        notes=tuple(notes),
        values=tuple(values),
    )
