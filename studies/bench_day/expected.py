"""What to expect of each specimen on the bench: its predicted load with a band, kept for a second run."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from math import exp
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from glueline.studies.bench_day.power import LogNormal, from_band, log_deviation_of
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.json_text import Damaged, Number, json_line, read_json
from glueline.studies.files.output import write_whole
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.request import Request
from glueline.studies.predict.wood_modes import WOOD_MODES
from glueline.studies.sweeps.points import Point, fingerprint
from glueline.studies.sweeps.version import glueline_version

if TYPE_CHECKING:
    from glueline.studies.predict.prediction import Prediction

KEPT_FILE = "answers_{digest}.json"


@dataclass(frozen=True)
class Expected:
    """What to expect of one specimen; ``load`` in N as predicted, ``scatter`` the load from one to the next.

    ``band_said`` tells where the band comes from; ``energy_J`` is the energy at break, None if unknown.
    """

    label: str
    specimen: Specimen
    load: float
    scatter: LogNormal
    band: tuple[float, float]
    band_said: str
    breaks_in: str
    mode: str
    energy_J: float | None


class KeptAnswer(Struct, frozen=True, kw_only=True):
    """An answer as it is kept, with the coefficient of variation of the strength that governs."""

    answer: Answer
    material_cov: Number


def expected(label: str, specimen: Specimen, kept: KeptAnswer) -> Expected:
    """What an answer lets one expect.

    Without a band the scatter of the strength that governs stands in, and the words say so.
    """
    answer = kept.answer
    load = answer.break_load
    if answer.band is not None:
        low, high = answer.band
        scatter = from_band(low, high)
        said = "5 % to 95 % of the predicted scatter"
    else:
        cov = kept.material_cov
        spread = log_deviation_of(cov)
        scatter = LogNormal(load * exp(-(spread**2) / 2), spread)
        low, high = scatter.quantile(0.05), scatter.quantile(0.95)
        said = (
            f"this answer ({answer.method}) has no band of its own: {100 * cov:.0f} % coefficient of "
            f"variation of the governing strength ({answer.mode}) is taken, lognormal, about the one load"
        )
    return Expected(
        label=label,
        specimen=specimen,
        load=load,
        scatter=scatter,
        band=(low, high),
        band_said=said,
        breaks_in=answer.breaks_in,
        mode=answer.mode,
        energy_J=answer.energy_at_break_J,
    )


def answers(
    labels: Sequence[str],
    specimens: Sequence[Specimen],
    request: Request,
    kept_in: Path | None = None,
    said: Callable[[str], object] | None = None,
) -> list[Expected]:
    """Predict every specimen; with ``kept_in`` each answer is kept there and a second run goes on from them.

    ``said`` hears the label before each starts. Raises ComputationError.
    """
    found = []
    for label, specimen in zip(labels, specimens, strict=True):
        if said is not None:
            said(label)
        found.append(expected(label, specimen, kept_answer(label, specimen, request, kept_in)))
    return found


def kept_answer(label: str, specimen: Specimen, request: Request, kept_in: Path | None) -> KeptAnswer:
    """The answer for a specimen, kept in ``kept_in`` where one is given. Raises ComputationError."""
    if kept_in is None:
        return _predicted(label, specimen, request)
    asked = json_line([fingerprint([Point(0, {}, specimen)]), request, glueline_version()])
    path = kept_in / KEPT_FILE.format(digest=hashlib.sha256(asked).hexdigest()[:16])
    with suppress(OSError, Damaged):
        return read_json(path.read_bytes(), KeptAnswer)
    kept = _predicted(label, specimen, request)
    write_whole(path, json_line(kept))
    return kept


def _predicted(label: str, specimen: Specimen, request: Request) -> KeptAnswer:
    from glueline.studies.predict.predictor import predict_request

    try:
        prediction = predict_request(specimen, request)
    except ComputationError as error:
        raise ComputationError(f"{label}: {error.step}", error.reason, error.remedy) from error
    return KeptAnswer(answer=prediction.answer, material_cov=material_cov(prediction))


def material_cov(prediction: Prediction) -> float:
    """Coefficient of variation of the strength that governs a prediction, from its bond or its wood."""
    limit, corner = prediction.critical, prediction.corner
    if limit.kind == "glue":
        return float(corner.connection(limit.part).cov)
    return float(corner.pieces[limit.part].wood.cov[WOOD_MODES[limit.mode].strength])
