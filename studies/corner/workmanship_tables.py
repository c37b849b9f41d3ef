"""Reading how a joint was glued: [glue], and the tables of surfaces that were glued otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from glueline.geometries.joint_kind import JointKind
from glueline.materials import SurfaceWorkmanship, Workmanship
from glueline.materials.names import nearest
from glueline.materials.workmanship import END_GRAINS
from glueline.studies.files.key_changes import SURFACES, surface_named, surfaces_of
from glueline.studies.files.toml_tables import Table, printable
from glueline.studies.files.units import LENGTH, SHARE
from glueline.studies.files.words import one_of

QUANTITIES = {"quality": SHARE, "gap": LENGTH, "coverage": SHARE}


def read_workmanship(table: Table) -> Workmanship | None:
    """That of the whole corner, from [glue]; None where something is wrong with it."""
    before = len(table.problems.entries)
    given = _given(table)
    end_grain = table.choice("end_grain", END_GRAINS, END_GRAINS[0])
    if len(table.problems.entries) > before or end_grain is None:
        return None
    return Workmanship(end_grain=end_grain, **given)


def read_surfaces(glue: Table, kind: JointKind | None) -> dict[str, SurfaceWorkmanship]:
    """What surfaces have of their own, by name, in the order of the joint; without what is wrong with it."""
    if not glue.has(SURFACES):
        return {}
    tables = glue.values[SURFACES]
    if not isinstance(tables, Mapping):
        example = f'[glue.{SURFACES}."{surfaces_of(kind)[-1]}"]'
        glue.wrong(SURFACES, f"must be tables, one a surface: a line {example} with its keys below")
        return {}
    read: dict[str, SurfaceWorkmanship] = {}
    within = Table(SURFACES, tables, glue.problems, ("glue",))
    for written, values in tables.items():
        surface = surface_named(written)
        if not isinstance(values, Mapping):
            within.wrong(written, f"must be a table: its keys are {one_of(list(QUANTITIES))}")
            continue
        table = Table(surface, values, glue.problems, ("glue", SURFACES))
        if surface not in surfaces_of(kind):
            _refuse_surface(within, table, written, kind)
        elif surface in read:
            within.wrong(written, f"is the {surface} once more: put all its keys into one table")
        read[surface] = _own(table)
    return {name: read[name] for name in surfaces_of(kind) if name in read and read[name].given}


def _own(table: Table) -> SurfaceWorkmanship:
    before = len(table.problems.entries)
    given = _given(table)
    table.refuse_unknown()
    return SurfaceWorkmanship() if len(table.problems.entries) > before else SurfaceWorkmanship(**given)


def _given(table: Table) -> dict[str, Any]:
    """Quality, gap and coverage as far as they are there; each is checked on its own."""
    given: dict[str, Any] = {}
    for name, quantity in QUANTITIES.items():
        value = table.quantity(name, quantity, zero=name == "gap")
        if value is None:
            continue
        try:
            Workmanship(**cast(dict[str, Any], {name: value}))
        except ValueError as error:
            table.wrong(name, f"should be {str(error).partition(' should be ')[2] or error}")
        else:
            given[name] = value
    return given


def _refuse_surface(within: Table, table: Table, written: str, kind: JointKind | None) -> None:
    """Note that the joint has no such surface; at what was typed of it, if all of it was typed."""
    surfaces = surfaces_of(kind)
    near = nearest(written, surfaces)
    hint = f'did you mean "{near}"? It' if near else "it"
    whose = f"a surface of a {kind.kind} corner" if kind else "a surface known here"
    message = f"{printable(table.name, 60)} is not {whose}: {hint} must be {one_of(surfaces)}"
    typed = [name for name in table.values if table.key(name) in table.problems.typed]
    if typed and len(typed) == len(table.values):
        for name in typed:
            table.wrong(name, message)
    else:
        within.wrong(written, message)
