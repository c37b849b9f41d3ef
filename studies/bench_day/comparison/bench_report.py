"""A bench day beside its prediction: one JSON object (N), a text for people, tables for spreadsheets."""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Callable, Sequence
from math import isinf
from pathlib import Path
from typing import Any

from glueline.studies.bench_day.comparison.comparison import Agreement, ComparedJoint, Comparison, InBand
from glueline.studies.bench_day.estimates.likelihood_limits import CONFIDENCE
from glueline.studies.bench_day.plan.bench_sheet import harmless
from glueline.studies.bench_day.rig.rig_report import RIG_CAUTIONS
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.display import force_factor, force_unit, percent
from glueline.studies.files.output import remove_others, write_whole
from glueline.studies.files.toml_tables import one_of
from glueline.studies.files.units import Units, significant
from glueline.studies.show.tables import aligned

BENCH_FILE, JOINTS_FILE, BREAKS_FILE = "bench.json", "joints.csv", "breaks.csv"
PARITY_PICTURE, RANKING_PICTURE = "parity.png", "bench_ranking.png"
LOW_VALUE_KIND = "point estimate by maximum likelihood, lognormal"
LOW_LIMIT_KIND = "lower limit of the 5 % value, one-sided at 95 %"


def bench_object(found: Comparison) -> dict[str, Any]:
    """The comparison for JSON, in N; specimen files relative to the log."""
    folder = os.path.dirname(os.path.abspath(found.log.path))
    return {
        "joints": [_joint_object(joint, folder) for joint in found.joints],
        "bias": found.bias,
        "bias_ci": _pair(found.bias_limits),
        "rank_correlation": found.rank_correlation,
        "rank_correlation_kind": "Spearman, measured mean with predicted load",
        "supported_order": [list(order) for order in found.supported_order],
        "confidence": CONFIDENCE,
        "pairs": [
            {
                "stronger": pair.stronger,
                "weaker": pair.weaker,
                "p": pair.probability,
                "p_corrected": pair.corrected,
                "supported": pair.supported,
            }
            for pair in found.pairs
        ],
        "correction": f"Holm over {len(found.pairs)} pairs",
        "in_band": _in_band_object(found.in_band),
        "failures_agreed": _agreement_object(found.agreement),
        "specimens": len(found.log.breaks),
        "method": found.method,
        "loads": "force on the joint"
        if found.log.rig is None
        else "stacked weight turned into force by the rig",
        "p05_kind": LOW_VALUE_KIND,
        "p05_lower_limit_kind": LOW_LIMIT_KIND,
        "notes": list(found.said),
        "cautions": [*CAUTIONS.splitlines(), *RIG_CAUTIONS.splitlines()],
    }


def bench_text(found: Comparison, units: Units) -> str:
    """The comparison for people: table, what the data support, how the prediction did, cautions."""
    joints = sorted(found.joints, key=lambda joint: -(joint.measured.mean or 0.0))
    parts = [
        f"{_count(len(found.log.breaks), 'specimen')}, {_count(len(joints), 'joint')}, "
        + (f"beside the {found.method} answer" if found.method else "none of them predicted"),
        aligned(_rows(joints, units)),
        "mean, cov and 5 % value: lognormal, maximum likelihood from intervals; 5 % value: point estimate, "
        f"in brackets its lower limit (one-sided, {percent(CONFIDENCE)}); ratio: measured over predicted",
        "\n".join(order_words(found)),
        "\n".join([*prediction_words(found), *_crack_words(joints, units)]),
    ]
    remarks = [f"{joint.measured.label}: {text}" for joint in joints for text in joint.said]
    remarks += [f"note: {text}" for text in found.said]
    parts += ["\n".join(remarks)] if remarks else []
    return "\n\n".join([*parts, CAUTIONS])


def order_words(found: Comparison) -> list[str]:
    """Which differences the data support, in sentences."""
    alone = [joint.measured.label for joint in found.joints if joint.measured.count == 1]
    words = []
    if found.pairs:
        stronger: dict[str, list[str]] = {}
        for strong, weak in found.supported_order:
            stronger.setdefault(strong, []).append(weak)
        rule = f"at {percent(CONFIDENCE)}, Holm's correction for {len(found.pairs)} pairs"
        if len(found.pairs) == 1:
            rule = f"at {percent(CONFIDENCE)}"
        words += [
            f"Supported ({rule}): {strong} holds more than {_and(weak)}." for strong, weak in stronger.items()
        ]
        open_pairs = [f"{pair.stronger} and {pair.weaker}" for pair in found.pairs if not pair.supported]
        if not stronger:
            words.append(f"No difference is supported ({rule}).")
        elif open_pairs:
            words.append(f"Not told apart: {'; '.join(open_pairs)}.")
    if alone:
        words.append(f"One specimen only, so no order is claimed: {_and(alone)}.")
    return words or ["There is no pair of joints to compare."]


