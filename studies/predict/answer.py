"""The answer for one corner, in one shape: what commands print and write, and what is read back.

Always N, mm and mm2; where the contract wants another unit, the name says so. The keys of the JSON are given
here and nowhere else.
"""

from __future__ import annotations

from typing import Any, Literal

from msgspec import Struct, field, structs

from glueline.studies.corner.limit import BreaksIn
from glueline.studies.files.json_text import Count, Number, Positive
from glueline.studies.predict.request import Method

Pair = tuple[Positive, Positive]
JudgedRow = Literal["side_grain", "grain_45", "end_grain", "crossed", "withdrawal", "fittings"]
EventKind = Literal["cracks", "holds", "splits", "lets go"]
Reason = Literal["break", "first crack", "band", "glue values", "calibrated glue"]


class Mode(Struct, frozen=True, kw_only=True):
    """One way to give: at which load, and what share of its strength the break load takes.

    ``mean_over`` is the length over which stress was averaged, None where it was not.
    """

    kind: BreaksIn
    part: str
    mode: str
    where: str
    load: Number = field(name="load_N")
    share_of_strength_at_break: Number
    mean_over: Number | None = field(name="mean_over_mm")
    counts_as_break: bool
    note: str


class Scatter(Struct, frozen=True, kw_only=True):
    """How the band was found: the seed, what matters, how many further paths, how often wood gives first."""

    seed: int
    variables: tuple[str, ...]
    paths: Count
    wood_first_share: Number
    note: str


class Path(Struct, frozen=True, kw_only=True):
    """The path past the peak: load and displacement state by state, and the state nearest to the break."""

    states: Count
    matrices_factored: Count
    energy_audit: Number
    load: tuple[Number, ...] = field(name="load_N")
    displacement: tuple[Number, ...] = field(name="displacement_mm")
    break_state: Count


class Event(Struct, frozen=True, kw_only=True):
    """What happens at a load and a displacement of it, where and in which mode; ``part`` is surface or piece.

    "holds" is what is carried after a crack by a machine that drives the displacement; whether dead weight is
    held is another matter (``holds_after_crack``).
    """

    kind: EventKind
    load: Number = field(name="load_N")
    displacement: Number = field(name="displacement_mm")
    where: str
    mode: str
    part: str


class OfWood(Struct, frozen=True, kw_only=True):
    """The largest share of the wood's strength up to the break, and at which load, where and how."""

    share: Number
    load: Number = field(name="load_N")
    where: str
    mode: str


class SaidAloud(Struct, frozen=True, kw_only=True):
    """What a maker says aloud before the first weight; forces on the joint, exact but in the sentence.

    ``stand_clear`` is the load from which to stand clear, and ``because_of`` what sets it: the first crack,
    the lower end of the band, a glue value at an end of what can be believed, or the break load itself.
    A calibrated glue counts with how far its loads can be off.
    ``likely`` are the loads between which the corner likely goes, None without a band; ``watch`` is the place
    to watch; ``left_out`` what this answer does not know of all that. A cracked corner counts as broken.
    """

    sentence: str
    stand_clear: Positive = field(name="stand_clear_N")
    because_of: Reason
    likely: Pair | None = field(name="likely_N")
    watch: str
    left_out: tuple[str, ...]


class MeshSize(Struct, frozen=True, kw_only=True):
    """How many nodes, elements and unknowns."""

    nodes: Count
    elements: Count
    unknowns: Count


class Answer(Struct, frozen=True, kw_only=True):
    """The answer for one corner; None where this method, or this request, does not tell.

    ``glue_load`` and ``first_damage_load`` are None where there is no glue. ``wood_load`` is the load at
    which wood first gives, else the break load over ``wood_share``;
    ``fastener_load`` that at which a fastener gives, had all else held, None where there is none;
    ``split_load`` that at which a followed split begins by the criterion alone, None where none was.
    ``band`` has the loads that 5 % and 95 % of corners made alike do not reach, ``ranges`` the break loads
    with each row of the glue table that the corner uses, and what its screws or fittings grip by, at the weak
    and at the strong end of what can be believed of it, in that order: where stronger glue carries less, the
    first is the larger.
    ``moment_share`` and ``glue_gone`` are by surface, ``crushed`` too: how far its faces are crushed at the
    break where most, None without crushing. ``glue_area`` is by the grain of the two faces.
    ``said_aloud`` follows from the rest: what to say before the first weight. It is None only in answers
    written before there was one. ``calibrated_off_by`` is the factor by which the mean load of a corner with
    a calibrated glue can be off, either way, None where its glue is none or does not say.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> from glueline.studies.files.json_text import json_text, read_json
    >>> answer = predict(read_specimen(example_path("butt")), method="elastic").answer
    >>> read_json(json_text(answer), Answer) == answer
    True
    """

    joint: str
    arrangement: str
    method: Method
    break_load: Positive = field(name="break_load_N")
    band: Pair | None = field(name="band_N")
    median: Number | None = field(name="median_N")
    share_at_first_crack: Number | None
    breaks_in: BreaksIn
    where: str
    mode: str
    glue_load: Number | None = field(name="glue_load_N")
    wood_load: Number = field(name="wood_load_N")
    fastener_load: Number | None = field(name="fastener_load_N")
    wood_share: OfWood
    split_load: Number | None = field(name="split_load_N")
    first_damage_load: Number | None = field(name="first_damage_load_N")
    first_crack_load: Number | None = field(name="first_crack_load_N")
    highest_load: Number | None = field(name="highest_load_N")
    holds_after_crack: bool | None
    break_moment_Nm: Number
    compliance: Number = field(name="compliance_mm_per_N")
    corner_stiffness_Nm_per_rad: Number
    displacement_at_break: Number | None = field(name="displacement_at_break_mm")
    energy_at_break_J: Number | None
    why: str
    ranges: dict[JudgedRow, Pair] | None
    moment_share: dict[str, Number]
    scatter: Scatter | None
    glue_gone: dict[str, Number] | None
    path: Path | None
    crushed: dict[str, Number] | None = field(name="crushed_at_break_mm")
    glue_area: dict[str, Number] = field(name="glue_area_mm2")
    events: tuple[Event, ...] | None
    modes: tuple[Mode, ...]
    support_reactions: tuple[Number, Number, Number] = field(name="support_reactions_N")
    element_size: Positive = field(name="element_size_mm")
    mesh: MeshSize
    out_of_plane: tuple[str, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    solver: str
    calibrated_off_by: Positive | None = None
    said_aloud: SaidAloud | None = None

    def __post_init__(self) -> None:
        if self.band is not None and self.band[0] > self.band[1]:
            raise ValueError("band_N must run from its lower end to its higher")


def parts_of(answer: Answer | None, *names: str) -> dict[str, Any]:
    """Attributes of an answer under the keys they have in JSON; all None where there is no answer."""
    keys = {each.name: each.encode_name for each in structs.fields(Answer)}
    return {keys[name]: None if answer is None else getattr(answer, name) for name in names}
