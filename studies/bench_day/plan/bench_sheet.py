"""The bench sheet: a page to print."""

from __future__ import annotations

from base64 import b64encode
from collections import Counter
from collections.abc import Sequence
from html import escape
from math import ceil, floor

from glueline.studies.bench_day.plan.cut_list import StockBoard
from glueline.studies.bench_day.plan.expected_weights import (
    EXPECTED_COLUMNS,
    expected_rows,
    load_purposes,
    loads_as_weights,
    said_on_the_day,
)
from glueline.studies.bench_day.plan.plan import Plan
from glueline.studies.bench_day.plan.plan_tables import counted_blanks
from glueline.studies.bench_day.rig.rig import COVERAGE_FACTOR, GRAVITY, joint_force, joint_force_uncertainty
from glueline.studies.bench_day.rig.rig_drawing import drawn_to_scale, rig_drawing
from glueline.studies.bench_day.rig.rig_report import rounded_force, stacked_table
from glueline.studies.files.display import (
    format_energy,
    format_weight,
    length_unit,
    weight_unit,
    words_in_units,
)
from glueline.studies.files.units import (
    MM_PER_INCH,
    Units,
    format_cut,
    format_force,
    format_length,
    format_share,
)
from glueline.studies.files.wording import BAND
from glueline.studies.files.words import all_of

HOLD_SECONDS = 30
LOOSE_FALL = {"metric": 500.0, "imperial": 20 * MM_PER_INCH}  # mm, about a stack above the floor
FORCE_COLUMNS = 6
WEIGHT_COLUMNS = ("joint", "predicted", f"band, {BAND}", "stack first", "step", "bring")
STYLE = """
@page { margin: 14mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.35 sans-serif; color: #000; background: #fff; margin: 0 auto; max-width: 182mm; }
h1 { font-size: 17pt; margin: 0 0 1mm; }
h2 { font-size: 13pt; margin: 6mm 0 2mm; break-after: avoid; }
p, ul { margin: 0 0 2mm; }
table { border-collapse: collapse; width: 100%; margin: 0 0 3mm; }
th, td { border: 0.3mm solid #555; padding: 1mm 1.6mm; text-align: left; vertical-align: top; }
th { background: #e8e8e8; font-weight: 600; }
td.number, th.number { text-align: right; white-space: nowrap; }
td.whole { white-space: nowrap; }
tr { break-inside: avoid; }
thead { display: table-header-group; }
.fill td { height: 10mm; }
.fill th:last-child { width: 45mm; }
.fill th.number { width: 8mm; }
.page { break-before: page; }
.filled span { white-space: nowrap; margin-right: 6mm; }
.aloud { font-size: 12.5pt; margin: 0 0 3mm; }
.cautions { border: 0.6mm solid #000; padding: 2mm 4mm; margin: 0 0 3mm; }
.small { font-size: 9pt; }
.pieces { display: grid; grid-template-columns: 1fr 1fr 1fr; gap: 2mm 4mm; margin: 0 0 3mm; }
.pieces figure { margin: 0; }
.pieces img { display: block; width: 100%; height: auto; }
figure { margin: 0 0 3mm; break-inside: avoid; }
svg.rig { display: block; width: 100%; max-width: 105mm; height: auto; }
svg.rig text { font: 12px sans-serif; paint-order: stroke; stroke: #fff; stroke-width: 3px; }
@media screen {
  body { padding: 4mm; max-width: 190mm; }
  .wide { overflow-x: auto; }
}
@media screen and (max-width: 480px) {
  svg.rig { max-width: none; }
  .pieces { grid-template-columns: 1fr; }
}
"""


def weights_and_steps(plan: Plan, units: Units) -> list[tuple[str, ...]]:
    """Of each joint: label, predicted load, band, weights stacked first, a step, and brought; replicates."""
    return [
        (
            each.label,
            format_force(each.predicted, units),
            " to ".join(format_force(end, units) for end in each.band),
            format_weight(each.first_stack, units),
            format_weight(each.step, units),
            format_weight(each.weights_to_bring, units),
            str(each.replicates),
        )
        for each in plan.joints
    ]


def safety_notes(plan: Plan, units: Units) -> tuple[str, ...]:
    """What to mind on the day, with the energies of this plan."""
    drop = format_length(plan.wishes.drop, units)
    energy = format_energy(1000 * max(each.stored_energy for each in plan.joints), units)
    fall = LOOSE_FALL[units]
    loose = format_energy(plan.heaviest_kg * GRAVITY * fall, units)
    return (
        f"Stored energy is weight times the height it can drop. With catch blocks {drop} below the load "
        f"point at most {energy} are let loose; {format_weight(plan.heaviest_kg, units)} of loose "
        f"weights falling {format_length(fall, units)} would be {loose}.",
        f"Catch blocks before the first plate: under the load point and under the weights, {drop} clear, "
        "wide enough that nothing can slide off. Tie or box the weights.",
        "Eye protection for everyone in the room; closed shoes; gloves for plates. Splinters fly along the "
        "grain: stand to the side, nobody in line with the boards.",
        "Place each plate gently, from the side, step back, then count. Keep hands, feet and heads clear of "
        "the platform and of everything under it. Children and visitors behind a line.",
        "Unload a specimen that holds before touching it. A specimen that has cracked may go at any moment.",
        "Breaking loads of a few specimens say nothing about what may bear people: local codes and licensed "
        "practice decide that.",
    )


