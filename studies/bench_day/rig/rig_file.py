"""Reading a rig file: every mistake at once, each with file, key, value and what would be right."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass

from glueline.studies.bench_day.rig.check_weighings import ContradictoryWeighings, Scale, correct, unexplained
from glueline.studies.bench_day.rig.rig import (
    GRAVITY,
    KINDS,
    CheckWeighing,
    Correction,
    ForceLine,
    Lever,
    Rig,
    direct_line,
    hinge_share,
    lever_line,
    specimen_preload,
)
from glueline.studies.corner.arrangements import ARRANGEMENTS, LoadArrangement
from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_tables import Problems, Table, printable, read_toml
from glueline.studies.files.units import (
    IMPERIAL_LENGTHS,
    LENGTH,
    MASS,
    SHARE,
    WEIGHT,
    UnitError,
    Units,
    format_length,
    format_share,
    parse_length,
)

DEFAULT_POSITION_ERROR = 2.0  # mm: a tape measure and a pencil line; common practice, no source
DEFAULT_WEIGHT_ERROR = 0.02  # plates as sold, not weighed; common practice, no source
DEFAULT_SCALE_STEP = 0.1 * GRAVITY  # N: a household scale; common practice, no source
DEFAULT_SCALE_ERROR = 0.01  # of the reading; common practice, no source
LARGEST_SHARE = 0.5
MOST_CHECKS = 100
LEVER_KEYS = ("specimen_at", "weights_at", "centre_at", "length", "position_error")
CHECK_KEYS = ("stacked", "scale")


@dataclass(frozen=True)
class _Errors:
    position: float
    weight: float
    scale_step: float
    scale: float


def read_rig(path: str | os.PathLike[str]) -> Rig:
    """The rig in a TOML file. Raises InputError, and nothing else, with everything that is wrong.

    ``[rig]``: ``kind``, ``arrangement``, ``own_weight``, for a hinged platform ``specimen_at``,
    ``weights_at``, ``centre_at`` and if wanted ``length``; for all of them, if wanted, ``position_error``,
    ``weight_error``, ``specimen_weight``, ``scale_step``, ``scale_error``. ``[[check]]``: ``stacked``,
    ``scale``.

    >>> from glueline.studies.examples import bench_day_path
    >>> read_rig(bench_day_path("bench_rig.toml")).kind
    'hinged platform'
    """
    name = printable(os.fspath(path))
    tables = read_toml(path)
    problems = Problems(name)
    top = Table("", tables, problems)
    rig_values = tables.get("rig") if top.has("rig") else None
    if not isinstance(rig_values, Mapping):
        if "rig" in tables:
            top.wrong("rig", "must be a table: a line [rig] with its keys below")
        else:
            problems.add_missing("rig", 'a rig file begins with [rig] and kind = "hinged platform"')
        rig_values = {}
    table = Table("rig", rig_values, problems)
    checks = _checks(top)
    top.refuse_unknown()
    if not rig_values:
        problems.raise_if_any()
    kind = table.choice("kind", KINDS)
    arrangement = table.choice("arrangement", tuple(ARRANGEMENTS))
    own = table.quantity("own_weight", WEIGHT, zero=True, required=kind == "hinged platform")
    specimen = table.quantity("specimen_weight", WEIGHT, zero=True)
    lever = _lever(table) if kind == "hinged platform" else None
    if kind in ("press", "hung weight"):
        for key in LEVER_KEYS:
            if key in table.values:
                table.wrong(key, f"belongs to a hinged platform; a {kind} has no lever, so leave it out")
    errors = _errors(table)
    table.refuse_unknown(LEVER_KEYS)
    problems.raise_if_any()
    if kind is None or arrangement is None:
        raise TypeError("a rig without kind or arrangement is an error above")
    return _rig(kind, ARRANGEMENTS[arrangement], lever, own, specimen, errors, checks, table)


def _rig(
    kind: str,
    arrangement: LoadArrangement,
    lever: Lever | None,
    own: float | None,
    specimen: float | None,
    errors: _Errors,
    checks: tuple[CheckWeighing, ...],
    table: Table,
) -> Rig:
    if lever is None:
        statics = direct_line(own or 0.0, errors.weight)
    else:
        statics = lever_line(lever, own or 0.0, errors.position, errors.weight)
    correction = None
    if checks:
        try:
            correction = correct(statics, checks, Scale(errors.scale_step, errors.scale, errors.weight))
        except ContradictoryWeighings as error:
            table.problems.add("check", None, str(error), shown=False)
            raise InputError(tuple(table.problems.entries)) from None
    own_load = specimen_preload(arrangement, specimen or 0.0, errors.weight)
    return Rig(
        kind=kind,
        arrangement=arrangement,
        statics=statics,
        line=(statics if correction is None else correction.line).raised(*own_load),
        specimen_preload=own_load,
        checks=checks,
        correction=correction,
        assumptions=_assumptions(kind, arrangement, own, specimen, table),
        warnings=_warnings(lever, statics, correction, checks, table),
        units=_all_units(table),
        lever=lever,
    )


def _lever(table: Table) -> Lever | None:
    at = table.quantity("specimen_at", LENGTH, required=True, words="from the hinge to the specimen")
    far = table.quantity("weights_at", LENGTH, required=True, words="from the hinge to the weights' middle")
    centre = table.quantity(
        "centre_at", LENGTH, required=True, words="from the hinge to the platform's centre of gravity"
    )
    length = table.quantity("length", LENGTH)
    if length is not None:
        shown = format_length(length, _units(table))
        for key, value in (("specimen_at", at), ("weights_at", far), ("centre_at", centre)):
            if value is not None and value > length:
                table.wrong(key, f"lies beyond the platform, which is {shown} long, measured from the hinge")
    elif at is not None and centre is not None and at > 2 * centre:
        middle, end = (format_length(value, _units(table)) for value in (centre, 2 * centre))
        table.wrong(
            "specimen_at",
            f"lies beyond the platform: an even one with its centre at {middle} ends at {end}; measure all "
            "from the hinge, or give the platform's length",
        )
    if at is None or far is None or centre is None:
        return None
    return Lever(at, far, centre)


def _errors(table: Table) -> _Errors:
    position = table.quantity("position_error", LENGTH, zero=True)
    weight = table.quantity("weight_error", SHARE, zero=True)
    step = table.quantity("scale_step", WEIGHT)
    scale = table.quantity("scale_error", SHARE, zero=True)
    for key, value in (("weight_error", weight), ("scale_error", scale)):
        if value is not None and value > LARGEST_SHARE:
            table.wrong(
                key, f"is too large to be meant: a share of the weight, at most {format_share(LARGEST_SHARE)}"
            )
    places = [table.values.get(key) for key in ("specimen_at", "weights_at", "centre_at")]
    if position is not None and all(isinstance(place, str) for place in places):
        shortest = min(_quietly(str(place)) for place in places)
        if position > shortest / 4:
            table.wrong(
                "position_error",
                "is more than a quarter of the shortest distance from the hinge: the force would be anyone's "
                "guess; measure the distances again",
            )
    return _Errors(
        DEFAULT_POSITION_ERROR if position is None else position,
        DEFAULT_WEIGHT_ERROR if weight is None else weight,
        DEFAULT_SCALE_STEP if step is None else step,
        DEFAULT_SCALE_ERROR if scale is None else scale,
    )


def _quietly(text: str) -> float:
    """A length in mm; endless where it cannot be read, which is reported elsewhere."""
    try:
        length = parse_length(text)
    except UnitError:
        return float("inf")
    return length if length > 0 else float("inf")


def _checks(top: Table) -> tuple[CheckWeighing, ...]:
    if not top.has("check"):
        return ()
    entries = top.values["check"]
    if not isinstance(entries, list) or not all(isinstance(entry, Mapping) for entry in entries):
        top.wrong("check", "must be written as [[check]] with stacked and scale below, once a weighing")
        return ()
    if len(entries) > MOST_CHECKS:
        top.wrong("check", f"stands {len(entries)} times; at most {MOST_CHECKS} can be meant")
        return ()
    checks = []
    for number, entry in enumerate(entries, 1):
        table = Table(f"check {number}", entry, top.problems)
        stacked = table.quantity("stacked", WEIGHT, zero=True, required=True)
        scale = table.quantity("scale", WEIGHT, required=True)
        table.refuse_unknown(CHECK_KEYS)
        if stacked is not None and scale is not None:
            checks.append(CheckWeighing(stacked, scale))
    return tuple(checks)


def _assumptions(
    kind: str, arrangement: LoadArrangement, own: float | None, specimen: float | None, table: Table
) -> tuple[str, ...]:
    assumptions = [f"kg and lb become N by standard gravity, {GRAVITY} m/s2"]
    if kind == "hinged platform":
        assumptions.append(
            "distances are horizontal, from the hinge, with the platform level and the force on the "
            "specimen upright"
        )
        if "position_error" not in table.values:
            assumptions.append(f"no position_error is given: +- {DEFAULT_POSITION_ERROR:g} mm is taken")
    if "weight_error" not in table.values:
        assumptions.append(
            f"no weight_error is given: +- {format_share(DEFAULT_WEIGHT_ERROR)} is taken (plates as sold)"
        )
    if own is None:
        assumptions.append("no own_weight is given: nothing but what is stacked bears on the joint")
    if specimen:
        share = format_share(arrangement.own_weight_share)
        assumptions.append(
            f"the specimen's own weight counts for {share} of it ({arrangement}, equal moment at the "
            "corner, slender legs of equal weight)"
        )
    else:
        assumptions.append("no specimen_weight is given: the specimen's own weight is left out")
    return tuple(assumptions)


def _warnings(
    lever: Lever | None,
    statics: ForceLine,
    correction: Correction | None,
    checks: tuple[CheckWeighing, ...],
    table: Table,
) -> tuple[str, ...]:
    warnings = []
    if lever is not None and hinge_share(lever) < 0:
        warnings.append(
            "the weights stand beyond the specimen, so the hinge is pulled upward: hold it down for "
            f"{-100 * hinge_share(lever):.0f} % of the stacked weight"
        )
    if lever is not None and "length" not in table.values and lever.weights_at > 2 * lever.centre_at:
        warnings.append(
            "the weights stand beyond the end of an even platform with that centre_at: check centre_at, or "
            "give the platform's length"
        )
    if correction is not None:
        lost = unexplained(statics, correction, max(check.stacked for check in checks))
        warnings += [lost] if lost else []
        warnings += [
            f"the check-weighing with {outlier.stacked / GRAVITY:.4g} kg stacked (scale "
            f"{outlier.scale / GRAVITY:.4g} kg) lies off the line of the others and is left out"
            for outlier in correction.outliers
        ]
    elif not checks:
        warnings.append(
            "no check-weighing: hinge and friction are taken as nothing; put a scale in the specimen's place "
            "and add [[check]]"
        )
    return tuple(warnings)


def _all_units(table: Table) -> Units:
    """Imperial where every length and mass of the rig is."""
    measured = [unit for unit in table.units_read if unit in LENGTH.units or unit in MASS.units]
    imperial = measured and all(unit in IMPERIAL_LENGTHS or unit == "lb" for unit in measured)
    return "imperial" if imperial else "metric"


def _units(table: Table) -> Units:
    inches = sum(unit in ("in", "ft", '"') for unit in table.units_read)
    return "imperial" if inches else "metric"
