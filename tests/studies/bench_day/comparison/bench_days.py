"""Bench days compared with made-up predictions, for several tests; nothing here is measured."""

from __future__ import annotations

from pathlib import Path

from glueline.studies.bench_day.comparison.bench_report import WrittenJoint, written_bench
from glueline.studies.bench_day.comparison.comparison import Comparison, compare
from glueline.studies.bench_day.estimates.measured import measure
from glueline.studies.bench_day.log.log_file import read_log
from glueline.studies.bench_day.rig.rig_file import read_rig
from tests.studies.bench_day.bench_logs import RIG, answer, rows_of, write_log

BUTT = rows_of("butt", "butt", [(400, 450), (450, 500), (350, 400), (550, 600), (450, 500)])
MITRE = rows_of("mitre", "mitre", [(1200, 1300), (1500, 1600), (1300, 1400), (1100, 1200), (1400, 1500)])
FINGER = rows_of("finger", "fingers", [(1800, 2000), (2000, 2200), (1600, 1800), (1800, 2000), (2200, "")])
PREDICTED = {
    "butt": answer(490.0, (320.0, 700.0)),
    "mitre": answer(1460.0, (1000.0, 2000.0)),
    "finger": answer(1830.0, (1380.0, 2290.0)),
    "splined_mitre": answer(1560.0, (1100.0, 2130.0)),
}


def compared(
    folder: Path,
    rows: list[tuple[object, ...]],
    predicted: dict[str, object] | None = None,
    rig: bool = False,
) -> Comparison:
    """A comparison with made-up predictions, by the name of the specimen file."""
    found_rig = None
    if rig:
        (folder / "rig.toml").write_text(RIG)
        found_rig = read_rig(folder / "rig.toml")
    log = read_log(write_log(folder, rows), found_rig, force=not rig)
    joints, pairs, notes = measure(log)
    given = {**PREDICTED, **(predicted or {})}
    return compare(log, joints, pairs, {path: given[Path(path).stem] for path in log.specimens}, notes)


def joint(comparison: Comparison, label: str) -> WrittenJoint:
    """One joint as it is written."""
    (one,) = [each for each in written_bench(comparison).joints if each.label == label]
    return one
