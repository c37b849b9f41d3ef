"""What the picture of a sweep says: its question, what was loaded and how, keys by the words of the trade."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from glueline.geometries import JOINTS
from glueline.studies.files.changes import joint_fields

Row = Mapping[str, str | int | float | bool | None]

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
}
"""Keys of a specimen file as a maker calls them; measures of joints bring their own words."""


def key_words(key: str) -> str:
    """A key in the words of the trade."""
    if key in KEY_WORDS:
        return KEY_WORDS[key]
    name = key.partition(".")[2]
    own = [fields[name] for kind in JOINTS.values() if name in (fields := joint_fields(kind))]
    return str(own[0]["label"]) if own else name.replace("_", " ")


def question(across: Sequence[str]) -> str:
    """What the picture answers; ``across`` are the keys along its axes."""
    return f"How does the break load change with the {' or the '.join(key_words(key) for key in across)}?"


def circumstances(keys: Sequence[str], answers: Sequence[Row]) -> str:
    """What was broken, how it was loaded, how it was answered, and whether there is a band.

    What was itself varied stands along the axis or in the legend and is not said here.
    """
    said = []
    kinds = _different(answers, "joint")
    if "joint.kind" not in keys and kinds:
        said.append(f"{kinds[0]} corner")
    arrangements = _different(answers, "arrangement")
    if "load.arrangement" not in keys and arrangements:
        said.append(arrangements[0])
    methods = _different(answers, "method")
    said.append(f"{' and '.join(methods)} answer")
    return f"{', '.join(said)}; {_band_words(answers, methods)}"


def _band_words(answers: Sequence[Row], methods: Sequence[str]) -> str:
    known = [row["band_05_N"] is not None for row in answers]
    if any(known):
        where = "" if all(known) else ", where it is known"
        return f"band: 5 % to 95 % of corners made alike{where}"
    if methods == ["elastic"]:
        return "no band: the elastic answer has none"
    return "no band: scatter was not asked for"


def _different(answers: Sequence[Row], column: str) -> list[str]:
    return list(dict.fromkeys(str(row[column]) for row in answers))
