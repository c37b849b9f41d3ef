"""From a log to a calibrated glue: the breaks to use, predictions at several qualities, the glue file."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import inf
from pathlib import Path
from typing import Any

import numpy as np

from glueline.materials import Glue, UnknownName, find_glue, glue_to_tables
from glueline.materials.names import nearest, plain
from glueline.studies.bench_day.calibration.calibration import (
    QUALITIES,
    Calibration,
    Intervals,
    ModelError,
    calibrate,
)
from glueline.studies.bench_day.calibration.joint_errors import FEWEST_JOINTS, calibrate_joints, table_width
from glueline.studies.bench_day.log.log_file import BenchLog, Break
from glueline.studies.bench_day.rig.rig import common_error
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError, InputError, InputProblem
from glueline.studies.files.toml_tables import printable, read_toml, toml_text
from glueline.studies.files.wording import answers_said
from glueline.studies.files.words import counted, one_of
from glueline.studies.predict.request import Request

MARK = "estimate"
NOT_GLUE = ("wood", "fastener")
"""Failures that say no more of the glue than that it held, where nothing outlives it."""

FIRST_LINE = "# The quality of this glue was set from breaks by glueline calibrate.\n"


@dataclass(frozen=True)
class Chosen:
    """The breaks of the chosen labels and the glue that they share, at full quality.

    ``outlived`` are the specimen files of corners with screws and the like, which hold on after the glue;
    ``kinds`` the kinds of joint by specimen file: files of one kind share what their predictions err by.
    """

    log: BenchLog
    labels: tuple[str, ...]
    breaks: tuple[Break, ...]
    glue: Glue
    outlived: frozenset[str] = frozenset()
    kinds: Mapping[str, str] = field(default_factory=dict)

    @property
    def specimens(self) -> tuple[str, ...]:
        """Their specimen files."""
        return tuple(dict.fromkeys(each.specimen for each in self.breaks))


def chosen_labels(log: BenchLog, using: str) -> tuple[str, ...]:
    """The labels named in ``using``, parted by commas. Raises InputError with every one that is not there."""
    by_plain = {plain(label): label for label in log.by_label()}
    labels, problems = [], []
    names = [using] if plain(using) in by_plain else [name.strip() for name in using.split(",")]
    for name in names:
        if plain(name) in by_plain:
            labels.append(by_plain[plain(name)])
            continue
        near = nearest(name, by_plain.values()) if name else None
        hint = f'did you mean "{near}"? ' if near else ""
        shown = list(by_plain.values())[:12]
        message = f"has no break in the log: {hint}it must be {one_of(shown)}"
        problems.append(InputProblem("command line", "--using", printable(name, 80), message))
    if problems:
        raise InputError(tuple(problems))
    return tuple(dict.fromkeys(labels))


def choose(log: BenchLog, labels: Sequence[str], specimens: Mapping[str, Specimen]) -> Chosen:
    """The breaks of those labels; ``specimens`` by path. Raises InputError unless they share one glue."""
    grouped = log.by_label()
    breaks = tuple(each for label in labels for each in grouped[label])
    glues: dict[str, list[str]] = {}
    plain_glues: list[Glue] = []
    for path in dict.fromkeys(each.specimen for each in breaks):
        glue = untouched(specimens[path].glue)
        if glue not in plain_glues:
            plain_glues.append(glue)
        glues.setdefault(f"{glue.name} ({plain_glues.index(glue) + 1})", []).append(os.path.basename(path))
    if len(plain_glues) > 1:
        listed = "; ".join(
            f"{glue.rpartition(' (')[0]} in {', '.join(files)}" for glue, files in glues.items()
        )
        message = f"their specimens have several glues, {listed}: calibrate one glue at a time"
        raise InputError((InputProblem("command line", "--using", ", ".join(labels), message),))
    (glue,) = plain_glues
    if not glue.holds:
        message = "their specimens have no glue: choose a glued joint"
        raise InputError((InputProblem("command line", "--using", ", ".join(labels), message),))
    outlived = frozenset(each.specimen for each in breaks if specimens[each.specimen].layout.hardware)
    kinds = {each.specimen: specimens[each.specimen].kind for each in breaks}
    return Chosen(log, tuple(labels), breaks, glue, outlived, kinds)


def untouched(glue: Glue) -> Glue:
    """The glue at full quality and without a word on where its quality came from."""
    sources = {key: value for key, value in glue.sources.items() if key != "quality"}
    return replace(glue, quality=1.0, calibrated="", model_error=None, load_factor=None, sources=sources)


def loads_by_quality(specimen: Specimen, request: Request, reuse: Reuse, done: Any = None) -> np.ndarray:
    """Predicted loads in N at which the glue gives, one a quality of QUALITIES. Raises ComputationError.

    The quality is the glue's own, so it multiplies that of the workmanship on every surface, a surface's own
    quality standing in place of the corner's. ``done()`` is called after each.
    """
    from glueline.studies.predict.predictor import predict_request

    loads = []
    for quality in QUALITIES:
        tried = replace(specimen, glue=replace(specimen.glue, quality=quality))
        try:
            prediction = predict_request(tried, replace(request, band=False), reuse=reuse)
        except ComputationError as error:
            step = f"{os.path.basename(specimen.path)} at {100 * quality:g} % quality: {error.step}"
            raise ComputationError(step, error.reason, error.remedy) from error
        loads.append(prediction.glue_load)
        if done is not None:
            done()
    return np.array(loads)


def groups_of(chosen: Chosen, loads: Mapping[str, np.ndarray]) -> list[Intervals]:
    """The chosen breaks by specimen file, with its ``loads`` by path, without those that tell nothing."""
    groups = []
    for path in chosen.specimens:
        rows = [glue_bounds(each, chosen.outlived) for each in chosen.breaks if each.specimen == path]
        bounds = np.array([row for row in rows if row != TELLS_NOTHING]).reshape(-1, 2)
        groups.append(Intervals(bounds[:, 0], bounds[:, 1], loads[path]))
    return groups


TELLS_NOTHING = (0.0, inf)


def glue_bounds(row: Break, outlived: frozenset[str]) -> tuple[float, float]:
    """Between which loads in N the glue of one specimen gave.

    Where wood, or a dowel, failed, the glue held at least what the specimen stood, and no more is known.
    Screws and the like hold on when the glue has gone: one that pulled out says that the glue had given
    before, and of wood nothing is known. There the crack that was noted is the glue's; it held one step
    less, if the steps were even.

    >>> row = Break(2, "screwed.toml", "screwed", 700.0, 750.0, "fastener", "", 450.0)  # N
    >>> glue_bounds(row, frozenset({"screwed.toml"})), glue_bounds(row, frozenset())
    ((400.0, 450.0), (700.0, inf))
    """
    if row.specimen not in outlived:
        return row.lower, inf if row.failure in NOT_GLUE else row.upper
    if row.cracked is not None:
        step = row.upper - row.lower if row.lower > 0.0 and row.upper < inf else row.cracked
        return max(row.cracked - step, 0.0), row.cracked
    if row.failure in NOT_GLUE:
        return 0.0, row.upper if row.failure == "fastener" else inf
    return row.lower, row.upper


SILENT = Calibration(None, None, None, 0, ("none of them says anything of the glue",))


def calibrated(chosen: Chosen, loads: Mapping[str, np.ndarray]) -> Calibration:
    """What the chosen breaks say together, owning up to what predictions err by from joint to joint."""
    joints: dict[str, list[Intervals]] = {}
    for path, group in zip(chosen.specimens, groups_of(chosen, loads), strict=True):
        if len(group.lower):
            joints.setdefault(chosen.kinds.get(path, path), []).append(group)
    if not joints:
        return SILENT
    return calibrate_joints(list(joints.values()), table_width(chosen.glue), rig_error(chosen))


def _scatter_only(chosen: Chosen, loads: Mapping[str, np.ndarray]) -> Calibration:
    told = [group for group in groups_of(chosen, loads) if len(group.lower)]
    return calibrate(told, rig_error(chosen)) if told else SILENT


def one_by_one(chosen: Chosen, loads: Mapping[str, np.ndarray]) -> dict[str, Calibration]:
    """What each label says by itself, where there are several: how far they disagree is the model's error.

    These limits hold the scatter of specimens alone.
    """
    if len(chosen.labels) < 2:
        return {}
    alone = {
        label: replace(chosen, breaks=tuple(each for each in chosen.breaks if each.label == label))
        for label in chosen.labels
    }
    return {label: _scatter_only(each, loads) for label, each in alone.items()}


def rig_error(chosen: Chosen) -> float:
    """Half-width in logarithms, about 95 %, of the error that a rig gives all loads alike; 0 without one."""
    if chosen.log.rig is None:
        return 0.0
    ends = np.array([[row.lower, row.upper] for row in chosen.breaks])
    return common_error(chosen.log.rig, float(np.median(ends[np.isfinite(ends) & (ends > 0)])))


def all_remarks(chosen: Chosen, calibration: Calibration) -> tuple[str, ...]:
    """What a reader must know of a calibration."""
    remarks = list(calibration.remarks)
    held = sum(
        row.failure in NOT_GLUE and row.specimen not in chosen.outlived and row.lower > 0.0
        for row in chosen.breaks
    )
    if held:
        remarks.append(
            f"{held} of {len(chosen.breaks)} failed in the wood or a fastener: they count as glue that held "
            "at least what they stood"
        )
    remarks += _outlived_remarks(chosen)
    untold = sum(not row.failure and row.upper < inf for row in chosen.breaks)
    if untold:
        remarks.append(
            f"{untold} of {len(chosen.breaks)} have no word on what failed: it is taken to be the glue"
        )
    if chosen.log.rig is not None and calibration.interval is not None:
        remarks.append("the interval also holds the rig's error, which all loads share")
    return tuple(remarks)


def _outlived_remarks(chosen: Chosen) -> list[str]:
    """What is made of specimens whose screws and the like hold on after the glue."""
    rows = [row for row in chosen.breaks if row.specimen in chosen.outlived]
    by_crack = sum(row.cracked is not None for row in rows)
    gone = sum(row.failure == "fastener" and row.cracked is None for row in rows)
    silent = sum(glue_bounds(row, chosen.outlived) == TELLS_NOTHING for row in chosen.breaks)
    of_all = f"of {len(chosen.breaks)}"
    remarks = []
    if by_crack:
        remarks.append(
            f"{by_crack} {of_all} have fasteners that outlive the glue and a first crack noted: that is "
            "taken for the glue's, within one step"
        )
    if gone:
        remarks.append(
            f"{gone} {of_all} failed in fasteners that outlive the glue, with no first crack noted: they say "
            "only that the glue had given by then"
        )
    if silent:
        remarks.append(f"{silent} {of_all} say nothing of the glue and are left out")
    return remarks


def origin_words(chosen: Chosen, calibration: Calibration, method: str) -> str:
    """From what the quality was set, in one sentence for the glue file."""
    if calibration.quality is None:
        raise ValueError("an unsettled quality has no origin")
    limits = "no interval"
    if calibration.interval is not None:
        low, high = (f"{100 * end:.0f} %" if end is not None else "no limit" for end in calibration.interval)
        limits = f"95 % limits {low} to {high}"
    drawn = ""
    if calibration.by_breaks is not None:
        drawn = f", drawn toward the table from {100 * calibration.by_breaks:.1f} % by the breaks alone,"
    labels = printable(", ".join(chosen.labels), 300)
    return (
        f"quality {100 * calibration.quality:.1f} % ({limits}){drawn} from "
        f"{counted(calibration.count, 'specimen')} ({labels}) of the log "
        f"{printable(os.path.basename(chosen.log.path), 100)} (predictions: {answers_said([method])})"
        + (f"; {model_words(calibration.model)}" if calibration.model else "")
    )


def model_words(model: ModelError) -> str:
    """How far predictions err from joint to joint, and how that is known."""
    size = f"predictions err by about {100 * model.size:.0f} % from joint to joint"
    if model.from_breaks:
        return f"{size}, going by how the {model.joints} kinds of joint that were broken disagree"
    return (
        f"{size}: a judgement, since {FEWEST_JOINTS} kinds of joint must be broken to tell (here "
        f"{model.joints})"
    )


def glue_file_text(chosen: Chosen, calibration: Calibration, origin: str, file: str) -> str:
    """The text of a glue file: the glue with the quality found, how far it errs, its ``origin`` in words."""
    stem = Path(file).stem
    name = stem if plain(stem) != "none" else "glue"
    about = {"quality": {"source": origin, "mark": MARK}}
    if _in_table(chosen.glue):
        tables: dict[str, Any] = {"like": chosen.glue.name, "name": name}
    else:
        tables = {**glue_to_tables(chosen.glue), "name": name}
        about = {**tables["sources"], **about}
    found: dict[str, Any] = {"quality": calibration.quality, "calibrated": origin}
    if calibration.model is not None:
        found["model_error"] = float(f"{calibration.model.size:.3g}")
        found["load_factor"] = float(f"{calibration.model.load_factor:.3g}")
    return FIRST_LINE + toml_text({**tables, **found, "sources": about})


def check_target(path: str) -> None:
    """Raises InputError unless a glue file can be written there without loss of anything but another one."""
    shown = printable(path, 200)

    def refuse(message: str) -> InputError:
        return InputError((InputProblem("command line", "--write", shown, message),))

    target = Path(path)
    if not path.isprintable():
        raise refuse("is not a name that a file can have")
    if target.suffix.casefold() != ".toml" or not target.stem:
        raise refuse('must end in .toml, such as "our_pva.toml"')
    try:
        there, folder = target.exists() or target.is_symlink(), target.absolute().parent.is_dir()
    except OSError as error:
        raise refuse(f"cannot be written: {error.strerror}") from None
    if not folder:
        raise refuse("lies in a directory that is not there")
    if there:
        try:
            ours = "calibrated" in read_toml(path)
        except InputError:
            ours = False
        if not ours:
            raise refuse("is there already and is not a calibrated glue file; choose another name")


def _in_table(glue: Glue) -> bool:
    try:
        return untouched(find_glue(glue.name)) == glue
    except UnknownName:
        return False
