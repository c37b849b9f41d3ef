"""A bench day's plan as one JSON object (N, mm, kg) and as a text for people; and its directory."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

import msgspec
from msgspec import field

from glueline.studies.bench_day.log.filled_log import refuse_filled
from glueline.studies.bench_day.plan.bench_sheet import (
    WEIGHT_COLUMNS,
    safety_notes,
    sheet_html,
    weights_and_steps,
)
from glueline.studies.bench_day.plan.cut_list import StockBoard
from glueline.studies.bench_day.plan.expected_weights import (
    EXPECTED_COLUMNS,
    ExpectedWeights,
    expected_rows,
    expected_weights,
    load_purposes,
    loads_as_weights,
    said_on_the_day,
)
from glueline.studies.bench_day.plan.log_workbook import log_workbook
from glueline.studies.bench_day.plan.plan import PRECISION, Pair, Plan, PlannedJoint, Purpose
from glueline.studies.bench_day.plan.plan_tables import (
    CutRow,
    counted_blanks,
    cut_list_csv,
    cut_rows,
    log_csv,
)
from glueline.studies.corner.specimen_file import specimen_toml
from glueline.studies.files.columns import aligned
from glueline.studies.files.display import format_weight, words_in_units
from glueline.studies.files.json_text import json_text
from glueline.studies.files.results_folder import check_place, write_results_folder
from glueline.studies.files.units import Units, format_cut, format_length, format_share, significant
from glueline.studies.files.words import counted
from glueline.studies.show.page_words import page_files

SHEET_FILE, CUT_FILE, PLAN_FILE = "bench_sheet.html", "cut_list.csv", "plan.json"
LOG_FILE, WORKBOOK_FILE = LOG_FILES = ("bench.csv", "bench.xlsx")
"""The log to fill in, as a table and as a spreadsheet; one of the two is enough."""

SPECIMEN_FOLDER = "specimens"
COMMAND = "plan"


class WrittenPlanRig(msgspec.Struct, frozen=True):
    """The rig of a plan for JSON."""

    kind: str
    arrangement: str
    preload: float = field(name="preload_N")


class WrittenPlan(msgspec.Struct, frozen=True):
    """The plan for JSON: weights in kg stacked on the rig, forces in N, lengths in mm."""

    specimens: tuple[PlannedJoint, ...]
    said_aloud: tuple[ExpectedWeights, ...]
    order: tuple[str, ...]
    cut_list: tuple[CutRow, ...]
    boards: tuple[StockBoard, ...]
    weights_to_bring: float = field(name="weights_to_bring_kg")
    pairs: tuple[Pair, ...]
    confidence: float
    power: float
    most_replicates: int
    margin: float
    kerf: float = field(name="kerf_mm")
    drop: float = field(name="drop_mm")
    seed: int
    rig: WrittenPlanRig
    warnings: tuple[str, ...]
    safety: tuple[str, ...]


def written_plan(plan: Plan) -> WrittenPlan:
    """The plan for JSON."""
    wishes, rig = plan.wishes, plan.rig
    return WrittenPlan(
        specimens=plan.joints,
        said_aloud=expected_weights(plan),
        order=tuple(name for _, name in plan.order),
        cut_list=cut_rows(plan),
        boards=plan.boards,
        weights_to_bring=plan.heaviest_kg,
        pairs=plan.pairs,
        confidence=wishes.confidence,
        power=wishes.power,
        most_replicates=wishes.most,
        margin=wishes.margin,
        kerf=wishes.kerf,
        drop=wishes.drop,
        seed=wishes.seed,
        rig=WrittenPlanRig(rig.kind, rig.arrangement.name, rig.line.preload),
        warnings=rig.warnings,
        safety=safety_notes(plan, "metric"),
    )


def plan_text(plan: Plan, units: Units) -> str:
    """The plan for people."""
    wishes = plan.wishes
    rows: list[tuple[str, ...]] = [(*WEIGHT_COLUMNS, "how many")]
    rows += [(*cells, f"{replicates} of them") for *cells, replicates in weights_and_steps(plan, units)]
    parts = [
        "\n".join(said_on_the_day(plan, units)),
        f"Bench day: {len(plan.order)} specimens, up to {format_weight(plan.heaviest_kg, units)} stacked",
        aligned(rows),
        "Weights are what is stacked on the rig; they reach the 95 % value and "
        f"{format_share(wishes.margin)} more.",
    ]
    head, *loads = loads_as_weights(plan, units)
    parts += [
        f"{aligned([EXPECTED_COLUMNS, *expected_rows(plan, units)])}\nWeights stacked on the rig.",
        "\n".join([aligned([head, *loads]), *load_purposes(plan)]),
    ]
    if plan.pairs:
        parts += [_pairs_text(plan)]
    parts += purpose_words(plan)
    parts += ["Order: " + ", ".join(name for _, name in plan.order) + f" (seed {wishes.seed})"]
    parts += [_cut_text(plan, units)]
    notes = plan.notes(units)
    bands = dict.fromkeys(f"{each.label}: {each.band_from}" for each in plan.joints)
    parts += ["\n".join([f"band of {words}" for words in bands] + [f"note: {note}" for note in notes])]
    warnings = [f"warning: {words_in_units(each, units)}" for each in plan.rig.warnings]
    parts += ["\n".join(warnings)] if warnings else []
    parts += ["\n".join(safety_notes(plan, units))]
    return "\n\n".join(parts)


def _pairs_text(plan: Plan) -> str:
    return aligned(pair_rows(plan))


def pair_rows(plan: Plan) -> list[tuple[str, ...]]:
    """How many of each it takes to tell two joints apart, headings first."""
    wishes = plan.wishes
    rows: list[tuple[str, ...]] = [
        (
            "stronger",
            "weaker",
            "ratio",
            f"to tell them apart at {_exact_share(wishes.confidence)}, "
            f"on {_exact_share(wishes.power)} of such days",
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
    return rows


def purpose_words(plan: Plan) -> list[str]:
    """What the replicates of joints are for where they are not counted to tell joints apart."""
    confidence = _exact_share(plan.wishes.confidence)
    aim = f"own median load within a factor of {1 + PRECISION:g} at {confidence} confidence"
    apart = ", not to tell it from the others" if plan.pairs else ""
    enough = _counted(plan, "to know its median")
    most = _counted(plan, "the most allowed")
    sentences = []
    if enough:
        sentences.append(f"{enough}: enough to know each joint's {aim}{apart}.")
    if most:
        sentences.append(f"{most}: the most allowed (--most), too few even to know each joint's {aim}.")
    return ["\n".join(sentences)] if sentences else []


def _counted(plan: Plan, purpose: Purpose) -> str:
    return ", ".join(
        f"{each.replicates} of {each.label}" for each in plan.joints if each.replicates_for == purpose
    )


def _exact_share(share: float) -> str:
    """A share of one as it was typed; 99.99 % is not 100 %."""
    return f"{significant(100 * share, 4)} %"


def _cut_text(plan: Plan, units: Units) -> str:
    return f"{aligned(blank_rows(plan, units))}\n{cut_words(plan, units)}"


def blank_rows(plan: Plan, units: Units) -> list[tuple[str, ...]]:
    """What to cut, headings first."""
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
    return rows


def cut_words(plan: Plan, units: Units) -> str:
    """What it is cut from."""
    length = format_length(plan.wishes.board_length, units)
    kerf = format_length(plan.wishes.kerf, units)
    boards = counted(len(plan.boards), "board")
    return f"grain along every length; {boards} of {length} with {kerf} of kerf a cut"


def refuse_loss(out: str | os.PathLike[str], labels: Sequence[str] = ()) -> None:
    """Raises InputError where a plan in ``out`` would take the place of what no plan wrote.

    So a log to fill in that has been filled in, and files of others under the names of a plan for
    ``labels``.
    """
    for log in LOG_FILES:
        refuse_filled(Path(out) / log, out)
    files = (*specimen_files(list(labels)).values(), SHEET_FILE, *LOG_FILES, CUT_FILE, PLAN_FILE)
    names = (*files, *page_files(COMMAND))
    check_place(out, COMMAND, names, judged=LOG_FILES)


def write_plan(
    plan: Plan, folder: Path, units: Units, of_page: Mapping[str, bytes] | None = None
) -> tuple[str, ...]:
    """Write the sheet, the log to fill in, the cut list, the plan and the specimens; their names.

    ``of_page`` holds the files that a page needs; the manifest comes last. Raises OSError, and InputError as
    ``refuse_loss``, perhaps for what came during the predictions.
    """
    for log in LOG_FILES:
        refuse_filled(folder / log, str(folder))
    files = specimen_files([each.label for each in plan.joints])
    specimens = {files[each.label]: specimen_toml(each.specimen).encode() for each in plan.estimates}
    content = {
        SHEET_FILE: sheet_html(plan, units),
        LOG_FILE: log_csv(plan, files, units),
        WORKBOOK_FILE: log_workbook(plan, files, units),
        CUT_FILE: cut_list_csv(plan, units),
        PLAN_FILE: json_text(written_plan(plan)).encode(),
    }
    write_results_folder(folder, COMMAND, {**specimens, **content, **(of_page or {})}, judged=LOG_FILES)
    return tuple(content)


def specimen_files(labels: list[str]) -> Mapping[str, str]:
    """A file for each label's specimen, relative to the directory of the plan; no two alike."""
    files: dict[str, str] = {}
    for label in labels:
        stem = re.sub(r"[^A-Za-z0-9]+", "_", label).strip("_").casefold()[:60] or "corner"
        name, number = stem, 1
        while f"{SPECIMEN_FOLDER}/{name}.toml" in files.values():
            number += 1
            name = f"{stem}_{number}"
        files[label] = f"{SPECIMEN_FOLDER}/{name}.toml"
    return files