def sheet_html(plan: Plan, units: Units) -> bytes:
    """The page to print: plan and safety, the record, the cut list. One file, no links."""
    parts = [
        "<!doctype html><html lang='en'><head><meta charset='utf-8'>",
        "<meta name='viewport' content='width=device-width, initial-scale=1'><title>Bench day</title>",
        f"<style>{STYLE}</style></head><body>",
        _front(plan, units),
        _record(plan, units),
        _cutting(plan, units),
        "</body></html>\n",
    ]
    return "\n".join(parts).encode()


def _front(plan: Plan, units: Units) -> str:
    wishes, rig = plan.wishes, plan.rig
    head = (*WEIGHT_COLUMNS, "how many")
    loads = stacked_table(plan.heaviest_kg, units)
    force = joint_force(rig, loads)
    spread = COVERAGE_FACTOR * joint_force_uncertainty(rig, loads)
    forces = [
        ("stacked", *(format_weight(float(kg), units) for kg in loads)),
        ("force", *(format_force(float(load), units) for load in force)),
        ("95 %", *(f"± {rounded_force(float(error), units)}" for error in spread)),
    ]
    notes = plan.notes(units)
    bands = dict.fromkeys(each.band_from for each in plan.joints)
    expected_at = loads_as_weights(plan, units)
    return "\n".join(
        (
            f"<h1>Bench day</h1><p>{escape(rig.kind)}, {escape(rig.arrangement.name)}</p>",
            "<p class='filled'><span>Date __________</span> <span>Moisture _____ %</span> "
            "<span>By ______________</span></p>",
            "<div class='aloud'><b>Say aloud</b>",
            *(f"<p>{escape(sentence)}</p>" for sentence in said_on_the_day(plan, units)),
            "</div>",
            "<div class='cautions'><b>Before the first plate</b><ul>",
            *(f"<li>{escape(note)}</li>" for note in safety_notes(plan, units)),
            "</ul></div>",
            "<h2>Weights and steps</h2>",
            _table(head, weights_and_steps(plan, units), numbers=range(1, 7)),
            _small(
                f"Weights are what is stacked. Bring: the 95 % value and {format_share(wishes.margin)} more. "
                f"Bands: {'; '.join(bands)}. Order drawn at random, seed {wishes.seed}."
            ),
            *(_small(note) for note in (*notes, *(words_in_units(each, units) for each in rig.warnings))),
            *_rig(plan, units),
            "<h2>Expected to go, stacked</h2>",
            _table(EXPECTED_COLUMNS, expected_rows(plan, units), numbers=range(1, 4)),
            _table(expected_at[0], expected_at[1:], numbers=range(1, len(expected_at[0]))),
            _small(" ".join(load_purposes(plan))),
            "<h2>Force on the joint</h2>",
            *_lying_table(forces, FORCE_COLUMNS),
        )
    )


def _rig(plan: Plan, units: Units) -> tuple[str, ...]:
    """The rig as it is set up, drawn with the first joint of the plan."""
    rig, boards = plan.rig, plan.estimates[0].specimen.layout.boards
    words = "From the side; the specimen stands for all of them, and its size is not to scale."
    if rig.lever is not None:
        scale = "to scale" if drawn_to_scale(rig, boards) else "not to scale here: go by the numbers"
        words = (
            "From the side, the platform level. Distances are measured along it from the middle of the "
            f"hinge's pin, {scale}. The specimen stands for all of them, and its size is not to scale."
        )
    drawing = rig_drawing(rig, boards, plan.wishes.drop, units)
    return (
        "<figure><h2>The rig</h2>",
        drawing,
        f"<figcaption class='small'>{escape(words)}</figcaption></figure>",
    )


