"""What a sweep and its picture say: its question, what was loaded and how, keys by the words of the trade."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from glueline.geometries import JOINTS
from glueline.studies.files.key_changes import SURFACES, joint_fields, surfaces_of
from glueline.studies.files.wording import BAND, answers_said
from glueline.studies.predict.answer import Answer

SURFACE_WORDS = {
    "quality": "quality of the glue on the {}",
    "gap": "gap at the {}",
    "coverage": "coverage of the {} with glue",
}
"""What a surface can have of its own, as a maker calls it."""

KEY_WORDS = {
    "joint.kind": "joint",
    "boards.thickness": "board thickness",
    "boards.thickness_b": "thickness of board B",
    "boards.width": "board width",
    "boards.leg": "leg length",
    "boards.lay": "lay of the boards",
    "boards.wood": "wood",
    "boards.wood_b": "wood of board B",
    "boards.sawn": "way the boards are sawn",
    "boards.moisture": "moisture of the wood",
    "glue.kind": "glue",
    "glue.quality": "quality of the glue",
    "glue.gap": "gap in the glue line",
    "glue.coverage": "coverage with glue",
    "glue.end_grain": "end grain",
    "load.arrangement": "load arrangement",
    **{
        f"glue.{SURFACES}.{surface}.{key}": words.format(surface)
        for surface in surfaces_of(None)
        for key, words in SURFACE_WORDS.items()
    },
}
"""Keys of a specimen file as a maker calls them; measures of joints bring their own words."""


def key_words(key: str) -> str:
    """A key in the words of the trade."""
    if key in KEY_WORDS:
        return KEY_WORDS[key]
    name = key.partition(".")[2]
    own = [fields[name] for kind in JOINTS.values() if name in (fields := joint_fields(kind))]
    return str(own[0]["label"]) if own else name.replace("_", " ")


def varied_words(values: Mapping[str, str]) -> str:
    """Varied keys with their values, as typed and in a row."""
    return ", ".join(f"{key} = {value}" for key, value in values.items())


def question(across: Sequence[str]) -> str:
    """What the picture answers; ``across`` are the keys along its axes."""
    return f"How does the break load change with the {' or the '.join(key_words(key) for key in across)}?"


def circumstances(keys: Sequence[str], answers: Sequence[Answer]) -> str:
    """What was broken, how it was loaded, how it was answered, and whether there is a band.

    What was itself varied stands along the axis or in the legend and is not said here.
    """
    parts = []
    kinds = _different(answer.joint for answer in answers)
    if "joint.kind" not in keys and kinds:
        parts.append(f"{kinds[0]} corner")
    arrangements = _different(answer.arrangement for answer in answers)
    if "load.arrangement" not in keys and arrangements:
        parts.append(arrangements[0])
    methods = _different(answer.method for answer in answers)
    parts.append(answers_said(methods))
    return f"{', '.join(parts)}; {_band_words(answers, methods)}"


def _band_words(answers: Sequence[Answer], methods: Sequence[str]) -> str:
    known = [answer.band is not None for answer in answers]
    if any(known):
        where = "" if all(known) else ", where it is known"
        return f"band: {BAND} of corners made alike{where}"
    if methods == ["elastic"]:
        return "no band: the elastic answer has none"
    return "no band: scatter was not asked for"


def _different(words: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(words))