def prediction_words(found: Comparison) -> list[str]:
    """How the prediction did, in sentences."""
    words = []
    if found.bias is not None:
        limits = "" if found.bias_limits is None else f" ({_limits(found.bias_limits)})"
        words.append(f"Measured over predicted, geometric mean of the joints: {found.bias:.2f}{limits}.")
    if found.rank_correlation is not None:
        count = sum(joint.ratio is not None for joint in found.joints)
        words.append(f"Rank correlation (Spearman) of {count} joints: {found.rank_correlation:.2f}.")
    if all(joint.predicted is None for joint in found.joints):
        words.append("No prediction could be made, so none can be judged.")
    elif found.in_band is None:
        words.append("These predictions have no band, so none can be judged.")
    else:
        words.append(in_band_words(found.in_band))
    if found.agreement.told:
        agreed, told = found.agreement.agreed, found.agreement.told
        words.append(f"Failed in what was predicted: {agreed} of {told} whose failure was noted.")
    return words


def _crack_words(joints: Sequence[ComparedJoint], units: Units) -> list[str]:
    """First cracks beside the predicted ones, where any were noted."""
    words = []
    for joint in joints:
        if joint.cracked is None:
            continue
        predicted = (
            "" if joint.first_crack is None else f", predicted {short_force(joint.first_crack, units)}"
        )
        heard = f"{short_force(joint.cracked, units)} (geometric mean of {joint.cracked_count})"
        words.append(f"First crack of {joint.measured.label}: noted at {heard}{predicted}.")
    return words


def in_band_words(band: InBand) -> str:
    """How many broke inside the band."""
    over = band.specimens - band.inside - band.outside
    text = (
        f"Inside the predicted band (nine of ten expected): {band.inside} of {band.specimens} for certain, "
        f"{band.outside} outside"
    )
    if over:
        text += f", {over} in an interval that reaches over its end"
    return text + (f"; in all about {percent(band.share)}." if band.share is not None and over else ".")


