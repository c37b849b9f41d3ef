"""Reading the log of a bench day: every mistake at once, in the maker's words."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from glueline.studies.bench_day.log.log_file import read_log
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.files.csv_text import harmless
from glueline.studies.files.failures import MOST_SHOWN, InputError
from glueline.studies.files.units import N_PER_LBF, STANDARD_GRAVITY
from tests.studies.bench_day.bench_logs import HEADER, RIG, rows_of, write_log
from tests.studies.makers_folder import check_words

GOOD = rows_of("butt", "butt", [(400, 450), (450, 500)])


def refused(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_log(path, force=True)
    check_words(caught.value)
    return str(caught.value)


def row(**cells: object) -> tuple[object, ...]:
    good = dict(zip(HEADER, ("butt.toml", "butt", 400, 450, "N", "glue", ""), strict=True))
    return tuple({**good, **cells}.values())


def test_rows_become_forces_between_bounds(tmp_path: Path) -> None:
    rows = [row(), row(held=""), row(broke="", failure=""), row(held="1/2", broke="3 1/4")]
    log = read_log(write_log(tmp_path, rows), force=True)
    assert [(each.lower, each.upper) for each in log.breaks] == [
        (400, 450),
        (0, 450),
        (400, math.inf),
        (0.5, 3.25),
    ]
    assert log.specimens == (str(tmp_path / "butt.toml"),)
    assert log.breaks[2].failure == ""
    assert [each.line for each in log.breaks] == [2, 3, 4, 5]


@pytest.mark.parametrize(
    ("unit", "newtons"), [("N", 1.0), ("kN", 1000.0), ("lbf", N_PER_LBF), ("kg", float(STANDARD_GRAVITY))]
)
def test_units(tmp_path: Path, unit: str, newtons: float) -> None:
    log = read_log(write_log(tmp_path, [row(held=1, broke=2, unit=unit)]), force=True)
    assert log.breaks[0].upper == pytest.approx(2 * newtons, rel=1e-12)


def test_with_a_rig_loads_are_stacked_weights_and_its_preload_counts(tmp_path: Path) -> None:
    """By hand: (w 600 + 6 kg 350) / 400 mm; a blank held says nothing, a held of 0 the preload."""
    (tmp_path / "rig.toml").write_text(RIG)
    header = (*HEADER, "cracked")
    rows = [
        (*row(held=20, broke=22.5, unit="kg"), 21),
        (*row(held=0, broke=5, unit="kg"), ""),
        (*row(held="", broke=5, unit="kg"), ""),
    ]
    log = read_log(write_log(tmp_path, rows, header), read_rig(tmp_path / "rig.toml"))
    g = float(STANDARD_GRAVITY)
    first, zero, blank = log.breaks
    assert first.lower == pytest.approx((20 * 600 + 6 * 350) / 400 * g)
    assert first.upper == pytest.approx((22.5 * 600 + 6 * 350) / 400 * g)
    assert first.cracked == pytest.approx((21 * 600 + 6 * 350) / 400 * g)
    assert zero.lower == pytest.approx(6 * 350 / 400 * g)
    assert blank.lower == 0


def test_rows_not_broken_yet_are_left_out_and_that_is_said(tmp_path: Path) -> None:
    rows = [row(), row(held="", broke="", failure="", notes="butt 2"), row(held="", broke="", failure="")]
    log = read_log(write_log(tmp_path, rows), force=True)
    assert len(log.breaks) == 1
    assert "2 rows say nothing of a break yet" in log.notes[0]
    assert "no break yet" in refused(write_log(tmp_path, rows[1:]))


def test_labels_that_differ_in_case_or_spaces_are_one(tmp_path: Path) -> None:
    log = read_log(write_log(tmp_path, [row(label="Nine fingers"), row(label=" nine  FINGERS ")]), force=True)
    assert list(log.by_label()) == ["Nine fingers"]
    assert 'the label "nine FINGERS" is taken for "Nine fingers"' in log.notes


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"held": 500}, "line 2: held = 500: must lie below broke = 450"),
        ({"held": 450}, "must lie below broke"),
        ({"held": "", "broke": ""}, "held and broke: are both blank"),
        ({"held": -5}, "is below zero"),
        ({"broke": 0, "held": ""}, "must be above zero"),
        ({"held": "400 N"}, "must be a number alone"),
        ({"held": "400,5"}, "has a comma; write decimals with a point"),
        ({"held": "nan"}, "must be a number alone"),
        ({"held": "=B2*2"}, "is a formula: write its value"),
        ({"broke": "1e9"}, "must be a number alone"),
        ({"broke": "99999999999"}, "is too large to be meant"),
        ({"unit": ""}, "unit: is blank: loads are in"),
        ({"unit": "stone"}, "unit = stone: is not a unit of load"),
        ({"failure": "glu"}, "did you mean glue?"),
        ({"failure": "yes"}, "must be glue, wood, both, fastener or left blank"),
        ({"specimen": "nowhere.toml"}, "specimen = nowhere.toml: no such specimen file"),
        ({"specimen": ""}, "specimen: is blank"),
        ({"specimen": "."}, "no such specimen file"),
        ({"specimen": "a\x00b"}, "no such specimen file"),
        ({"label": " "}, "label: is blank"),
        ({"label": "x" * 81}, "at most 80"),
    ],
)
def test_wrong_cells(tmp_path: Path, cells: dict[str, object], words: str) -> None:
    assert words in refused(write_log(tmp_path, [row(**cells)]))


def test_everything_wrong_is_said_at_once_but_not_without_end(tmp_path: Path) -> None:
    message = refused(write_log(tmp_path, [row(held=500), row(unit="", failure="glu"), row(label="")]))
    assert [f"line {line}:" in message for line in (2, 3, 4)] == [True] * 3
    many = refused(write_log(tmp_path, [row(held=500)] * 3000))
    assert f"and {3000 - MOST_SHOWN} more such problems" in many
    assert many.count("\n") == MOST_SHOWN


def test_mixed_units_are_refused(tmp_path: Path) -> None:
    message = refused(write_log(tmp_path, [row(), row(unit="lbf")]))
    assert "units: are mixed: N (line 2), lbf (line 3)" in message


@pytest.mark.parametrize(
    ("header", "words"),
    [
        (HEADER[:-1], "has no column notes"),
        (("specimen;label;held;broke;unit;failure;notes",), "must be parted by commas"),
        ((*HEADER, "held"), "held: is there twice"),
        ((*HEADER, "craked"), "did you mean cracked?"),
    ],
)
def test_wrong_columns(tmp_path: Path, header: tuple[str, ...], words: str) -> None:
    assert words in refused(write_log(tmp_path, [(*row(), "")[: len(header)]], header))


def test_columns_in_another_order_and_case(tmp_path: Path) -> None:
    header = ("Label", "SPECIMEN", "notes", "failure", "unit", "Broke", "Held")
    path = write_log(tmp_path, [("butt", "butt.toml", "", "wood", "N", 450, 400)], header)
    log = read_log(path, force=True)
    assert (log.breaks[0].lower, log.breaks[0].upper, log.breaks[0].failure) == (400, 450, "wood")


def test_files_that_are_no_log(tmp_path: Path) -> None:
    path = write_log(tmp_path, GOOD)
    good = path.read_bytes()
    path.write_bytes(b"\xef\xbb\xbf" + good)
    assert len(read_log(path, force=True).breaks) == 2
    path.write_bytes(good.replace(b"\r\n", b"\r"))
    assert len(read_log(path, force=True).breaks) == 2
    for content, words in (
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        (good.decode().encode("utf-16"), "is not UTF-8"),
        (good + b'butt.toml,"butt,400,450,N,glue,\n', "is not valid CSV"),
        (good + b"butt.toml,butt,400,450,N,glue,one, two\n", "has 8 cells where the first line names 7"),
        (b",".join(name.encode() for name in HEADER), "holds no break yet"),
    ):
        path.write_bytes(content)
        assert words in refused(path)
    assert "no such file" in refused(tmp_path / "none.csv")
    assert "is a directory" in refused(tmp_path)


def test_formulas_in_text_are_read_as_they_were_meant(tmp_path: Path) -> None:
    log = read_log(write_log(tmp_path, [row(label=harmless("=1+1"), notes=harmless("@home"))]), force=True)
    assert (log.breaks[0].label, log.breaks[0].notes) == ("=1+1", "@home")


@given(st.binary(max_size=300) | st.text(max_size=200).map(str.encode))
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_follows_a_good_header_is_read_or_refused(tmp_path: Path, rest: bytes) -> None:
    path = write_log(tmp_path, GOOD)
    path.write_bytes(path.read_bytes() + rest)
    try:
        read_log(path, force=True)
    except InputError as error:
        check_words(error)
