"""What to expect of each specimen on the bench: its predicted load with a band, kept for a second run."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import exp
from pathlib import Path
from typing import Any

from glueline.studies.bench_day.plan.power import LogNormal, from_band, log_deviation_of
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.output import write_whole
from glueline.studies.sweeps.points import Point, fingerprint
from glueline.studies.sweeps.version import glueline_version
from glueline.studies.sweeps.worker import Request

KEPT_FILE = "answers_{digest}.json"
WOOD_STRENGTHS = {
    "fibre tension": "bending_strength",
    "fibre bending on the pressed side": "bending_strength",
    "fibre compression": "compression_along",
    "splitting": "tension_across",
    "shear along the grain": "shear_strength",
    "rolling shear": "rolling_shear_strength",
}
"""The strength whose scatter stands for a mode of the wood."""


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


def expected(label: str, specimen: Specimen, answer: Mapping[str, Any]) -> Expected:
    """What an answer (the contract's JSON) lets one expect.

    Without a band the scatter of the strength that governs, ``material_cov`` there, stands in, and the words
    say so.
    """
    load = float(answer["break_load_N"])
    if answer.get("band_N") is not None:
        low, high = (float(end) for end in answer["band_N"])
        scatter = from_band(low, high)
        said = "5 % to 95 % of the predicted scatter"
    else:
        cov = float(answer["material_cov"])
        spread = log_deviation_of(cov)
        scatter = LogNormal(load * exp(-(spread**2) / 2), spread)
        low, high = scatter.quantile(0.05), scatter.quantile(0.95)
        said = (
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
        band_said=said,
        breaks_in=str(answer["breaks_in"]),
        mode=str(answer["mode"]),
        energy_J=None if energy is None else float(energy),
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
    from glueline.studies.corner.model import wood_of

    limit, corner = prediction.critical, prediction.corner
    if limit.kind == "glue":
        return float(corner.bonds[limit.part].cov)
    wood = wood_of(prediction.specimen, corner.layout.piece(limit.part).member)
    return float(wood.cov[WOOD_STRENGTHS[limit.mode]])
