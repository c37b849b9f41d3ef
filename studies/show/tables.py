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
    words_in_units,
)
from glueline.studies.files.units import Units
from glueline.studies.files.wording import BAND, answers_said
from glueline.studies.predict.answer import Answer, Event
from glueline.studies.predict.said_aloud import OnRig, five_loads, weight_down, words_aloud
from glueline.studies.show.range_words import range_words

NOT_FOUND = "—"  # what an elastic answer does not know
DENT = 0.01  # mm that faces are crushed; less is not told
EVERY_MODE = "Every way of breaking with the load at which it would come, and the length of its mean stress"
SAME = 1e-3  # loads that differ by less are one
UNDER_WEIGHT = {
    True: ("By calculation it holds on under the weight at the crack; treat it as broken and stay clear.",),
    False: ("By calculation it does not hold on: the weight that cracks it brings it down.",),
    None: (),
}
"""What follows a first crack under dead weight, which does not let up as a vice or a jack does."""


def prediction_table(answer: Answer, units: Units, rig: OnRig | None = None) -> str:
    """The answer for one specimen in a few lines, cautions included; what is said aloud comes first."""
    heading = f"{answer.joint} corner, {answer.arrangement}, {answers_said([answer.method])}"
    parts = [*words_aloud(answer, units, rig), "", heading, "", aligned(load_rows(answer, units, rig)), ""]
    parts += [aligned(answer_rows(answer, units), head=0), answer.why, *story_words(answer, units)]
    parts += range_words(answer, units)
    scatter = [] if answer.scatter is None else [f"Scatter. {answer.scatter.note}"]
    parts += [f"note: {words_in_units(note, units)}" for note in (*answer.notes, *answer.warnings, *scatter)]
    return "\n".join([*parts, "", CAUTIONS])


def load_rows(answer: Answer, units: Units, rig: OnRig | None = None) -> list[list[str]]:
    """The cells of the table of the five loads, headings first; with a rig the weights to stack as well."""
    rows = [["load", "force on the joint", *(["stacked"] if rig else []), "what it is for"]]
    for name, load, purpose in five_loads(answer):
        force = shown_load(load, units)
        stacked = NOT_FOUND if rig is None or load is None else weight_down(rig.weight(load), units)
        rows.append([name, force, *([stacked] if rig else []), purpose])
    return rows


def shown_load(load: float | None, units: Units) -> str:
    """A load in N as text; a dash where there is none."""
    return NOT_FOUND if load is None else format_force(load, units)


def answer_rows(answer: Answer, units: Units) -> list[tuple[str, str]]:
    """One answer in words and numbers, a row each, besides its loads; what it does not know is left out."""

    def force(load: float) -> str:
        return format_force(load, units)

    rows = []
    if answer.band is not None:
        low, high = answer.band
        rows.append((f"band, {BAND}: nine of ten corners made alike", f"{force(low)} to {force(high)}"))
    if answer.median is not None:
        rows.append(("half of them above", force(answer.median)))
    rows += [
        ("bending at the corner at the break", format_moment(1000 * answer.break_moment_Nm, units)),
        ("breaks in", f"{answer.breaks_in}: {answer.mode}, {answer.where}"),
        *_split_rows(answer, units),
    ]
    if answer.first_damage_load is not None:
        size = format_length(answer.element_size, units)
        rows.append(("steps of the calculation along the glue, on which first damage depends", size))
    if answer.highest_load is not None and answer.highest_load > (1 + SAME) * answer.break_load:
        rows.append(("highest load if a vice or jack drives it, not weight", force(answer.highest_load)))
    if answer.displacement_at_break is not None:
        rows.append(("give at the break", format_length(answer.displacement_at_break, units)))
    if answer.energy_at_break_J is not None:
        energy = format_energy(1000 * answer.energy_at_break_J, units)
        rows.append(("work done by then, for catch blocks", energy))
    crushed = {name: far for name, far in (answer.crushed or {}).items() if far >= DENT}
    if crushed:
        worst = max(crushed, key=crushed.__getitem__)
        far = format_length(float(f"{crushed[worst]:.2g}"), units)
        rows.append(("faces crushed by then, at most", f"{far} ({worst})"))
    stiffness = format_rotational_stiffness(1000 * answer.corner_stiffness_Nm_per_rad, units)
    rows += [
        ("how far it gives under load", format_compliance(answer.compliance, units)),
        ("corner stiffness", stiffness),
    ]
    rows += [(f"bending on the {name}", percent(share)) for name, share in answer.moment_share.items()]
    rows += [
        (f"glue area, {name.replace('_', ' ')}", format_area(area, units))
        for name, area in answer.glue_area.items()
        if area > 0
    ]
    return rows


def _split_rows(answer: Answer, units: Units) -> list[tuple[str, str]]:
    """How near the wood came to giving; where a split was followed, at what load it begins."""
    most = answer.wood_share
    if answer.split_load is not None:
        begins = f"{format_force(answer.split_load, units)} ({most.mode}, {most.where})"
        return [("a split begins, by the wood's strength alone", begins)]
    at = f"{percent(most.share)} at {format_force(most.load, units)} ({most.mode}, {most.where})"
    return [("most of the wood's strength in use", at)]


def story_words(answer: Answer, units: Units) -> list[str]:
    """What comes before the end and after a first crack, in sentences; nothing where it just lets go."""
    events = answer.events or ()
    if len(events) < 2:
        return []

    def told(event: Event) -> str:
        return f"{event.kind} at {format_force(event.load, units)} ({event.where}: {event.mode})"

    *before, end = events
    words = []
    for event in before:
        if event.kind == "holds":
            words.append(
                f"after that it holds {format_force(event.load, units)}, until the {event.where} gives"
            )
        else:
            words.append(f"the {'wood' if event.kind == 'splits' else 'corner'} {told(event)}")
    if before[-1].kind != "holds":
        words.append(f"the {'wood' if end.kind == 'splits' else 'corner'} {told(end)}")
    sentence = "; ".join(words) + "."
    return [sentence[0].upper() + sentence[1:], *UNDER_WEIGHT[answer.holds_after_crack]]


def modes_table(answer: Answer, units: Units) -> str:
    """Every named mode with the load at which it is met."""
    return f"{EVERY_MODE}\n\n{aligned(mode_rows(answer, units))}"


def mode_rows(answer: Answer, units: Units) -> list[list[str]]:
    """The cells of that table, headings first."""
    rows = [["load", "mode", "where", "mean over", "remark"]]
    for mode in answer.modes:
        over = "" if mode.mean_over is None else format_length(mode.mean_over, units)
        rows.append([format_force(mode.load, units), mode.mode, mode.where, over, mode.note])
    return rows


def band_words(band: tuple[float, float] | None, units: Units) -> str:
    """A band as text, both ends in the unit that is shown."""
    if band is None:
        return NOT_FOUND
    low, high = (format_force(end, units) for end in band)
    return f"{low.rpartition(' ')[0]} to {high}"
