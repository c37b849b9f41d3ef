"""--vary: lists, ranges, units, and everything that is no such thing."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.studies.files.failures import InputError
from glueline.studies.files.key_changes import known_keys
from glueline.studies.files.units import LENGTH, read_exact
from glueline.studies.sweeps.vary import MOST_VALUES, Varied, parse_values, parse_varied
from tests.studies.makers_folder import check_words, one


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("3,5,7", "3|5|7"),
        ("1:4", "1|2|3|4"),
        ("9:1:-4", "9|5|1"),
        ("2:2", "2"),
        ("1,4:6,9", "1|4|5|6|9"),
        ("[3, 5]", "3|5"),
        ("4 mm:10 mm:2 mm", "4 mm|6 mm|8 mm|10 mm"),
        ('"4 mm:8 mm:2 mm",20 mm', "4 mm|6 mm|8 mm|20 mm"),
        ("0.1 in:0.4 in:0.1 in", "0.1 in|0.2 in|0.3 in|0.4 in"),
        ("1/4 in:1 in:1/4 in", "1/4 in|1/2 in|3/4 in|1 in"),
        ("1-1/2 in:2 in:1/4 in", "1 1/2 in|1 3/4 in|2 in"),
        ("1 cm:15 mm:2.5 mm", "1 cm|1.25 cm|1.5 cm"),
        ("10 mm:16.35 mm:1/8 in", "10 mm|13 7/40 mm|16 7/20 mm"),
        ("10 mm:2 mm:-4 mm", "10 mm|6 mm|2 mm"),
        ("60 %:100 %:20 %", "60 %|80 %|100 %"),
        ("200 N/mm:0.4 kN/mm:100 N/mm", "200 N/mm|300 N/mm|400 N/mm"),
        ("1000 lbf/in:2000 lbf/in:500 lbf/in", "1000 lbf/in|1500 lbf/in|2000 lbf/in"),
        ('3/4",1"', '3/4"|1"'),
        ('3/4":1 1/4":1/4"', "3/4 in|1 in|1 1/4 in"),
        ("red oak, hard maple", "red oak|hard maple"),
        ("\"red oak\",'hard maple'", "red oak|hard maple"),
        ("Mahogany (true, Honduras),teak", "Mahogany (true, Honduras)|teak"),
        ('["red oak", "white ash"]', "red oak|white ash"),
        ("woods/my oak.toml,c:/oak.toml", "woods/my oak.toml|c:/oak.toml"),
    ],
)
def test_what_is_typed_becomes_values(text: str, values: str) -> None:
    assert parse_values(text) == tuple(values.split("|"))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "has no values"),
        ("[]", "has no values"),
        ("3,,5", "empty place"),
        ("3,5,", "empty place"),
        ("3,5,3", "names 3 twice"),
        ("1:3,2", "names 2 twice"),
        ("1:", "does not end"),
        ("1:9:", "does not end"),
        ("1:9:0", "step of zero"),
        ("9:1", "step must be below zero"),
        ("1:9:-2", "step must be above zero"),
        ("1:8:3", "steps past its end"),
        ("1:9:2:3", "more than two colons"),
        ("4 mm:20 mm", "has no step"),
        ("1-4", "write 1:4"),
        ("3, 5 to 9", "write 5:9"),
        ("4 mm:20 mm:0 mm", "step of zero"),
        ("4 mm:20 mm:-2 mm", "step must be above zero"),
        ("4 mm:21 mm:2 mm", "steps past its end"),
        ("4 mm:20 %:2 mm", "mixes quantities"),
        ("4:20 mm:2 mm", "4 has no unit"),
        ("4 mm:20 mm:2", "2 has no unit"),
        ("1.5:3:0.5", "1.5 is not whole and has no unit"),
        ("3:7:abc", "abc cannot be read"),
        ("4 mm:20 furlongs:2 mm", "20 furlongs cannot be read"),
        ("1:999999999", f"more than {MOST_VALUES}"),
        ("1:1000000000", f"more than {MOST_VALUES} values, the most that are allowed"),
        (f"1:{'9' * 250}", f"more than {MOST_VALUES}"),
        (f"1:{MOST_VALUES + 1}", f"more than {MOST_VALUES}"),
        (f"1:{'9' * 5000}", "more than 300 letters"),
        ("caf\udce9", "UTF-8"),
        ("1 mm:1 m:1/1000 mm", f"more than {MOST_VALUES}"),
        ("1:6000,7000:13000", f"more than {MOST_VALUES}"),
    ],
)
def test_what_is_no_list_and_no_range_is_refused(text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_varied([f"joint.fingers={text}"])
    check_words(caught.value)
    problem = one(caught.value.problems)
    assert problem.key == "--vary joint.fingers"
    assert said in problem.message


def test_keys_are_known_and_named_once() -> None:
    assert parse_varied(["joint.fingers=3,5", "boards.wood=teak"]) == (
        Varied("joint.fingers", ("3", "5")),
        Varied("boards.wood", ("teak",)),
    )
    with pytest.raises(InputError) as caught:
        parse_varied(
            ["fingers=3", "joint.figners=3", "joint.fingers=3", "joint.fingers=5", "joint.fingers", "=3"]
        )
    check_words(caught.value)
    said = [str(problem) for problem in caught.value.problems]
    assert len(said) == 5
    assert "did you mean joint.fingers?" in said[0]
    assert "did you mean joint.fingers?" in said[1]
    assert "varied twice" in said[2]
    assert "write KEY=VALUES" in said[3]
    assert "write KEY=VALUES" in said[4]


@given(
    start=st.integers(-50, 50),
    step=st.integers(1, 9),
    steps=st.integers(0, 40),
    down=st.booleans(),
)
def test_a_range_of_whole_numbers_has_both_ends(start: int, step: int, steps: int, down: bool) -> None:
    step = -step if down else step
    end = start + step * steps
    values = parse_values(f"{start}:{end}:{step}")
    assert values == tuple(str(value) for value in range(start, end + (1 if step > 0 else -1), step))


@given(
    start=st.integers(1, 4000),
    step=st.integers(1, 500),
    steps=st.integers(0, 60),
    unit=st.sampled_from(["mm", "cm", "in"]),
)
def test_a_range_of_lengths_reads_back_without_a_rounding(
    start: int, step: int, steps: int, unit: str
) -> None:
    """Tenths, which floats do not hold, still end on the end."""
    values = parse_values(f"{start / 10} {unit}:{(start + step * steps) / 10:.1f} {unit}:{step / 10} {unit}")
    assert [read_exact(value, LENGTH) for value in values] == [
        (Fraction(start + step * number, 10), unit) for number in range(steps + 1)
    ]


@given(st.text(max_size=40))
def test_anything_typed_is_values_or_a_plain_refusal(text: str) -> None:
    try:
        (varied,) = parse_varied([f"joint.finger_width={text}"])
    except InputError as error:
        check_words_loosely(error)
    else:
        assert varied.values
        assert len(set(varied.values)) == len(varied.values)


def check_words_loosely(error: InputError) -> None:
    for problem in error.problems:
        assert str(problem).isprintable()
        assert len(str(problem)) < 1000


def test_every_key_of_a_file_can_be_varied() -> None:
    for key in known_keys():
        assert parse_varied([f"{key}=anything"])[0].key == key
