"""A calibration as one JSON object and as a text for people."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec
from msgspec import field

from glueline.studies.bench_day.calibration.calibrated_glue import Chosen, all_remarks
from glueline.studies.bench_day.calibration.calibration import Calibration
from glueline.studies.files.wording import answers_said
from glueline.studies.files.words import counted

Limits = tuple[float | None, float | None]


class WrittenAlone(msgspec.Struct, frozen=True):
    """What one label says by itself, for JSON; shares of one."""

    label: str
    quality: float | None
    interval: Limits | None
    count: int = field(name="n")


class WrittenCalibration(msgspec.Struct, frozen=True):
    """The calibration for JSON; shares of one, None where the breaks do not settle them."""

    quality: float | None
    interval: Limits | None
    count: int = field(name="n")
    glue: str
    using: tuple[str, ...]
    one_by_one: tuple[WrittenAlone, ...]
    spread: float | None = field(name="spread_of_log_load")
    method: str
    written: str | None  # the glue file
    notes: tuple[str, ...]


def written_calibration(
    chosen: Chosen, calibration: Calibration, alone: Mapping[str, Calibration], method: str, file: str
) -> WrittenCalibration:
    """The calibration for JSON; ``alone`` by label, ``file`` the glue file written where it is settled."""
    return WrittenCalibration(
        quality=calibration.quality,
        interval=calibration.interval,
        count=calibration.count,
        glue=chosen.glue.name,
        using=chosen.labels,
        one_by_one=tuple(
            WrittenAlone(label, each.quality, each.interval, each.count) for label, each in alone.items()
        ),
        spread=calibration.spread,
        method=method,
        written=None if calibration.quality is None else file,
        notes=(*chosen.log.notes, *all_remarks(chosen, calibration)),
    )


def calibration_text(written: WrittenCalibration) -> str:
    """The calibration for people."""
    lines = [
        f"Quality of the glue {written.glue}: {_quality_words(written)}",
        f"by maximum likelihood on {counted(written.count, 'interval')} of {', '.join(written.using)} "
        f"(predictions: {answers_said([written.method])})",
        *(f"by {each.label} alone: {_quality_words(each)}" for each in written.one_by_one),
        *(f"note: {note}" for note in written.notes),
        f'written to {written.written}; name it as [glue] kind = "PATH" in a specimen file, or with '
        f"--set glue.kind={written.written}",
    ]
    return "\n".join(lines)


def _quality_words(settled: WrittenCalibration | WrittenAlone) -> str:
    """A quality with its limits."""
    if settled.quality is None:
        return "cannot be told"
    text = f"{100 * settled.quality:.1f} %"
    if settled.interval is None:
        return text
    low, high = (f"{100 * end:.0f} %" if end is not None else "no limit" for end in settled.interval)
    return f"{text}, 95 % limits {low} to {high}"
