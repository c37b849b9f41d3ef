"""Quantities as makers write them: what is read, what is refused, and that writing and reading agree."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from glueline.studies.files.units import (
    ANGLE,
    DENSITY,
    FORCE,
    LENGTH,
    MASS,
    PERCENT,
    SHARE,
    STRESS,
    WEIGHT,
    Quantity,
    UnitError,
    Units,
    format_cut,
    format_force,
    format_length,
    format_moment,
    format_share,
    format_stress,
    parse,
    parse_length,
    parse_share,
    read,
    read_exact,
    significant,
)

INCH = 25.4


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("19 mm", 19.0),
        ("19mm", 19.0),
        ("1.9 cm", 19.0),
        ("0.019 m", 19.0),
        (".5 in", 12.7),
        ("3/4 in", 0.75 * INCH),
        ("1 1/2 in", 1.5 * INCH),
        ("1-1/2 in", 1.5 * INCH),
        ("1   1/2in", 1.5 * INCH),
        ('3/4"', 0.75 * INCH),
        ('0.75"', 0.75 * INCH),
        ('1-1/2"', 1.5 * INCH),
        ("1 ft", 12 * INCH),
        ("1/2 ft", 6 * INCH),
        ("  90 mm  ", 90.0),
        ("90 MM", 90.0),
        ("0 mm", 0.0),
        ("0.30000000000000000000001 mm", 0.3),
        ("\u00bd in", INCH / 2),
        ("4\u00bd in", 4.5 * INCH),
        ("4 \u00bd in", 4.5 * INCH),
        ("4-\u00bd in", 4.5 * INCH),
        ('4\u00bd"', 4.5 * INCH),
        ("\u215e in", 0.875 * INCH),
        ("4 1/2 inches", 4.5 * INCH),
        ("1 inch", INCH),
        ("3/4 in.", 0.75 * INCH),
        ("3/4 Inches", 0.75 * INCH),
        ("2 feet", 24 * INCH),
        ("19 millimetres", 19.0),
    ],
)
def test_lengths_as_makers_write_them(text: str, mm: float) -> None:
    """Every spelling the contract names."""
    assert parse_length(text) == pytest.approx(mm, rel=1e-15)


def test_a_mixed_number_is_not_its_fraction() -> None:
    """A popular unit library reads 1 1/2 in as half an inch."""
    assert parse_length("1 1/2 in") == pytest.approx(38.1)


@pytest.mark.parametrize(
    ("quantity", "text", "value"),
    [
        (FORCE, "500 N", 500.0),
        (FORCE, "1.5 kN", 1500.0),
        (FORCE, "100 lbf", 444.82216152605),
        (FORCE, "10 kgf", 98.0665),
        (MASS, "5 kg", 5.0),
        (MASS, "10 lb", 4.5359237),
        (WEIGHT, "1 kg", 9.80665),
        (WEIGHT, "1 lb", 4.4482216152605),
        (WEIGHT, "20 N", 20.0),
        (WEIGHT, "2 pounds", 2 * 4.4482216152605),
        (WEIGHT, "20 kilos", 20 * 9.80665),
        (MASS, "10 lbs", 4.5359237),
        (MASS, "10 pounds", 4.5359237),
        (MASS, "2\u00bd lbs.", 2.5 * 0.45359237),
        (FORCE, "100 lbs", 444.82216152605),
        (FORCE, "100 lb", 444.82216152605),
        (FORCE, "100 pounds", 444.82216152605),
        (ANGLE, "45\u00b0", math.pi / 4),
        (PERCENT, "12 percent", 12.0),
        (ANGLE, "45 deg", math.pi / 4),
        (SHARE, "12 %", 0.12),
        (SHARE, "100%", 1.0),
        (PERCENT, "12 %", 12.0),
        (DENSITY, "700 kg/m3", 700.0),
        (DENSITY, "0.7 g/cm3", 700.0),
        (DENSITY, "44 lb/ft3", 44 * 0.45359237 / 0.3048**3),
        (STRESS, "12 GPa", 12000.0),
        (STRESS, "12000 MPa", 12000.0),
        (STRESS, "1800000 psi", 1.8e6 * 4.4482216152605 / 25.4**2),
    ],
)
def test_other_quantities(quantity: Quantity, text: str, value: float) -> None:
    """Forces, weights, angles, shares, densities and stiffnesses, by their legal definitions."""
    assert parse(text, quantity) == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("19", "unit"),
        ("3/4", "unit"),
        ("", "empty"),
        ("   ", "empty"),
        ("mm", "number"),
        ("nineteen mm", "number"),
        ("nan mm", "number"),
        ("NaN", "number"),
        ("inf mm", "number"),
        ("-inf mm", "number"),
        ("Infinity mm", "number"),
        ("19 nm", "unit"),
        ("19 kg", "unit"),
        ("19 furlongs", "unit"),
        ("19 mm mm", "unit"),
        ("19 mm2", ""),
        ("1e3 mm", ""),
        ("0x13 mm", ""),
        ("1_000 mm", ""),
        ("1,5 mm", "point"),
        ("1/0 in", "zero"),
        ("1 0/0 in", "zero"),
        ("1 3/2 in", ""),
        ("1/2/3 in", ""),
        ("1.5/2 in", ""),
        ("1 1.5 in", ""),
        ("1 1 in", ""),
        ("--1 mm", "number"),
        ("1 -1/2 in", ""),
        ("9" * 30 + " mm", "large"),
        ("9" * 5000 + " mm", "long"),
        ("0." + "1" * 5000 + " mm", "long"),
        ("\uff11\uff19 mm", "U+FF11"),
        ("\u0661\u0669 mm", "U+0661"),
        ("19\u00a0mm", "U+00A0"),
        ("19\u200bmm", "U+200B"),
        ("\u00bd", "unit"),
        ("4\u00bd\u00bd in", ""),
        ("\u215f in", "U+215F"),
        ("\u00bd/2 in", ""),
        ("1.5\u00bd in", ""),
        ("\u00bd5 in", ""),
        ("3 \u00bd", "unit"),
        ("19 \u339c", "U+339C"),
        ("3/4\u2033", "mark"),
        ("3/4\u201d", "mark"),
        ("1\u20442 in", "U+2044"),
        ("\u221219 mm", "U+2212"),
        ("19 mm\n", ""),
        ("19\nmm", ""),
        ("19 mm\x00", "U+0000"),
    ],
)
def test_what_is_not_a_length(text: str, said: str) -> None:
    """Each is refused, in words, with what would be right."""
    with pytest.raises(UnitError) as caught:
        parse_length(text)
    assert said in str(caught.value)
    assert "19 mm" in str(caught.value)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("value", [19, 19.0, True, None, b"19 mm", ["19 mm"]])
def test_what_is_not_a_text(value: object) -> None:
    """A bare number has no unit."""
    with pytest.raises(UnitError):
        parse_length(value)  # type: ignore[arg-type]


def test_a_wrong_unit_gets_the_nearest() -> None:
    """A slip of the finger is answered with the unit meant."""
    with pytest.raises(UnitError, match="did you mean mm"):
        parse_length("19 mmm")
    with pytest.raises(UnitError, match="did you mean lbf"):
        parse("100 lbsf", FORCE)


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("4 1/2", ' is it "4 1/2 in"?'),
        ("4\u00bd", ' is it "4 1/2 in"?'),
        ("\u00bd", ' is it "1/2 in"?'),
        ("19", ' is it "19 mm" or "19 in"?'),
    ],
)
def test_a_number_alone_gets_the_unit_it_may_be_in(text: str, right: str) -> None:
    """Fractions are of inches; whole numbers may be either. What is asked reads."""
    with pytest.raises(UnitError) as caught:
        parse_length(text)
    assert right in str(caught.value)
    for asked in re.findall(r'"([^"]+)"', right):
        assert parse_length(asked) > 0


def test_a_force_in_kilograms_stays_refused() -> None:
    """kg is a mass; kgf is what a force is written in."""
    with pytest.raises(UnitError, match="did you mean kgf"):
        parse("10 kg", FORCE)


def test_the_unit_written_is_told() -> None:
    """So that answers can speak the units of the file."""
    assert read("3/4 in", LENGTH) == (19.05, "in")
    assert read("5 kgf", FORCE)[1] == "kgf"


@given(st.text(max_size=80))
@example("1/" + "0" * 40 + "1 in")
def test_any_text_gives_a_number_or_a_unit_error(text: str) -> None:
    """Nothing else ever comes out, and no number that cannot be measured."""
    for quantity in (LENGTH, FORCE, DENSITY, STRESS, PERCENT):
        said = ""
        try:
            assert math.isfinite(parse(text, quantity))
        except UnitError as error:
            said = str(error)
        assert said == "" or said.isprintable()


@given(
    st.from_regex(r"[+-]?[0-9./ -]{1,12} ?(mm|cm|in|ft|\")", fullmatch=True),
)
def test_near_lengths_give_a_number_or_a_unit_error(text: str) -> None:
    """Texts that look like lengths: wherever one is read, exact arithmetic agrees."""
    try:
        value = parse_length(text)
    except UnitError:
        return
    unit = next(unit for unit in ("mm", "cm", "in", "ft", '"') if text.endswith(unit))
    body = text[: -len(unit)].strip()
    sign, body = (-1, body[1:]) if body[0] == "-" else (1, body.removeprefix("+"))
    parts = body.replace("-", " ").split()
    exact = sign * sum(Fraction(part) for part in parts) * Fraction(value_of(unit))
    assert value == float(exact)


def value_of(unit: str) -> str:
    """The length of a unit in mm."""
    return {"mm": "1", "cm": "10", "in": "25.4", '"': "25.4", "ft": "304.8"}[unit]


@given(st.integers(0, 40), st.integers(0, 63), st.sampled_from([" ", "-"]))
def test_workshop_fractions_come_back(whole: int, sixtyfourths: int, between: str) -> None:
    """Every sixty-fourth is read exactly, written in lowest terms and read again."""
    part = Fraction(sixtyfourths, 64)
    text = f"{whole}{between}{sixtyfourths}/64 in"
    mm = parse_length(text)
    assert mm == float((whole + part) * Fraction("25.4"))
    shown = format_length(mm, "imperial")
    assert parse_length(shown) == mm
    words = ([str(whole)] if whole or not part else []) + ([str(part)] if part else [])
    assert shown == " ".join(words) + " in"


@given(st.floats(1e-3, 1e5), st.sampled_from(["metric", "imperial"]))
def test_lengths_come_back(mm: float, units: Units) -> None:
    """Written lengths read back within what the digits shown, or a workshop fraction, can tell."""
    slack = 0.05 if units == "imperial" else 0.0
    assert parse_length(format_length(mm, units)) == pytest.approx(mm, rel=6e-3, abs=slack + 1e-12)


@given(st.floats(0.5, 1e5))
def test_lengths_to_saw_are_the_nearest_thirty_second(mm: float) -> None:
    """Read back exactly: at most half of 1/32 in off, in lowest terms, and the same when shown again."""
    text = format_cut(mm, "imperial")
    assert re.fullmatch(r"(\d+|(\d+ )?\d+/(2|4|8|16|32|64)) in", text)
    number, unit = read_exact(text, LENGTH)
    assert unit == "in"
    assert abs(number - Fraction(mm) / Fraction("25.4")) <= Fraction(1, 64)
    assert format_cut(float(number * Fraction("25.4")), "imperial") == text


@given(st.integers(1, 10_000))
def test_sixty_fourths_that_are_meant_stay(steps: int) -> None:
    assert read_exact(format_cut(steps * 25.4 / 64, "imperial"), LENGTH)[0] == Fraction(steps, 64)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (90.0, "3 17/32 in"),
        (19.0, "3/4 in"),
        (25.4, "1 in"),
        (3.0, "1/8 in"),
        (153.0, "6 1/32 in"),
        (1.190625, "3/64 in"),
        (0.3, "0.0118 in"),
        (0.0, "0 in"),
    ],
)
def test_lengths_to_saw_by_hand(mm: float, text: str) -> None:
    assert format_cut(mm, "imperial") == text
    assert format_cut(mm, "metric") == format_length(mm, "metric")


@given(st.floats(1e-3, 1e8), st.sampled_from(["metric", "imperial"]))
def test_forces_come_back(newtons: float, units: Units) -> None:
    """To four digits."""
    assert parse(format_force(newtons, units), FORCE) == pytest.approx(newtons, rel=5.1e-4)


@given(st.floats(1e-3, 1e5))
def test_stresses_come_back(megapascals: float) -> None:
    """To three digits."""
    for units in ("metric", "imperial"):
        assert parse(format_stress(megapascals, units), STRESS) == pytest.approx(megapascals, rel=5.1e-3)


@given(st.floats(0.001, 5.0))
def test_shares_come_back(share: float) -> None:
    """To three digits."""
    assert parse_share(format_share(share)) == pytest.approx(share, rel=5.1e-3)


@given(st.floats(allow_nan=True, allow_infinity=True), st.integers(1, 6))
def test_significant_never_speaks_in_powers(value: float, digits: int) -> None:
    """No 1e+05 in a workshop; and the number is still the number."""
    text = significant(value, digits)
    if math.isfinite(value):
        assert "e" not in text
        assert float(text) == pytest.approx(value, rel=0.51 * 10 ** (1 - digits), abs=1e-300)
    assert text != "-0"


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (format_length(19.05, "imperial"), "3/4 in"),
        (format_length(38.1, "imperial"), "1 1/2 in"),
        (format_length(19.0, "imperial"), "3/4 in"),
        (format_length(0.1, "imperial"), "0.00394 in"),
        (format_length(0.0, "imperial"), "0 in"),
        (format_length(25.4, "imperial"), "1 in"),
        (format_length(19.0, "metric"), "19 mm"),
        (format_force(1234.4, "metric"), "1234 N"),
        (format_force(444.82216152605, "imperial"), "100 lbf"),
        (format_stress(10.0, "imperial"), "1450 psi"),
        (format_moment(106_100.0, "metric"), "106.1 N·m"),
        (format_moment(1_355_817.948, "imperial"), "1000 lbf·ft"),
    ],
)
def test_how_numbers_are_shown(shown: str, text: str) -> None:
    """A few in full."""
    assert shown == text
