"""What to expect of each specimen on the bench: its predicted load with a band, kept for a second run."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from math import exp
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct, structs

from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.json_text import Damaged, NotNegative, json_line, read_json
from glueline.studies.files.output import write_atomically
from glueline.studies.files.plain_files import read_plain
from glueline.studies.files.wording import BAND, answers_said
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.request import Request
from glueline.studies.predict.said_aloud import still_holds
from glueline.studies.predict.scatter.lognormal import LognormalLoad, load_of_band, log_deviation
from glueline.studies.sweeps.beside import all_done
from glueline.studies.sweeps.points import Point, fingerprint
from glueline.studies.sweeps.version import glueline_version

if TYPE_CHECKING:
    from glueline.studies.predict.prediction import Prediction

KEPT_FILE = "answers_{digest}.json"


class PiecesPicture(Struct, frozen=True, kw_only=True):
    """The pieces that a joint is predicted to fall into, as PNG bytes, and what lets go in words."""

    png: bytes
    words: str


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
    answer: Answer  # all that was predicted
    energy: float | None  # J at break, None where it is not known
    give: float | None = None  # mm by which the load moves up to the break, None where it is not known
    pieces: PiecesPicture | None = None  # None where it was not drawn: no path, or not to come apart
    still_holds: bool = False  # whether the load is that at the largest turn that is followed, and no break


class KeptAnswer(Struct, frozen=True, kw_only=True):
    """An answer as it is kept, with the coefficient of variation of the strength that governs.

    Its path is not kept; ``pieces`` is what has been drawn from it.
    """

    answer: Answer
    material_cov: NotNegative
    pieces: PiecesPicture | None = None


class _KeptFile(KeptAnswer, frozen=True, kw_only=True):
    """The file of a kept answer, with a digest of it.

    Numbers that somebody edited are not those that were predicted, and need not even make sense together.
    """

    digest: str


def expected(label: str, specimen: Specimen, kept: KeptAnswer) -> Expected:
    """What an answer lets one expect.

    Without a band the scatter of the strength that governs stands in, and the words say so.
    """
    answer = kept.answer
    load = answer.break_load
    if answer.band is not None:
        low, high = answer.band
        scatter = load_of_band(low, high)
        origin = f"{BAND} of the predicted scatter"
    else:
        cov = kept.material_cov
        spread = float(log_deviation(cov))
        scatter = LognormalLoad(load * exp(-(spread**2) / 2), spread)
        low, high = scatter.quantile(0.05), scatter.quantile(0.95)
        origin = (
            f"this answer ({answers_said([answer.method])}) has no band of its own: a scatter "
            f"of {100 * cov:.0f} % of the governing strength ({answer.mode}) "
            "is taken, lognormal, about the one load"
        )
    return Expected(
        label=label,
        specimen=specimen,
        load=load,
        scatter=scatter,
        band=(low, high),
        band_from=origin,
        makeshift=answer.band is None,
        breaks_in=answer.breaks_in,
        answer=answer,
        energy=answer.energy_at_break_J,
        give=answer.displacement_at_break,
        pieces=kept.pieces,
        still_holds=still_holds(answer),
    )


def counted_on(expected: Expected) -> Answer:
    """The answer with the band that is counted on, which may be a makeshift one."""
    return structs.replace(expected.answer, band=expected.band)


def kept_answer(label: str, specimen: Specimen, request: Request, kept_in: Path | None) -> KeptAnswer:
    """The answer for a specimen, kept in ``kept_in`` where one is given, and its pieces drawn.

    Raises ComputationError.
    """
    [found] = kept_answers([label], [specimen], request, kept_in)
    if isinstance(found, ComputationError):
        raise found
    return found


def kept_answers(
    labels: Sequence[str],
    specimens: Sequence[Specimen],
    request: Request,
    kept_in: Path | None,
    done: Callable[[str], object] = lambda _: None,
) -> list[KeptAnswer | ComputationError]:
    """The same for several specimens, those that are alike predicted once; or why there is no answer.

    Several that take long are computed at once where the machine has the processors. ``done`` is told the
    label of every specimen that is predicted, as soon as it is.
    """
    keys = [fingerprint([Point(0, {}, specimen)]) for specimen in specimens]
    first = {key: number for number, key in reversed(list(enumerate(keys)))}
    places = {key: _place(key, request, kept_in) for key in first}
    found: dict[str, KeptAnswer | ComputationError] = {}
    for key, path in places.items():
        there = None if path is None else _read(path)
        if there is not None:
            found[key] = there
    left = {
        key: (labels[number], specimens[number], request, kept_in is not None)
        for key, number in sorted(first.items(), key=lambda each: each[1])
        if key not in found
    }
    for key, answer in all_done(_found, left, takes_long=request.band and request.method != "elastic"):
        found[key] = answer
        path = places[key]
        if path is not None and isinstance(answer, KeptAnswer):
            write_atomically(path, json_line(_KeptFile(**structs.asdict(answer), digest=_digest(answer))))
        done(labels[first[key]])
    return [found[key] for key in keys]


def _place(key: str, request: Request, kept_in: Path | None) -> Path | None:
    if kept_in is None:
        return None
    asked = json_line([key, request, glueline_version()])
    return kept_in / KEPT_FILE.format(digest=hashlib.sha256(asked).hexdigest()[:16])


def _read(path: Path) -> KeptAnswer | None:
    """What is kept in a file; None where it is not there, or not as it was written."""
    with suppress(OSError, Damaged):
        there = read_json(read_plain(path, "an answer that was kept"), _KeptFile)
        kept = KeptAnswer(answer=there.answer, material_cov=there.material_cov, pieces=there.pieces)
        if there.digest == _digest(kept):
            return kept
    return None


def _digest(kept: KeptAnswer) -> str:
    return hashlib.sha256(json_line(kept)).hexdigest()


def _found(label: str, specimen: Specimen, request: Request, drawn: bool) -> KeptAnswer | ComputationError:
    """The answer for one corner, or why there is none; in whatever process."""
    try:
        return _predicted(label, specimen, request, drawn)
    except ComputationError as error:
        return error


def _predicted(label: str, specimen: Specimen, request: Request, drawn: bool) -> KeptAnswer:
    from glueline.studies.predict.predictor import predict_request

    try:
        prediction = predict_request(specimen, request)
    except ComputationError as error:
        raise ComputationError(f"{label}: {error.step}", error.reason, error.remedy) from error
    pieces = None
    if drawn and prediction.broken is not None:
        from glueline.studies.show.small_pieces import small_pieces

        found = small_pieces(prediction.broken)
        pieces = None if found is None else PiecesPicture(png=found[0], words=found[1])
    return KeptAnswer(answer=prediction.answer, material_cov=material_cov(prediction), pieces=pieces)


def material_cov(prediction: Prediction) -> float:
    """Coefficient of variation of the strength that governs a prediction: of its bond, its wood, its grip.

    What only bears or bends has none of its own and goes with the stiffness of the wood round it, as in the
    band.
    """
    limit, corner = prediction.critical, prediction.corner
    if limit.part in corner.pieces:
        return float(corner.pieces[limit.part].wood.cov[WOOD_MODES[limit.mode].strength])
    given = next(each for each in corner.holds if each.part == limit.part and limit.mode in each.modes)
    stiffness = max(piece.wood.cov["modulus_along"] for piece in corner.pieces.values())
    return float(given.cov or stiffness)
