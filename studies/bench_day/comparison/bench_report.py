"""A bench day beside its prediction: one JSON object (N), a text for people, tables for spreadsheets."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from math import isinf
from pathlib import Path

import msgspec
from msgspec import field

from glueline.studies.bench_day.comparison.bench_words import (
    crack_words,
    force_range,
    order_words,
    prediction_words,
    ratio_range,
    short_force,
)
from glueline.studies.bench_day.comparison.comparison import Agreement, ComparedJoint, Comparison, InBand
from glueline.studies.bench_day.comparison.days import LOADS_AS_FORCE, LOADS_BY_RIG, ComparedDays
from glueline.studies.bench_day.comparison.said_of_day import SaidOfJoint, said_of_day, written_sentences
from glueline.studies.bench_day.estimates.doubtful_rows import DoubtfulRow
from glueline.studies.bench_day.estimates.likelihood_limits import CONFIDENCE
from glueline.studies.bench_day.estimates.measured import Pair
from glueline.studies.bench_day.rig.rig_report import RIG_CAUTIONS
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.columns import aligned
from glueline.studies.files.csv_text import csv_bytes
from glueline.studies.files.display import percent, words_in_units
from glueline.studies.files.json_text import json_text
from glueline.studies.files.results_folder import check_place, write_results_folder
from glueline.studies.files.units import Units
from glueline.studies.files.wording import answers_said
from glueline.studies.files.words import counted, one_of
from glueline.studies.show.page_words import page_files

BENCH_FILE, JOINTS_FILE, BREAKS_FILE = "bench.json", "joints.csv", "breaks.csv"
PARITY_PICTURE, RANKING_PICTURE = "parity.png", "bench_ranking.png"
COMMAND = "bench"

Range = tuple[float, float]


class WrittenJoint(msgspec.Struct, frozen=True):
    """One joint of a bench day for JSON, loads in N; None where there is nothing to say."""

    label: str
    count: int = field(name="n")
    mean: float | None = field(name="mean_N")
    cov: float | None
    low_value: float | None = field(name="p05_N")
    limits: Range | None = field(name="ci_N")
    predicted: float | None = field(name="predicted_N")
    band: Range | None = field(name="band_N")
    ratio: float | None
    ratio_limits: Range | None = field(name="ratio_ci")
    low_limit: float | None = field(name="p05_lower_limit_N")
    shared_interval: tuple[float, float | None] | None = field(name="shared_interval_N")
    failed_at_first_step: int
    never_failed: int
    failures: dict[str, int]
    predicted_breaks_in: str | None
    failures_agreed: Agreement
    in_band: InBand | None
    cracked_mean: float | None = field(name="cracked_mean_N")
    cracked_count: int = field(name="cracked_n")
    predicted_first_crack: float | None = field(name="predicted_first_crack_N")
    specimens: tuple[str, ...]  # files, relative to the (first) log
    photos: tuple[str, ...]  # file names as the log has them
    remarks: tuple[str, ...]


class WrittenBench(msgspec.Struct, frozen=True, kw_only=True):
    """A bench day beside its prediction for JSON."""

    said_aloud: tuple[SaidOfJoint, ...]
    joints: tuple[WrittenJoint, ...]
    bias: float | None
    bias_limits: Range | None = field(name="bias_ci")
    rank_correlation: float | None
    rank_correlation_kind: str = "Spearman, measured mean with predicted load"
    supported_order: tuple[tuple[str, str], ...]
    confidence: float = CONFIDENCE
    pairs: tuple[Pair, ...]
    correction: str
    in_band: InBand | None
    failures_agreed: Agreement
    specimens: int
    method: str
    loads: str
    low_value_kind: str = field(name="p05_kind", default="point estimate by maximum likelihood, lognormal")
    low_limit_kind: str = field(
        name="p05_lower_limit_kind", default="lower limit of the 5 % value, one-sided at 95 %"
    )
    days: ComparedDays | None  # None for a single log
    doubtful_rows: tuple[DoubtfulRow, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = (*CAUTIONS.splitlines(), *RIG_CAUTIONS.splitlines())


def written_bench(comparison: Comparison) -> WrittenBench:
    """The comparison for JSON, in N; specimen files relative to the log."""
    folder = os.path.dirname(os.path.abspath(comparison.log.path))
    ways = dict.fromkeys(LOADS_AS_FORCE if rig is None else LOADS_BY_RIG for rig in comparison.log.rigs)
    return WrittenBench(
        said_aloud=written_sentences(comparison),
        joints=tuple(_written_joint(joint, folder) for joint in comparison.joints),
        bias=comparison.bias,
        bias_limits=comparison.bias_limits,
        rank_correlation=comparison.rank_correlation,
        supported_order=comparison.supported_order,
        pairs=comparison.pairs,
        correction=f"Holm over {len(comparison.pairs)} pairs",
        in_band=comparison.in_band,
        failures_agreed=comparison.agreement,
        specimens=len(comparison.log.breaks),
        method=comparison.method,
        loads=" and ".join(ways),
        days=comparison.days,
        doubtful_rows=comparison.doubtful,
        notes=comparison.notes,
    )


def _written_joint(joint: ComparedJoint, folder: str) -> WrittenJoint:
    each = joint.measured
    return WrittenJoint(
        label=each.label,
        count=each.count,
        mean=each.mean,
        cov=each.cov,
        low_value=each.low_value,
        limits=each.limits,
        predicted=joint.predicted,
        band=joint.band,
        ratio=joint.ratio,
        ratio_limits=joint.ratio_limits,
        low_limit=each.low_limit,
        shared_interval=None
        if each.shared is None
        else (each.shared[0], None if isinf(each.shared[1]) else each.shared[1]),
        failed_at_first_step=sum(row.lower == 0 for row in each.breaks),
        never_failed=sum(isinf(row.upper) for row in each.breaks),
        failures=dict(each.failures),
        predicted_breaks_in=one_of(joint.predicted_kinds) if joint.predicted_kinds else None,
        failures_agreed=joint.agreement,
        in_band=joint.in_band,
        cracked_mean=joint.cracked,
        cracked_count=joint.cracked_count,
        predicted_first_crack=joint.first_crack,
        specimens=tuple(_from(folder, path) for path in joint.files),
        photos=tuple(row.photo for row in each.breaks if row.photo),
        remarks=joint.remarks,
    )


def _from(folder: str, path: str) -> str:
    """A path as seen from a folder, as it is where there is no way."""
    try:
        return os.path.relpath(path, folder)
    except ValueError:
        return path


def bench_text(comparison: Comparison, units: Units) -> str:
    """For people: what is said aloud, table, what the data support, how the prediction did, cautions."""
    joints = strongest_measured(comparison)
    remarks = remarks_of(comparison, units)
    parts = [
        "\n".join(said_of_day(comparison, units)),
        about_bench(comparison),
        aligned(joint_rows(joints, units)),
        how_estimated(),
        *([] if comparison.days is None else [comparison.days.words]),
        "\n".join(order_words(comparison)),
        "\n".join([*prediction_words(comparison), *crack_words(joints, units)]),
        *(["\n".join(remarks)] if remarks else []),
    ]
    return "\n\n".join([*parts, CAUTIONS])


def strongest_measured(comparison: Comparison) -> list[ComparedJoint]:
    """The joints by their measured mean, the strongest first."""
    return sorted(comparison.joints, key=lambda joint: -(joint.measured.mean or 0.0))


def about_bench(comparison: Comparison) -> str:
    """How many specimens of how many joints, and what they are held against."""
    logs = f" of {len(comparison.log.days)} logs" if comparison.log.days else ""
    specimens = counted(len(comparison.log.breaks), "specimen")
    predicted = (
        f"beside what was predicted, {answers_said([comparison.method])}"
        if comparison.method
        else "none of them predicted"
    )
    return f"{specimens}{logs}, {counted(len(comparison.joints), 'joint')}, {predicted}"


def how_estimated() -> str:
    """What the columns of the table are."""
    return (
        "n: how many were broken; mean, scatter (standard deviation over mean) and 5 % value (which 5 of 100 "
        "do not reach): lognormal, as fits best what held and what broke; in brackets what the 5 % value is "
        f"at least (one-sided, {percent(CONFIDENCE)}); ratio: measured over predicted"
    )


def remarks_of(comparison: Comparison, units: Units) -> list[str]:
    """What is to be said of single joints, then of the whole day."""
    joints = strongest_measured(comparison)
    remarks = [f"{joint.measured.label}: {text}" for joint in joints for text in joint.remarks]
    return remarks + [f"note: {words_in_units(text, units)}" for text in comparison.notes]


def joint_rows(joints: Sequence[ComparedJoint], units: Units) -> list[tuple[str, ...]]:
    """Every joint beside its prediction, headings first."""
    rows: list[tuple[str, ...]] = [
        ("joint", "n", "mean", "95 % interval", "scatter", "5 % value", "predicted", "band", "ratio")
    ]
    for joint in joints:
        each = joint.measured
        low = "" if each.low_limit is None else f" ({short_force(each.low_limit, units)})"
        ratio = "-" if joint.ratio is None else f"{joint.ratio:.2f}"
        if joint.ratio_limits is not None:
            ratio += f" ({ratio_range(joint.ratio_limits)})"
        rows.append(
            (
                each.label,
                str(each.count),
                short_force(each.mean, units),
                "-" if each.limits is None else force_range(each.limits, units),
                "-" if each.cov is None else percent(each.cov),
                short_force(each.low_value, units) + low,
                short_force(joint.predicted, units),
                "-" if joint.band is None else force_range(joint.band, units),
                ratio,
            )
        )
    return rows


def write_bench(
    comparison: Comparison, folder: Path, units: Units, of_page: Mapping[str, bytes] | None = None
) -> tuple[str, ...]:
    """Write JSON, tables and pictures into ``folder``, the manifest last; their names.

    ``of_page`` holds the files that a page needs.
    Raises InputError where a file that no comparison wrote stands in the way.
    """
    from glueline.studies.bench_day.comparison.parity_picture import draw_parity
    from glueline.studies.bench_day.comparison.ranking_picture import draw_bench_ranking
    from glueline.studies.show.canvas import drawn

    contents: dict[str, Callable[[], bytes]] = {
        JOINTS_FILE: lambda: joints_csv(comparison),
        BREAKS_FILE: lambda: breaks_csv(comparison),
        PARITY_PICTURE: lambda: drawn(draw_parity, comparison, units),
        RANKING_PICTURE: lambda: drawn(draw_bench_ranking, comparison, units),
        BENCH_FILE: lambda: json_text(written_bench(comparison)).encode(),
    }
    if not comparison.method:
        del contents[PARITY_PICTURE]  # there is nothing to hold the breaks against
    drawn_and_written = {name: content() for name, content in contents.items()}
    write_results_folder(folder, COMMAND, {**drawn_and_written, **(of_page or {})})
    return tuple(contents)


def check_bench_place(folder: str | os.PathLike[str]) -> None:
    """Raises InputError where a comparison cannot be written there, before it is made."""
    files = (JOINTS_FILE, BREAKS_FILE, PARITY_PICTURE, RANKING_PICTURE, BENCH_FILE)
    check_place(folder, COMMAND, (*files, *page_files(COMMAND)))


def joints_csv(comparison: Comparison) -> bytes:
    """One row a joint (CSV, UTF-8), loads in N; blank where there is nothing to say."""
    columns = ("label", "n", "mean_N", "cov", "p05_N", "p05_lower_limit_N", "ci_low_N", "ci_high_N")
    further = ("predicted_N", "band_05_N", "band_95_N", "ratio", "ratio_low", "ratio_high", "remarks")
    rows: list[Sequence[object]] = [(*columns, *further)]
    for joint in comparison.joints:
        each = joint.measured
        rows.append(
            (
                *(each.label, each.count, each.mean, each.cov, each.low_value, each.low_limit),
                *(each.limits or (None, None)),
                joint.predicted,
                *(joint.band or (None, None)),
                joint.ratio,
                *(joint.ratio_limits or (None, None)),
                "; ".join(joint.remarks),
            )
        )
    return csv_bytes(rows)


def breaks_csv(comparison: Comparison) -> bytes:
    """One row a specimen (CSV, UTF-8) with the force on the joint in N; blank where there was no bound."""
    columns = ("label", "above_N", "up_to_N", "failure", "cracked_N", "notes", "line", "photo", "log")
    rows: list[Sequence[object]] = [columns]
    bench = comparison.log
    for each in bench.breaks:
        log = os.path.basename(bench.path) if not bench.days else bench.days[each.day].path
        lower = each.lower or None
        upper = None if isinf(each.upper) else each.upper
        words = (each.notes, each.line, each.photo, log)
        rows.append((each.label, lower, upper, each.failure, each.cracked, *words))
    return csv_bytes(rows)
