"""Corners side by side: their order, what is said of differences, the table and the notes."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.json_text import json_text, read_json
from glueline.studies.rank.rank_table import rank_rows
from glueline.studies.rank.ranking import comparison_notes, ranked_corner, scatter_words, strongest_first
from glueline.studies.rank.ranking_file import RankingFile, ranking_file
from glueline.studies.rank.write_ranking import notes_of, ranking_text
from tests.studies.corners import JOINTS
from tests.studies.made_up_answers import made_up
from tests.studies.rank.ranked_corners import Made, corner

BANDS = st.lists(st.tuples(st.floats(1, 900), st.floats(1, 900), st.floats(0, 1)), min_size=2, max_size=8)


# Order and differences


def test_the_strongest_comes_first_and_the_object_keeps_what_came(made: dict[str, Made]) -> None:
    corners = [each for each, _ in made.values()]
    text = json_text(ranking_file(corners))
    found = json.loads(text)
    assert [each["label"] for each in found["corners"]] == list(JOINTS)
    assert all({"label", "file", "break_load_N", "band_N"} <= set(each) for each in found["corners"])
    loads = {each["label"]: each["break_load_N"] for each in found["corners"]}
    assert [loads[label] for label in found["order"]] == sorted(loads.values(), reverse=True)
    assert set(found) == {"corners", "order", "orders_over_ranges"}
    assert read_json(text, RankingFile) == ranking_file(corners)


@given(BANDS)
def test_an_order_is_claimed_exactly_where_bands_lie_apart(bands: list[tuple[float, float, float]]) -> None:
    """Against all pairs, one by one."""
    like = ranked_corner("x", "x", made_up(1.0))
    corners = []
    for number, (one, other, share) in enumerate(bands):
        low, high = sorted((one, other))
        corners.append(corner(f"c{number}", low + share * (high - low), (low, high), like))
    words = scatter_words(corners)
    text = " ".join(words)
    ranked = strongest_first(corners)
    apart = {
        (a.label, b.label) for a in ranked for b in ranked if (a.band or (0, 0))[0] > (b.band or (0, 0))[1]
    }
    if len(apart) == len(ranked) * (len(ranked) - 1) / 2:
        assert words == ("Every difference is larger than the scatter: no bands overlap.",)
        return
    if not apart:
        assert words[0].startswith("No difference is larger than the scatter")
        return
    claimed, unclaimed = set(), set()
    for sentence in words:
        if sentence.startswith("Larger"):
            more, less = sentence.partition(" hold")[::2]
            claimed |= {(a, b) for a in labels_in(more) for b in labels_in(less)}
        else:
            group = labels_in(sentence)
            unclaimed |= {frozenset((a, b)) for a in group for b in group if a != b}
    assert claimed == apart, text
    every = {frozenset((a.label, b.label)) for a in ranked for b in ranked if a is not b}
    assert unclaimed == every - {frozenset(pair) for pair in apart}, text


def labels_in(sentence: str) -> list[str]:
    """The labels c0, c1, ... that a sentence names."""
    return [word.strip(".,:") for word in sentence.split() if word.startswith("c") and word[1:2].isdigit()]


def test_without_bands_nothing_is_claimed(made: dict[str, Made]) -> None:
    corners = [each for each, _ in made.values()]
    assert all(each.band is None for each in corners)
    (sentence,) = scatter_words(corners)
    assert "no scatter band" in sentence
    assert "not known" in sentence
    half = [corner("a", 500, (400, 600), corners[0]), corner("b", 100, (80, 120), corners[0]), corners[1]]
    assert scatter_words(half)[0].startswith("mitre has no scatter band")
    assert scatter_words(half)[1] == (
        "Every difference among a and b is larger than the scatter: no bands overlap."
    )
    assert scatter_words(corners[:1]) == ()


def test_loads_that_are_not_of_one_kind_are_called_so(made: dict[str, Made]) -> None:
    butt, mitre = made["butt"][0], made["mitre"][0]
    assert comparison_notes([butt, mitre]) == ()
    pressed = structs.replace(mitre, arrangement="apex press")
    assert "loaded in different ways" in comparison_notes([butt, pressed])[0]
    longer = structs.replace(mitre, break_moment_Nm=2 * mitre.break_moment_Nm)
    assert "lever arms" in comparison_notes([butt, longer])[0]
    assert "bending then" in rank_rows([butt, longer], "metric")[0]
    assert "bending then" not in rank_rows([butt, mitre], "metric")[0]


# The table


def test_the_table_has_what_a_teacher_asks_for(made: dict[str, Made]) -> None:
    like = made["butt"][0]
    cracked = structs.replace(corner("a", 1000, (800, 1250), like), first_crack_load=700.0)
    head, first, second = rank_rows([corner("b", 500, None, like), cracked], "metric")
    row = dict(zip(head, first, strict=True))
    assert row["corner"] == "a"
    assert row["break load"] == "1000 N"
    assert row["band, 5 to 95 %"] == "800 to 1250 N"
    assert row["first crack"] == "700 N"
    assert row["what breaks"] == like.mode
    assert row["where"] == like.where
    assert row["stiffness"].endswith("per degree")
    assert row["glue area"] == "17.1 cm²"  # 19 mm by 90 mm
    assert dict(zip(head, second, strict=True))["band, 5 to 95 %"] == "—"
    assert "lbf" in rank_rows([cracked], "imperial")[1][2]


def test_the_text_carries_notes_once_and_cautions(made: dict[str, Made]) -> None:
    corners = [each for each, _ in made.values()]
    text = ranking_text(corners, "metric")
    assert text.endswith(CAUTIONS)
    assert "safe" not in text.lower()
    notes = notes_of(corners, "metric")
    assert len(notes) == len(set(notes))
    assert any(note.startswith("splined mitre: The splines are taken as equally spaced") for note in notes)