def _record(plan: Plan, units: Units) -> str:
    steps = {
        label: f"{first}, then {step}" for label, _, _, first, step, *_ in weights_and_steps(plan, units)
    }
    unit = weight_unit(units)
    rows = [
        (str(number), name, steps[label], *[""] * 5) for number, (label, name) in enumerate(plan.order, 1)
    ]
    head = (
        "#",
        "specimen",
        "first, step",
        f"held ({unit})",
        f"broke ({unit})",
        f"cracked ({unit})",
        "failure",
        "notes",
    )
    return (
        "<h2 class='page'>Record</h2>"
        + _small(
            f"Count {HOLD_SECONDS} seconds at every step. held: the highest weight it stood for that long "
            "(empty: it went at the first step). broke: the weight under which it let go within that time "
            "(empty: it never did). cracked: the weight at which you first heard or saw it. "
            "failure: glue, wood, both, fastener, or nothing where you cannot say."
        )
        + _pieces(plan)
        + "<div class='fill'>"
        + _table(head, rows, numbers=(0,), whole=(1, 2))
        + "</div>"
    )


def _pieces(plan: Plan) -> str:
    """The predicted pieces of every joint, to lay the broken ones beside them; empty without any."""
    shown = "".join(
        f"<figure><figcaption><b>{escape(each.label)}</b></figcaption>"
        f"<img alt='{escape(each.pieces.words)}, predicted pieces' "
        f"src='data:image/png;base64,{b64encode(each.pieces.png).decode()}'/>"
        f"<figcaption class='small'>{escape(each.pieces.words)}</figcaption></figure>"
        for each in plan.estimates
        if each.pieces is not None
    )
    if not shown:
        return ""
    without = [each.label for each in plan.estimates if each.pieces is None]
    missing = f" None is drawn of {all_of(without)}: by calculation it stays in one piece." if without else ""
    words = f"Lay the broken pieces beside these: where do they part, and which faces are torn?{missing}"
    return f"{_small(words)}<div class='pieces'>{shown}</div>"


def _cutting(plan: Plan, units: Units) -> str:
    blanks = [
        (
            blank.label,
            blank.part,
            str(count),
            _sizes((blank.length, blank.width, blank.thickness), units),
            blank.wood,
            blank.ends(units),
        )
        for blank, count in counted_blanks(plan)
    ]
    head = ("joint", "part", "pieces", "length × width × thickness", "wood", "ends")
    boards = [
        (
            str(number),
            board.wood,
            _sizes((board.length, board.width, board.thickness), units),
            _marks(board),
            format_cut(float(floor(board.left_over)), units),
        )
        for number, board in enumerate(plan.boards, 1)
    ]
    return "\n".join(
        (
            "<h2 class='page'>Cut list</h2>",
            _small(
                "Grain runs along every length. Lengths hold a trim allowance and, at mitres, the blade's "
                f"path; {format_length(plan.wishes.kerf, units)} of kerf a cut. Blanks go into boards in the "
                "order of breaking, so that each board feeds every joint. Mark every blank with its specimen."
            ),
            _table(head, blanks, numbers=(2,), whole=(0, 1, 3)),
            "<h2>Boards</h2><div class='small'>",
            _table(("board", "wood", "size", "blanks", "left over"), boards, numbers=(0, 4), whole=(2,)),
            "</div>",
        )
    )


def _small(text: str) -> str:
    return f"<p class='small'>{escape(text)}</p>"


def _marks(board: StockBoard) -> str:
    """What is written on the blanks of a board, with how many bear it, in order."""
    marks = Counter(board.blanks).items()
    return ", ".join(f"{count} × {mark}" if count > 1 else mark for mark, count in marks)


def _sizes(sizes: Sequence[float], units: Units) -> str:
    """Sizes in one unit, named once: ``153 × 90 × 19 mm``."""
    unit = length_unit(units)
    return " × ".join(format_cut(size, units).removesuffix(f" {unit}") for size in sizes) + f" {unit}"


def _lying_table(rows: Sequence[Sequence[str]], columns: int) -> list[str]:
    """Rows whose first cell is their name, cut into tables of at most that many columns beside it.

    The tables are of equal length, or nearly: one left over would stand as wide as the page.
    """
    count = len(rows[0]) - 1
    columns = ceil(count / ceil(count / columns))
    tables = []
    for start in range(1, len(rows[0]), columns):
        part = [(row[0], *row[start : start + columns]) for row in rows]
        tables.append(_table(part[0], part[1:], numbers=range(1, columns + 1)))
    return tables


def _table(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    numbers: Sequence[int] | range = (),
    whole: Sequence[int] = (),
) -> str:
    """A table; ``numbers`` are columns set to the right, ``whole`` columns whose cells stay on one line."""

    def kind(index: int) -> str:
        if index in numbers:
            return " class=number"
        return " class=whole" if index in whole else ""

    def cells(row: Sequence[str], tag: str) -> str:
        return "".join(f"<{tag}{kind(index)}>{escape(cell)}</{tag}>" for index, cell in enumerate(row))

    body = "\n".join(f"<tr>{cells(row, 'td')}</tr>" for row in rows)
    table = f"<table><thead><tr>{cells(head, 'th')}</tr></thead><tbody>{body}</tbody></table>"
    return f"<div class='wide'>{table}</div>"
