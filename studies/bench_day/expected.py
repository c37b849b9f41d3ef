"""What to expect of each specimen on the bench: its predicted load with a band, kept for a second run."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from math import exp
from pathlib import Path
from typing import Any

from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.output import write_whole
from glueline.studies.predict.scatter.lognormal import LognormalLoad, load_of_band, log_deviation
from glueline.studies.predict.wood_modes import WOOD_MODES
from glueline.studies.sweeps.points import Point, fingerprint
from glueline.studies.sweeps.version import glueline_version
from glueline.studies.sweeps.worker import Request

KEPT_FILE = "answers_{digest}.json"


@dataclass(frozen=True)
class Expected:
    """What to expect of one specimen."""

    label: str
    specimen: Specimen
    load: float  # N, as predicted
    scatter: LognormalLoad  # from one specimen to the next
    band: tuple[float, float]  # N, 5 % and 95 %
    band_from: str  # where the band comes from, in words
    makeshift: bool  # whether the answer has no band of its own
    breaks_in: str
    energy: float | None  # J at break, None where it is not known


def expected(label: str, specimen: Specimen, answer: Mapping[str, Any]) -> Expected:
    """What an answer (the contract's JSON) lets one expect.

    Without a band the scatter of the strength that governs, ``material_cov`` there, stands in, and the words
    say so.
    """
    load = float(answer["break_load_N"])
    if answer.get("band_N") is not None:
        low, high = (float(end) for end in answer["band_N"])
        scatter = load_of_band(low, high)
        origin = "5 % to 95 % of the predicted scatter"
    else:
        cov = float(answer["material_cov"])
        spread = float(log_deviation(cov))
        scatter = LognormalLoad(load * exp(-(spread**2) / 2), spread)
        low, high = scatter.quantile(0.05), scatter.quantile(0.95)
        origin = (
            f"this answer ({answer['method']}) has no band of its own: {100 * cov:.0f} % coefficient of "
            f"variation of the governing strength ({answer['mode']}) is taken, lognormal, about the one load"
        )
    energy = answer.get("energy_at_break_J")
    return Expected(
        label=label,
        specimen=specimen,
        load=load,
        scatter=scatter,
        band=(low, high),
        band_from=origin,
        makeshift=answer.get("band_N") is None,
        breaks_in=str(answer["breaks_in"]),
        energy=None if energy is None else float(energy),
    )


def kept_answer(label: str, specimen: Specimen, request: Request, kept_in: Path | None) -> Mapping[str, Any]:
    """The contract's JSON for a specimen, kept in ``kept_in`` where one is given. Raises ComputationError."""
    path = None
    if kept_in is not None:
        asked = json.dumps([fingerprint([Point(0, {}, specimen)]), asdict(request), glueline_version()])
        path = kept_in / KEPT_FILE.format(digest=hashlib.sha256(asked.encode()).hexdigest()[:16])
        kept = _read_kept(path)
        if kept is not None:
            return kept
    answer = _predicted(label, specimen, request)
    if path is not None:
        write_whole(path, json.dumps(answer, allow_nan=False).encode())
    return answer


def _read_kept(path: Path) -> dict[str, Any] | None:
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if not isinstance(kept, dict) or "break_load_N" not in kept:
        return None
    return kept if kept.get("band_N") is not None or "material_cov" in kept else None


def _predicted(label: str, specimen: Specimen, request: Request) -> dict[str, Any]:
    from glueline.studies.predict.predictor import predict

    try:
        prediction = predict(specimen, **asdict(request))
    except ComputationError as error:
        raise ComputationError(f"{label}: {error.step}", error.reason, error.remedy) from error
    answer = prediction.to_json()
    return answer if answer["band_N"] is not None else {**answer, "material_cov": material_cov(prediction)}


def material_cov(prediction: Any) -> float:
    """Coefficient of variation of the strength that governs a prediction, from its bond or its wood."""
    limit, corner = prediction.critical, prediction.corner
    if limit.kind == "glue":
        return float(corner.connection(limit.part).cov)
    return float(corner.pieces[limit.part].wood.cov[WOOD_MODES[limit.mode].strength])