def write_bench(found: Comparison, folder: Path, units: Units) -> tuple[str, ...]:
    """Write JSON, tables and pictures into ``folder``, each whole or not at all; their names."""
    from glueline.studies.bench_day.comparison.bench_plots import draw_bench_ranking, draw_parity
    from glueline.studies.show.canvas import as_png

    text = json.dumps(bench_object(found), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    contents: dict[str, Callable[[], bytes]] = {
        JOINTS_FILE: lambda: joints_csv(found),
        BREAKS_FILE: lambda: breaks_csv(found),
        PARITY_PICTURE: lambda: as_png(draw_parity(found, units)),
        RANKING_PICTURE: lambda: as_png(draw_bench_ranking(found, units)),
        BENCH_FILE: text.encode,
    }
    names = tuple(contents)
    if not found.method:
        del contents[PARITY_PICTURE]  # there is nothing to hold the breaks against
    for name, content in contents.items():
        write_whole(folder / name, content())
    remove_others(folder, names, contents)
    return tuple(contents)


def joints_csv(found: Comparison) -> bytes:
    """One row a joint (CSV, UTF-8), loads in N; blank where there is nothing to say."""
    columns = ("label", "n", "mean_N", "cov", "p05_N", "p05_lower_limit_N", "ci_low_N", "ci_high_N")
    further = ("predicted_N", "band_05_N", "band_95_N", "ratio", "ratio_low", "ratio_high", "remarks")
    rows: list[Sequence[object]] = [(*columns, *further)]
    for joint in found.joints:
        each = joint.measured
        rows.append(
            (
                *(each.label, each.count, each.mean, each.cov, each.low_value, each.low_limit),
                *(each.limits or (None, None)),
                joint.predicted,
                *(joint.band or (None, None)),
                joint.ratio,
                *(joint.ratio_limits or (None, None)),
                "; ".join(joint.said),
            )
        )
    return _csv(rows)


def breaks_csv(found: Comparison) -> bytes:
    """One row a specimen (CSV, UTF-8) with the force on the joint in N; blank where there was no bound."""
    rows: list[Sequence[object]] = [("label", "above_N", "up_to_N", "failure", "cracked_N", "notes", "line")]
    for each in found.log.breaks:
        lower = each.lower or None
        upper = None if isinf(each.upper) else each.upper
        rows.append((each.label, lower, upper, each.failure, each.cracked, each.notes, each.line))
    return _csv(rows)


def _csv(rows: Sequence[Sequence[object]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text)
    for row in rows:
        writer.writerow(["" if cell is None else harmless(str(cell)) for cell in row])
    return text.getvalue().encode()


def _joint_object(joint: ComparedJoint, folder: str) -> dict[str, Any]:
    each = joint.measured
    return {
        "label": each.label,
        "n": each.count,
        "mean_N": each.mean,
        "cov": each.cov,
        "p05_N": each.low_value,
        "ci_N": _pair(each.limits),
        "predicted_N": joint.predicted,
        "band_N": _pair(joint.band),
        "ratio": joint.ratio,
        "ratio_ci": _pair(joint.ratio_limits),
        "p05_lower_limit_N": each.low_limit,
        "shared_interval_N": None
        if each.shared is None
        else [each.shared[0], None if isinf(each.shared[1]) else each.shared[1]],
        "failed_at_first_step": sum(row.lower == 0 for row in each.breaks),
        "never_failed": sum(isinf(row.upper) for row in each.breaks),
        "failures": dict(each.failures),
        "predicted_breaks_in": one_of(joint.predicted_kinds) if joint.predicted_kinds else None,
        "failures_agreed": _agreement_object(joint.agreement),
        "in_band": _in_band_object(joint.in_band),
        "cracked_mean_N": joint.cracked,
        "cracked_n": joint.cracked_count,
        "predicted_first_crack_N": joint.first_crack,
        "specimens": [_from(folder, path) for path in joint.files],
        "remarks": list(joint.said),
    }


def _in_band_object(band: InBand | None) -> dict[str, Any] | None:
    if band is None:
        return None
    return {
        "specimens": band.specimens,
        "inside": band.inside,
        "outside": band.outside,
        "share": band.share,
        "share_least": band.ends[0],
        "share_most": band.ends[1],
    }


def _agreement_object(agreement: Agreement) -> dict[str, int]:
    return {"agreed": agreement.agreed, "noted": agreement.told}


def _rows(joints: Sequence[ComparedJoint], units: Units) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [
        ("joint", "n", "mean", "95 % interval", "cov", "5 % value", "predicted", "band", "ratio")
    ]
    for joint in joints:
        each = joint.measured
        low = "" if each.low_limit is None else f" ({short_force(each.low_limit, units)})"
        ratio = "-" if joint.ratio is None else f"{joint.ratio:.2f}"
        if joint.ratio_limits is not None:
            ratio += f" ({_limits(joint.ratio_limits)})"
        rows.append(
            (
                each.label,
                str(each.count),
                short_force(each.mean, units),
                "-" if each.limits is None else _range(each.limits, units),
                "-" if each.cov is None else percent(each.cov),
                short_force(each.low_value, units) + low,
                short_force(joint.predicted, units),
                "-" if joint.band is None else _range(joint.band, units),
                ratio,
            )
        )
    return rows


def short_force(load: float | None, units: Units) -> str:
    """A force to three digits, which is more than a few specimens settle."""
    if load is None:
        return "-"
    return f"{significant(float(f'{load * force_factor(units):.3g}'), 3)} {force_unit(units)}"


def _range(ends: tuple[float, float], units: Units) -> str:
    low, high = (short_force(end, units) for end in ends)
    return f"{low.partition(' ')[0]} to {high}"


def _from(folder: str, path: str) -> str:
    """A path as seen from a folder, as it is where there is no way."""
    try:
        return os.path.relpath(path, folder)
    except ValueError:
        return path


def _limits(ends: tuple[float, float]) -> str:
    return f"{significant(ends[0], 3)} to {significant(ends[1], 3)}"


def _pair(ends: tuple[float, float] | None) -> list[float] | None:
    return None if ends is None else list(ends)


def _and(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
