"""Request and answer: the agreed keys, there and back through JSON, damage refused with its place."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from msgspec import to_builtins

from glueline import InputError, predict
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.files.json_text import Damaged, json_line, json_text, read_json
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.request import METHODS, Request
from tests.studies.corners import specimen

# The keys of the agreed JSON; more may stand beside them.
AGREED = {
    "joint",
    "arrangement",
    "method",
    "break_load_N",
    "break_moment_Nm",
    "first_damage_load_N",
    "first_crack_load_N",
    "compliance_mm_per_N",
    "glue_load_N",
    "wood_load_N",
    "wood_share",
    "fastener_load_N",
    "split_load_N",
    "moment_share",
    "corner_stiffness_Nm_per_rad",
    "displacement_at_break_mm",
    "energy_at_break_J",
    "breaks_in",
    "where",
    "mode",
    "band_N",
    "median_N",
    "share_at_first_crack",
    "events",
    "holds_after_crack",
    "highest_load_N",
    "glue_area_mm2",
    "mesh",
    "solver",
}


@cache
def answer(method: str) -> Answer:
    return predict(specimen("splined mitre"), method=method).answer


@pytest.mark.parametrize("method", METHODS)
def test_every_agreed_key_is_there(method: str) -> None:
    found = json.loads(json_text(answer(method)))
    assert set(found) >= AGREED
    assert not {"seconds", "utilisation"} & set(found)
    assert set(found["glue_area_mm2"]) == {"side_to_side", "side_to_end", "end_to_end", "grain_45"}
    assert set(found["mesh"]) == {"nodes", "elements", "unknowns"}
    assert found["solver"] == "sparse LU"
    assert found["method"] == method
    worst = max(mode["share_of_strength_at_break"] for mode in found["modes"] if mode["counts_as_break"])
    assert worst == pytest.approx(1.0)
    known_to_paths = AGREED & {key for key in found if key.startswith(("first_crack", "highest", "median"))}
    known_to_paths |= {"displacement_at_break_mm", "energy_at_break_J", "band_N", "path", "events"}
    known_to_paths |= {"holds_after_crack", "share_at_first_crack", "crushed_at_break_mm"}
    assert all((found[key] is None) == (method == "elastic") for key in known_to_paths)


@pytest.mark.parametrize("method", METHODS)
def test_an_answer_comes_back_from_json_as_it_was(method: str) -> None:
    """To the last digit; every number is one of Python's own."""
    found = answer(method)
    assert read_json(json_text(found), Answer) == found
    assert read_json(json_line(found), Answer) == found
    to_builtins(found)


def test_keys_that_are_not_known_are_passed_over() -> None:
    found = {**json.loads(json_line(answer("elastic"))), "happenings": [{"load_N": "any"}]}
    assert read_json(json.dumps(found), Answer) == answer("elastic")


def changed(change: Callable[[Any], object]) -> bytes:
    found = json.loads(json_line(answer("progressive")))
    change(found)
    return json.dumps(found).encode()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda found: found.pop("mode"), "$.mode: is missing"),
        (lambda found: found["modes"][2].pop("load_N"), "$.modes[2].load_N: is missing"),
        (lambda found: found.update(break_load_N=None), "$.break_load_N: must be a number, not null"),
        (lambda found: found.update(break_load_N=-2), "$.break_load_N: must be a number > 0.0"),
        (lambda found: found.update(where=3.5), "$.where: must be a text, not a number"),
        (lambda found: found.update(band_N=[1, 2, 3]), "$.band_N: must be a list of length 2"),
        (
            lambda found: found["modes"][0].update(mean_over_mm="x"),
            "$.modes[0].mean_over_mm: must be",
        ),
        (lambda found: found["mesh"].update(nodes=0.5), "$.mesh.nodes: must be a whole number, not a number"),
        (lambda found: found["path"]["load_N"].append("1"), "$.path.load_N["),
        (
            lambda found: found["moment_share"].update(mitre=[]),
            "$.moment_share[...]: must be a number",
        ),
    ],
)
def test_damage_is_refused_with_its_place(change: Callable[[Any], object], said: str) -> None:
    with pytest.raises(Damaged) as caught:
        read_json(changed(change), Answer)
    assert str(caught.value).startswith(said)


@pytest.mark.parametrize(
    "content",
    [b"", b"{", json_line({"joint": "butt"})[:-3], b"\xff\xfe{}", b'{"joint": "\xff"}', b'{"joint": NaN}'],
)
def test_what_is_no_json_is_refused(content: bytes) -> None:
    with pytest.raises(Damaged, match="is no JSON"):
        read_json(content, Answer)


def test_a_number_that_is_not_finite_is_never_written() -> None:
    for endless in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match=r"\$\.loads\[1\]"):
            json_text({"loads": [1.0, endless]})


def test_defaults_are_those_of_the_materials() -> None:
    assert Request().criterion == DEFAULT_CRITERION
    Request().check(specimen("butt"))


def test_everything_wrong_with_a_request_is_said_at_once() -> None:
    request = Request(method="magic", element_size=100.0, criterion="guess")
    with pytest.raises(InputError) as caught:
        request.check(specimen("butt"))
    assert {each.key for each in caught.value.problems} == {"--method", "--element-size", "--criterion"}
