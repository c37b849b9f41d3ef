"""The short tables that people read."""

from __future__ import annotations

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.columns import aligned
from glueline.studies.files.display import (
    format_area,
    format_compliance,
    format_energy,
    format_force,
    format_length,
    format_moment,
    format_rotational_stiffness,
    percent,
)
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction

NOT_FOUND = "—"  # what an elastic answer does not know


def prediction_table(prediction: Prediction, units: Units) -> str:
    """The answer for one specimen in a few lines, cautions included."""
    rows = [
        ("break load", format_force(prediction.break_load, units)),
        *_scatter_rows(prediction, units),
        ("corner moment then", format_moment(prediction.break_moment, units)),
        ("breaks in", f"{prediction.critical.kind}: {prediction.critical.mode}, {prediction.critical.where}"),
        (
            "glue load / wood load",
            f"{format_force(prediction.glue_load, units)} / {format_force(prediction.wood_load, units)}",
        ),
        (
            "first glue point at its strength",
            f"{format_force(prediction.first_damage_load, units)} (elements of "
            f"{format_length(prediction.corner.mesh.element_size, units)} at the glue)",
        ),
        *_path_rows(prediction, units),
        ("give of the load point under load", format_compliance(prediction.compliance, units)),
        ("corner stiffness", format_rotational_stiffness(prediction.corner_stiffness, units)),
    ]
    if prediction.glue_load_range is not None:
        low, high = prediction.glue_load_range
        rows.append(
            (
                "glue load, crossed grain weak / strong",
                f"{format_force(low, units)} / {format_force(high, units)}",
            )
        )
    rows += [(f"moment on the {name}", percent(share)) for name, share in prediction.moment_share.items()]
    rows += [
        (f"glue area, {name.replace('_', ' ')}", format_area(area, units))
        for name, area in prediction.glue_area.items()
        if area > 0
    ]
    heading = (
        f"{prediction.specimen.kind} corner, {prediction.specimen.arrangement}, {prediction.method} answer"
    )
    parts = [heading, aligned(rows, head=0), prediction.why]
    scatter = () if prediction.band is None else (f"Scatter. {prediction.band.note}",)
    notes = (*prediction.corner.layout.notes, *prediction.warnings, *scatter)
    parts += [f"note: {note}" for note in notes]
    return "\n".join([*parts, "", CAUTIONS])


def _scatter_rows(prediction: Prediction, units: Units) -> list[tuple[str, str]]:
    band = prediction.band
    if band is None:
        return []
    ends = f"{format_force(band.low, units)} to {format_force(band.high, units)}"
    return [("nine of ten corners made alike (5 to 95 %)", ends)]


def _path_rows(prediction: Prediction, units: Units) -> list[tuple[str, str]]:
    """What only a path past the peak can tell."""
    rows = []
    if prediction.first_crack_load is not None:
        rows.append(("first crack to be heard", format_force(prediction.first_crack_load, units)))
    if prediction.displacement_at_break is not None and prediction.energy_at_break is not None:
        rows.append(("give at the break", format_length(prediction.displacement_at_break, units)))
        rows.append(("work done by then, for catch blocks", format_energy(prediction.energy_at_break, units)))
    if prediction.crushed is not None:
        crushed = prediction.crushed
        words = f"{format_force(crushed.break_load, units)} ({crushed.breaks_in})"
        rows.append(("break load if faces crush where they press", words))
    return rows


def modes_table(prediction: Prediction, units: Units) -> str:
    """Every named mode with the load at which it is met."""
    rows = [("load", "mode", "where", "mean over", "")]
    rows += [
        (
            format_force(limit.load, units),
            limit.mode,
            limit.where,
            format_length(limit.length, units) if limit.length else "",
            limit.note,
        )
        for limit in prediction.limits
    ]
    return aligned(rows)


def band_words(band: tuple[float, float] | None, units: Units) -> str:
    """A band as text, both ends in the unit that is shown."""
    if band is None:
        return NOT_FOUND
    low, high = (format_force(end, units) for end in band)
    return f"{low.rpartition(' ')[0]} to {high}"
