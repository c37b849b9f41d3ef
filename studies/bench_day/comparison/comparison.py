"""The bench beside the prediction: ratios, bias, ranks, bands, failure kinds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, hypot, inf, log, sqrt

import msgspec
import numpy as np
from scipy import stats

from glueline.studies.bench_day.comparison.days import ComparedDays, compared_days
from glueline.studies.bench_day.estimates.doubtful_rows import DoubtfulRow, doubtful_rows
from glueline.studies.bench_day.estimates.intervals import log_probability
from glueline.studies.bench_day.estimates.likelihood_limits import CONFIDENCE
from glueline.studies.bench_day.estimates.measured import Measured, Pair
from glueline.studies.bench_day.log.log_file import BenchLog, Break
from glueline.studies.bench_day.rig.rig import Rig
from glueline.studies.corner.connections import FIBRE_MODES
from glueline.studies.predict.answer import Answer


class InBand(msgspec.Struct, frozen=True):
    """How many specimens broke inside the predicted band of 5 to 95 %, counted from their intervals.

    ``inside`` and ``outside`` for certain; of the rest the interval reaches over an end of the band.
    ``share`` counts those by the probability their joint's lognormal gives them, None where there is none.
    """

    specimens: int
    inside: int
    outside: int
    share: float | None
    share_least: float
    share_most: float

    @classmethod
    def counted(cls, specimens: int, inside: int, outside: int, share: float | None) -> InBand:
        """With the least and the greatest share there can be."""
        return cls(specimens, inside, outside, share, inside / specimens, 1 - outside / specimens)


class Agreement(msgspec.Struct, frozen=True):
    """Of ``noted`` specimens whose failure was noted, ``agreed`` failed in what was predicted.

    For ``fibres`` of the noted ones torn fibres beside the glue were predicted.
    """

    agreed: int
    noted: int
    fibres: int = 0

    @classmethod
    def together(cls, parts: Sequence[Agreement]) -> Agreement:
        """All of several joints."""
        return cls(*(sum(getattr(each, name) for each in parts) for name in cls.__struct_fields__))


@dataclass(frozen=True)
class ComparedJoint:
    """One joint beside its prediction; None where there is nothing to say."""

    measured: Measured
    predicted: float | None  # N, None where a file behind it could not be predicted
    band: tuple[float, float] | None  # N
    predicted_kinds: tuple[str, ...]
    ratio: float | None  # the measured mean over the predicted load
    ratio_limits: tuple[float, float] | None  # at 95 %, with the rig's common error
    in_band: InBand | None
    agreement: Agreement
    cracked: float | None  # N, geometric mean of the first cracks that were noted
    cracked_count: int
    first_crack: float | None  # N, as predicted
    files: tuple[str, ...]  # specimen files, over whose rows predictions are averaged
    remarks: tuple[str, ...]
    answers: tuple[Answer, ...]  # predicted, one a file; none where a file could not be predicted


@dataclass(frozen=True)
class Comparison:
    """A whole bench day. ``bias`` is the geometric mean of the ratios, each joint counting once.

    ``method`` is that of the predictions, empty where none could be made.
    """

    log: BenchLog
    method: str
    joints: tuple[ComparedJoint, ...]
    pairs: tuple[Pair, ...]
    bias: float | None
    bias_limits: tuple[float, float] | None
    rank_correlation: float | None
    in_band: InBand | None
    agreement: Agreement
    notes: tuple[str, ...]
    doubtful: tuple[DoubtfulRow, ...] = ()
    days: ComparedDays | None = None

    @property
    def supported_order(self) -> tuple[tuple[str, str], ...]:
        """Pairs (stronger, weaker) that the data support at 95 % after Holm's correction, strongest first."""
        means = {joint.measured.label: joint.measured.mean or inf for joint in self.joints}
        supported = [(pair.stronger, pair.weaker) for pair in self.pairs if pair.supported]
        return tuple(sorted(supported, key=lambda pair: (-means[pair[0]], -means[pair[1]])))


