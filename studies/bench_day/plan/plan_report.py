"""A bench day's plan as one JSON object (N, mm, kg) and as a text for people; and its directory."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from glueline.studies.bench_day.log.filled_log import refuse_filled
from glueline.studies.bench_day.plan.bench_sheet import (
    GRAIN,
    counted_blanks,
    cut_list_csv,
    log_csv,
    safety_notes,
    sheet_html,
    weight,
)
from glueline.studies.bench_day.plan.cut_list import Blank
from glueline.studies.bench_day.plan.plan import PRECISION, Plan, PlannedSpecimen, Purpose
from glueline.studies.corner.specimen_file import specimen_toml
from glueline.studies.files.output import write_whole
from glueline.studies.files.units import (
    Units,
    format_cut,
    format_force,
    format_length,
    format_share,
    significant,
)
from glueline.studies.show.tables import aligned

SHEET_FILE, LOG_FILE, CUT_FILE, PLAN_FILE = "bench_sheet.html", "bench.csv", "cut_list.csv", "plan.json"
SPECIMEN_FOLDER = "specimens"


def plan_object(plan: Plan) -> dict[str, Any]:
    """The plan for JSON: weights in kg stacked on the rig, forces in N, lengths in mm."""
    wishes = plan.wishes
    return {
        "specimens": [_specimen_object(each) for each in plan.specimens],
        "order": [name for _, name in plan.order],
        "cut_list": [_blank_object(blank, count) for blank, count in counted_blanks(plan)],
        "boards": [
            {
                "wood": board.wood,
                "length_mm": board.length,
                "width_mm": board.width,
                "thickness_mm": board.thickness,
                "blanks": list(board.blanks),
                "left_over_mm": board.offcut,
            }
            for board in plan.boards
        ],
        "weights_to_bring_kg": plan.heaviest_kg,
        "pairs": [
            {
                "stronger": pair.stronger,
                "weaker": pair.weaker,
                "ratio": pair.ratio,
                "replicates": pair.replicates,
                "would_need": pair.needed,
            }
            for pair in plan.pairs
        ],
        "confidence": wishes.confidence,
        "power": wishes.power,
        "most_replicates": wishes.most,
        "margin": wishes.margin,
        "kerf_mm": wishes.kerf,
        "drop_mm": wishes.drop,
        "seed": wishes.seed,
        "rig": {
            "kind": plan.rig.kind,
            "arrangement": plan.rig.arrangement,
            "preload_N": plan.rig.line.preload,
        },
        "warnings": list(plan.rig.warnings),
        "safety": list(safety_notes(plan, "metric")),
    }


def _specimen_object(planned: PlannedSpecimen) -> dict[str, Any]:
    own = planned.expected
    return {
        "label": own.label,
        "weights_to_bring_kg": planned.weights_to_bring_kg,
        "step_kg": planned.step_kg,
        "replicates": planned.replicates,
        "replicates_for": planned.replicates_for,
        "first_stack_kg": planned.first_kg,
        "predicted_N": own.load,
        "band_N": list(own.band),
        "band_from": own.band_said,
        "breaks_in": own.breaks_in,
        "stored_energy_J": planned.stored_energy_J,
        "energy_at_break_J": own.energy_J,
        "notes": list(planned.notes),
    }


def _blank_object(blank: Blank, count: int) -> dict[str, Any]:
    return {
        "label": blank.label,
        "part": blank.part,
        "pieces": count,
        "length_mm": blank.length,
        "width_mm": blank.width,
        "thickness_mm": blank.thickness,
        "wood": blank.wood,
        "grain": GRAIN,
        "ends": blank.ends("metric"),
    }


def plan_text(plan: Plan, units: Units) -> str:
    """The plan for people."""
    wishes = plan.wishes
    rows = [("joint", "predicted", "5 % to 95 %", "stack first", "step", "bring", "break")]
    rows += [
        (
            each.expected.label,
            format_force(each.expected.load, units),
            " to ".join(format_force(end, units) for end in each.expected.band),
            weight(each.first_kg, units),
            weight(each.step_kg, units),
            weight(each.weights_to_bring_kg, units),
            f"{each.replicates} of them",
        )
        for each in plan.specimens
    ]
    parts = [
        f"Bench day: {len(plan.order)} specimens, up to {weight(plan.heaviest_kg, units)} stacked",
        aligned(rows),
        "Weights are what is stacked on the rig; they reach the 95 % value and "
        f"{format_share(wishes.margin)} more.",
    ]
    if plan.pairs:
        parts += [_pairs_text(plan)]
    parts += _purpose_text(plan)
    parts += ["Order: " + ", ".join(name for _, name in plan.order) + f" (seed {wishes.seed})"]
    parts += [_cut_text(plan, units)]
    notes = [f"{each.expected.label}: {note}" for each in plan.specimens for note in each.notes]
    bands = dict.fromkeys(f"{each.expected.label}: {each.expected.band_said}" for each in plan.specimens)
    parts += ["\n".join([f"band of {said}" for said in bands] + [f"note: {note}" for note in notes])]
    parts += ["\n".join(f"warning: {warning}" for warning in plan.rig.warnings)] if plan.rig.warnings else []
    parts += ["\n".join(safety_notes(plan, units))]
    return "\n\n".join(parts)


def _pairs_text(plan: Plan) -> str:
    wishes = plan.wishes
    rows = [
        (
            "stronger",
            "weaker",
            "ratio",
            f"to tell them apart at {_exact_share(wishes.confidence)}, {_exact_share(wishes.power)} power",
        )
    ]
    for pair in plan.pairs:
        if pair.replicates is not None:
            words = f"{pair.replicates} of each"
        elif pair.needed is not None:
            words = f"not with {wishes.most} of each; it would take {pair.needed}"
        else:
            words = f"not with {wishes.most} of each, nor with thousands"
        rows.append((pair.stronger, pair.weaker, f"{pair.ratio:.2f}", words))
    return aligned(rows)


def _purpose_text(plan: Plan) -> list[str]:
    """What the replicates of joints are for where they are not counted to tell joints apart."""
    confidence = _exact_share(plan.wishes.confidence)
    aim = f"own median load within a factor of {1 + PRECISION:g} at {confidence} confidence"
    apart = ", not to tell it from the others" if plan.pairs else ""
    enough = _counted(plan, "to know its median")
    most = _counted(plan, "the most allowed")
    said = []
    if enough:
        said.append(f"{enough}: enough to know each joint's {aim}{apart}.")
    if most:
        said.append(f"{most}: the most allowed (--most), too few even to know each joint's {aim}.")
    return ["\n".join(said)] if said else []


def _counted(plan: Plan, purpose: Purpose) -> str:
    return ", ".join(
        f"{each.replicates} of {each.expected.label}"
        for each in plan.specimens
        if each.replicates_for == purpose
    )


def _exact_share(share: float) -> str:
    """A share of one as it was typed; 99.99 % is not 100 %."""
    return f"{significant(100 * share, 4)} %"


def _cut_text(plan: Plan, units: Units) -> str:
    rows: list[tuple[str, ...]] = [("blank", "pieces", "length", "width", "thickness", "wood")]
    rows += [
        (
            f"{blank.label}, {blank.part}",
            str(count),
            *(format_cut(size, units) for size in (blank.length, blank.width, blank.thickness)),
            blank.wood,
        )
        for blank, count in counted_blanks(plan)
    ]
    count = len(plan.boards)
    length = format_length(plan.wishes.board_length, units)
    kerf = format_length(plan.wishes.kerf, units)
    return (
        f"{aligned(rows)}\ngrain along every length; {count} board{'s' if count > 1 else ''} of {length} "
        f"with {kerf} of kerf a cut"
    )


def refuse_loss(out: str | os.PathLike[str]) -> None:
    """Raises InputError where the table to fill in that is in ``out`` already has been filled in."""
    refuse_filled(Path(out) / LOG_FILE, out)


def write_plan(plan: Plan, folder: Path, units: Units) -> tuple[str, ...]:
    """Write the sheet, the table to fill in, the cut list, the plan and the specimens; their names.

    Raises OSError, and InputError where the table there has been filled in, perhaps during the predictions.
    """
    refuse_loss(folder)
    files = specimen_files([each.expected.label for each in plan.specimens])
    (folder / SPECIMEN_FOLDER).mkdir(exist_ok=True)
    for each in plan.specimens:
        path = folder / files[each.expected.label]
        write_whole(path, specimen_toml(each.expected.specimen).encode())
    text = json.dumps(plan_object(plan), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    content = {
        SHEET_FILE: sheet_html(plan, units),
        LOG_FILE: log_csv(plan, files, units),
        CUT_FILE: cut_list_csv(plan),
        PLAN_FILE: text.encode(),
    }
    for name, data in content.items():
        write_whole(folder / name, data)
    return tuple(content)


def specimen_files(labels: list[str]) -> Mapping[str, str]:
    """A file for each label's specimen, relative to the directory of the plan; no two alike."""
    found: dict[str, str] = {}
    for label in labels:
        stem = re.sub(r"[^A-Za-z0-9]+", "_", label).strip("_").casefold()[:60] or "corner"
        name, number = stem, 1
        while f"{SPECIMEN_FOLDER}/{name}.toml" in found.values():
            number += 1
            name = f"{stem}_{number}"
        found[label] = f"{SPECIMEN_FOLDER}/{name}.toml"
    return found
