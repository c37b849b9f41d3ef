"""A calibration as one JSON object and as a text for people."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec
from msgspec import field

from glueline.studies.bench_day.calibration.calibrated_glue import Chosen, all_remarks, model_words
from glueline.studies.bench_day.calibration.calibration import Calibration, ModelError
from glueline.studies.files.wording import answers_said
from glueline.studies.files.words import counted

Limits = tuple[float | None, float | None]


class WrittenAlone(msgspec.Struct, frozen=True):
    """What one label says by itself, for JSON; shares of one."""

    label: str
    quality: float | None
    interval: Limits | None
    count: int = field(name="n")


class WrittenModelError(msgspec.Struct, frozen=True):
    """How far predictions err from joint to joint, for JSON."""

    size: float = field(name="spread_of_log_load")
    from_breaks: bool
    joints: int = field(name="kinds_of_joint")
    load_factor: float
    words: str


class WrittenCalibration(msgspec.Struct, frozen=True):
    """The calibration for JSON; shares of one, None where the breaks do not settle them."""

    quality: float | None
    by_breaks: float | None = field(name="quality_by_breaks_alone")
    interval: Limits | None
    count: int = field(name="n")
    glue: str
    using: tuple[str, ...]
    one_by_one: tuple[WrittenAlone, ...]
    spread: float | None = field(name="spread_of_log_load")
    model_error: WrittenModelError | None
    method: str
    written: str | None  # the glue file
    notes: tuple[str, ...]


def written_calibration(
    chosen: Chosen, calibration: Calibration, alone: Mapping[str, Calibration], method: str, file: str
) -> WrittenCalibration:
    """The calibration for JSON; ``alone`` by label, ``file`` the glue file written where it is settled."""
    return WrittenCalibration(
        quality=calibration.quality,
        by_breaks=calibration.by_breaks,
        interval=calibration.interval,
        count=calibration.count,
        glue=chosen.glue.name,
        using=chosen.labels,
        one_by_one=tuple(
            WrittenAlone(label, each.quality, each.interval, each.count) for label, each in alone.items()
        ),
        spread=calibration.spread,
        model_error=None if calibration.model is None else _written_error(calibration.model),
        method=method,
        written=None if calibration.quality is None else file,
        notes=(*chosen.log.notes, *all_remarks(chosen, calibration)),
    )


def _written_error(model: ModelError) -> WrittenModelError:
    return WrittenModelError(
        model.size, model.from_breaks, model.joints, model.load_factor, model_words(model)
    )


def calibration_text(written: WrittenCalibration) -> str:
    """The calibration for people."""
    lines = [
        f"Quality of the glue {written.glue}: {_quality_words(written)}",
        f"from {counted(written.count, 'interval')} of {', '.join(written.using)} "
        f"(predictions: {answers_said([written.method])})",
        *_own_words(written),
        *(
            f"by {each.label} alone, as if predictions never erred: {_quality_words(each)}"
            for each in written.one_by_one
        ),
        *(f"note: {note}" for note in written.notes),
        f'written to {written.written}; name it as [glue] kind = "PATH" in a specimen file, or with '
        f"--set glue.kind={written.written}",
    ]
    return "\n".join(lines)


def _own_words(written: WrittenCalibration) -> list[str]:
    """What the breaks say alone, how far predictions err, and how far a load can be off after all."""
    if written.by_breaks is None or written.model_error is None:
        return []
    model = written.model_error
    return [
        f"by the breaks alone {100 * written.by_breaks:.1f} %: drawn toward the table (100 %), because what "
        "looks like weak or strong glue may be a prediction that errs",
        f"{model.words}; the limits hold that and the scatter",
        "so a load predicted with this glue can be off: corners may hold from "
        f"{100 / model.load_factor:.0f} % to {100 * model.load_factor:.0f} % of it on average (95 % limits)",
    ]


def _quality_words(settled: WrittenCalibration | WrittenAlone) -> str:
    """A quality with its limits."""
    if settled.quality is None:
        return "cannot be told"
    text = f"{100 * settled.quality:.1f} %"
    if settled.interval is None:
        return text
    low, high = (f"{100 * end:.0f} %" if end is not None else "no limit" for end in settled.interval)
    return f"{text}, 95 % limits {low} to {high}"