def compare(
    bench: BenchLog,
    measured: Sequence[Measured],
    pairs: Sequence[Pair],
    answers: Mapping[str, Answer],
    notes: Sequence[str] = (),
) -> Comparison:
    """Hold what was measured beside ``answers`` by specimen path.

    Of a path without an answer, which could not be predicted, the joint has its measurements alone.
    """
    joints = tuple(_compared(each, answers, bench) for each in measured)
    bias, limits = _bias(joints, bench)
    methods = dict.fromkeys(answer.method for answer in answers.values())
    return Comparison(
        log=bench,
        method=" and ".join(methods),
        joints=joints,
        pairs=tuple(pairs),
        bias=bias,
        bias_limits=limits,
        rank_correlation=_rank_correlation(joints),
        in_band=_all_in_band([joint.in_band for joint in joints]),
        agreement=Agreement.together([joint.agreement for joint in joints]),
        notes=(*bench.notes, *notes, *_rig_notes(bench)),
        doubtful=doubtful_rows(bench, {path: answer.break_load for path, answer in answers.items()}),
        days=compared_days(bench, measured),
    )


def _compared(measured: Measured, answers: Mapping[str, Answer], bench: BenchLog) -> ComparedJoint:
    rows = measured.breaks
    own = [answers[each.specimen] for each in rows if each.specimen in answers]
    if len(own) < len(rows):
        own = []
    predicted = float(np.mean([answer.break_load for answer in own])) if own else None
    bands = [answer.band for answer in own if answer.band is not None]
    band = None
    if own and len(bands) == len(own):
        low, high = np.mean(np.array(bands, dtype=np.float64), axis=0)
        band = (float(low), float(high))
    ratio, limits = _ratio(measured, predicted, bench)
    cracks = [each.cracked for each in rows if each.cracked is not None]
    first = [answer.first_crack_load for answer in own if answer.first_crack_load is not None]
    files = tuple(dict.fromkeys(each.specimen for each in rows))
    remarks = list(measured.remarks)
    if len({answers[file].break_load for file in files if file in answers}) > 1:
        remarks.append(
            f"{len(files)} specimen files share this label: their predictions are averaged by rows"
        )
    remarks += _glueless_remark(bench, rows, answers)
    return ComparedJoint(
        measured=measured,
        predicted=predicted,
        band=band,
        predicted_kinds=tuple(dict.fromkeys(answer.breaks_in for answer in own)),
        ratio=ratio,
        ratio_limits=limits,
        in_band=None if band is None else _in_band(measured, bands),
        agreement=_agreement(rows, own) if own else Agreement(0, 0),
        cracked=float(np.exp(np.mean(np.log(cracks)))) if cracks else None,
        cracked_count=len(cracks),
        first_crack=float(np.mean(first)) if first and len(first) == len(own) else None,
        files=files,
        remarks=tuple(remarks),
        answers=tuple(answers[file] for file in files) if own else (),
    )


def _glueless_remark(bench: BenchLog, rows: Sequence[Break], answers: Mapping[str, Answer]) -> list[str]:
    """That glue is said to have failed where a specimen file says there is none."""
    dry = {path for path, answer in answers.items() if answer.glue_load is None}
    wrong = [row for row in rows if row.specimen in dry and row.failure in ("glue", "both")]
    if not wrong:
        return []
    places = ", ".join(bench.place(row) for row in wrong)
    return [f"{len(wrong)} noted as failed in the glue, of which the specimen file has none: {places}"]


def _ratio(
    measured: Measured, predicted: float | None, bench: BenchLog
) -> tuple[float | None, tuple[float, float] | None]:
    """Measured mean over the predicted load, and its 95 % limits with the rig's common error."""
    if measured.mean is None or predicted is None:
        return None, None
    ratio = measured.mean / predicted
    if measured.limits is None:
        return ratio, None
    low, high = (log(end / predicted) for end in measured.limits)
    rig_part, middle = bench.rig_error(measured.breaks, measured.mean), log(ratio)
    return ratio, (
        exp(middle - hypot(middle - low, rig_part)),
        exp(middle + hypot(high - middle, rig_part)),
    )


def _in_band(measured: Measured, bands: Sequence[tuple[float, float]]) -> InBand:
    inside = outside = 0
    shares: list[float | None] = []
    for each, (low, high) in zip(measured.breaks, bands, strict=True):
        if low <= each.lower and each.upper <= high:
            inside += 1
            shares.append(1.0)
        elif each.upper <= low or each.lower >= high:
            outside += 1
            shares.append(0.0)
        else:
            shares.append(_probability_inside(measured, each, low, high))
    known = [share for share in shares if share is not None]
    whole = len(known) == len(shares)
    return InBand.counted(len(shares), inside, outside, float(np.mean(known)) if whole else None)


