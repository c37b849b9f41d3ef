"""Woods and glues by the names makers use."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.materials import UnknownName, also_called, find_glue, find_wood, glue_names, wood_names

SHOP_NAMES = {
    "hard maple": "Acer saccharum",
    "soft maple": "Acer rubrum",
    "red oak": "Quercus rubra",
    "poplar": "Liriodendron tulipifera",
    "cherry": "Prunus serotina",
    "walnut": "Juglans nigra",
    "ash": "Fraxinus americana",
    "beech": "Fagus grandifolia",
    "sugar maple": "Acer saccharum",
    "Sugar (hard) maple": "Acer saccharum",
    "red maple": "Acer rubrum",
    "southern pine": "Pinus taeda",
    "Douglas fir": "Pseudotsuga menziesii",
    "true mahogany": "Swietenia macrophylla",
    "African mahogany": "Khaya spp.",
    "hickory": "Carya ovata",
}


def look_up(name: str) -> tuple[str, UnknownName | None]:
    """The table name that ``name`` finds, or the answer that it does not."""
    try:
        return find_wood(name).name, None
    except UnknownName as unknown:
        return "", unknown


@pytest.mark.parametrize(("name", "scientific"), SHOP_NAMES.items())
def test_shop_names(name: str, scientific: str) -> None:
    assert find_wood(name).scientific == scientific


@given(
    st.sampled_from([(name, other) for name in wood_names() for other in (name, *also_called(name))]),
    st.sampled_from(
        [str.lower, str.upper, str.title, lambda text: f"  {text} ", lambda text: text.replace("-", " ")]
    ),
)
def test_every_name_finds_its_wood_however_it_is_written(names: tuple[str, str], write) -> None:  # type: ignore[no-untyped-def]
    name, other = names
    assert find_wood(write(other)).name == name


@pytest.mark.parametrize("name", wood_names())
def test_brackets_may_be_left_out_or_the_wood_is_asked_for(name: str) -> None:
    bare = " ".join(name.split("(")[0].split() + name.partition(")")[2].split())
    found, unknown = look_up(bare)
    assert found == name or (unknown is not None and unknown.ambiguous and name in unknown.nearest)


def test_a_name_that_two_woods_go_by_is_not_guessed() -> None:
    with pytest.raises(UnknownName) as caught:
        find_wood("mahogany")
    assert set(caught.value.nearest) == {"Mahogany (true, Honduras)", "Mahogany (African)"}


@pytest.mark.parametrize(
    ("wrong", "meant"),
    [
        ("wite oak", "White oak"),
        ("wallnut", "Black walnut"),
        ("oak", "White oak"),
        ("cherri", "Black cherry"),
    ],
)
def test_an_unknown_wood_is_answered_with_the_nearest(wrong: str, meant: str) -> None:
    with pytest.raises(UnknownName, match="nearest") as caught:
        find_wood(wrong)
    assert meant in caught.value.nearest
    assert isinstance(caught.value, ValueError)


@given(st.text(max_size=30))
def test_any_text_finds_a_wood_or_says_it_does_not(text: str) -> None:
    found, unknown = look_up(text)
    assert found in wood_names() if unknown is None else set(unknown.nearest) <= set(wood_names())


def test_glues_by_name() -> None:
    assert find_glue("PVA") is find_glue("pva")
    assert find_glue("none").name == "none"
    assert "pva" in glue_names()
    assert len(glue_names()) >= 10
    with pytest.raises(UnknownName) as caught:
        find_glue("epoxi")
    assert caught.value.nearest[0] == "epoxy"


def test_an_unknown_name_travels_between_processes() -> None:
    unknown = UnknownName("wood", "oke", ["White oak"])
    copy = pickle.loads(pickle.dumps(unknown))
    assert (str(copy), copy.nearest) == (str(unknown), unknown.nearest)
