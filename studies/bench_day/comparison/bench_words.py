"""A bench day beside its prediction in words and round numbers, as its text and its pictures have them."""

from __future__ import annotations

from collections.abc import Sequence

from glueline.studies.bench_day.comparison.comparison import ComparedJoint, Comparison, InBand
from glueline.studies.bench_day.estimates.likelihood_limits import CONFIDENCE
from glueline.studies.files.display import force_factor, force_unit, percent
from glueline.studies.files.units import Units, significant
from glueline.studies.files.words import all_of


def order_words(comparison: Comparison) -> list[str]:
    """Which differences the data support, in sentences."""
    pairs = comparison.pairs
    alone = [joint.measured.label for joint in comparison.joints if joint.measured.count == 1]
    sentences = []
    if pairs:
        stronger: dict[str, list[str]] = {}
        for strong, weak in comparison.supported_order:
            stronger.setdefault(strong, []).append(weak)
        rule = f"at {percent(CONFIDENCE)}"
        if len(pairs) > 1:
            rule += f", {len(pairs)} pairs counted together"
        sentences += [
            f"Supported ({rule}): {strong} holds more than {all_of(weak)}."
            for strong, weak in stronger.items()
        ]
        open_pairs = [f"{pair.stronger} and {pair.weaker}" for pair in pairs if not pair.supported]
        if not stronger:
            sentences.append(f"No difference is supported ({rule}).")
        elif open_pairs:
            sentences.append(f"Not told apart: {'; '.join(open_pairs)}.")
    if alone:
        sentences.append(f"One specimen only, so no order is claimed: {all_of(alone)}.")
    return sentences or ["There is no pair of joints to compare."]


def prediction_words(comparison: Comparison) -> list[str]:
    """How the prediction did, in sentences; the bias first where there is one."""
    sentences = []
    if comparison.bias is not None:
        limits = "" if comparison.bias_limits is None else f" ({ratio_range(comparison.bias_limits)})"
        sentences.append(
            f"Over all joints the bench measured {comparison.bias:.2f}{limits} times what was predicted."
        )
    if comparison.rank_correlation is not None:
        count = sum(joint.ratio is not None for joint in comparison.joints)
        sentences.append(
            f"Order of {count} joints as predicted (1: the same, -1: turned round): "
            f"{comparison.rank_correlation:.2f}."
        )
    if all(joint.predicted is None for joint in comparison.joints):
        sentences.append("No prediction could be made, so none can be judged.")
    elif comparison.in_band is None:
        sentences.append("These predictions have no band, so none can be judged.")
    else:
        sentences.append(_in_band_words(comparison.in_band))
    agreement = comparison.agreement
    if agreement.noted:
        sentences.append(
            f"Failed in what was predicted: {agreement.agreed} of {agreement.noted} whose failure was noted."
        )
    if agreement.fibres:
        sentences.append(
            f"For {agreement.fibres} of them torn fibres beside the glue were predicted, with which glue, "
            "wood and both all agree."
        )
    return sentences


def _in_band_words(band: InBand) -> str:
    """How many broke inside the band."""
    over = band.specimens - band.inside - band.outside
    text = (
        f"Inside the predicted band (nine of ten expected): {band.inside} of {band.specimens} for certain, "
        f"{band.outside} outside"
    )
    if over:
        text += f", {over} in an interval that reaches over its end"
    return text + (f"; in all about {percent(band.share)}." if band.share is not None and over else ".")


def crack_words(joints: Sequence[ComparedJoint], units: Units) -> list[str]:
    """First cracks beside the predicted ones, where any were noted."""
    sentences = []
    for joint in joints:
        if joint.cracked is None:
            continue
        predicted = (
            "" if joint.first_crack is None else f", predicted {short_force(joint.first_crack, units)}"
        )
        heard = f"{short_force(joint.cracked, units)} (mean of {joint.cracked_count})"
        sentences.append(f"First crack of {joint.measured.label}: noted at {heard}{predicted}.")
    return sentences


def short_force(load: float | None, units: Units) -> str:
    """A force in N as text to three digits, which is more than a few specimens settle."""
    if load is None:
        return "-"
    return f"{significant(float(f'{load * force_factor(units):.3g}'), 3)} {force_unit(units)}"


def force_range(ends: tuple[float, float], units: Units) -> str:
    """Two forces in N as text with one unit."""
    low, high = (short_force(end, units) for end in ends)
    return f"{low.partition(' ')[0]} to {high}"


def ratio_range(ends: tuple[float, float]) -> str:
    """Two ratios as text."""
    return f"{significant(ends[0], 3)} to {significant(ends[1], 3)}"