def _probability_inside(measured: Measured, row: Break, low: float, high: float) -> float | None:
    """Probability that a break in its interval lies in the band, by the joint's own lognormal."""
    spread = measured.spread
    if not spread or measured.mean is None:
        return None
    location = log(measured.mean) - spread**2 / 2

    def score(load: float) -> float:
        if load <= 0:
            return -inf
        return inf if load == inf else (log(load) - location) / spread

    part = log_probability(
        np.array([score(max(low, row.lower)), score(row.lower)]),
        np.array([score(min(high, row.upper)), score(row.upper)]),
    )
    return float(np.exp(part[0] - part[1]))


def _all_in_band(joints: Sequence[InBand | None]) -> InBand | None:
    known = [each for each in joints if each is not None]
    if not known:
        return None
    specimens = sum(each.specimens for each in known)
    shares = [None if each.share is None else each.share * each.specimens for each in known]
    total = None if None in shares else sum(share for share in shares if share is not None) / specimens
    inside, outside = sum(each.inside for each in known), sum(each.outside for each in known)
    return InBand.counted(specimens, inside, outside, total)


def _agreement(rows: Sequence[Break], answers: Sequence[Answer]) -> Agreement:
    """How many of the failures that were noted are among those that agree with the prediction."""
    noted = [(row.failure, answer) for row, answer in zip(rows, answers, strict=True) if row.failure]
    return Agreement(
        agreed=sum(failure in _agreeing(answer) for failure, answer in noted),
        noted=len(noted),
        fibres=sum(answer.mode in FIBRE_MODES for _, answer in noted),
    )


def _agreeing(answer: Answer) -> tuple[str, ...]:
    """Failures of a log that agree with an answer; torn fibres beside the glue may be noted in three ways."""
    if answer.mode in FIBRE_MODES:
        return ("glue", "wood", "both")
    return (answer.breaks_in, "both") if answer.breaks_in in ("glue", "wood") else (answer.breaks_in,)


def _bias(
    joints: Sequence[ComparedJoint], bench: BenchLog
) -> tuple[float | None, tuple[float, float] | None]:
    """Geometric mean of the ratios and its 95 % limits.

    Joints are taken as drawn from all joints that might be built, each erring in its own way: Student's t on
    the logarithms of their ratios, so what is measured badly only widens it. The rig's error, common to
    all, is added. One joint has the limits of its own ratio.
    """
    known = [joint for joint in joints if joint.ratio is not None]
    ratios = np.log([joint.ratio for joint in known if joint.ratio is not None])
    if not len(ratios):
        return None, None
    middle = float(ratios.mean())
    if len(ratios) == 1:
        return exp(middle), known[0].ratio_limits
    t = float(stats.t.ppf(0.5 + CONFIDENCE / 2, len(ratios) - 1))
    half = t * float(ratios.std(ddof=1)) / sqrt(len(ratios))
    loads = [(joint.measured.breaks, joint.measured.mean) for joint in known if joint.measured.mean]
    rig_part = max((bench.rig_error(rows, mean) for rows, mean in loads), default=0.0)
    half = hypot(half, rig_part)
    return exp(middle), (exp(middle - half), exp(middle + half))


def _rank_correlation(joints: Sequence[ComparedJoint]) -> float | None:
    """Spearman's, of measured means with predictions; None for fewer than two joints or only equal ones."""
    both = [
        (joint.measured.mean, joint.predicted)
        for joint in joints
        if joint.measured.mean is not None and joint.predicted is not None
    ]
    if len(both) < 2:
        return None
    ranks = stats.rankdata(np.array(both, dtype=np.float64), axis=0)
    if (np.ptp(ranks, axis=0) == 0).any():
        return None
    return float(np.corrcoef(ranks.T)[0, 1])


def _rig_notes(bench: BenchLog) -> tuple[str, ...]:
    rigs: list[Rig] = [rig for rig in dict.fromkeys(bench.rigs) if rig is not None]
    if not rigs:
        return ()
    return (
        "held and broke are stacked weights; the force of the empty rig is added, also where held is 0; a "
        "blank held does not say that the specimen bore the empty rig",
        "the 95 % interval is the scatter of the specimens alone; ratios and their mean also hold the rig's "
        "error, which all its loads share",
        *(f"rig: {warning}" for warning in dict.fromkeys(text for rig in rigs for text in rig.warnings)),
    )
