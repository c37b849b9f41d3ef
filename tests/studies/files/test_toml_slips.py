"""Slips of a maker in a TOML file: each answered with its line, what is wrong, and a line that is right."""

from __future__ import annotations

import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_slips import slips_in
from glueline.studies.files.toml_tables import LARGEST_FILE
from tests.studies.command_lines import glueline

SLIPS = [
    # the line, a word of what is said, the line that is right
    ("thickness = “19 mm”", "curly", 'thickness = "19 mm"'),
    ("wood = ‘hard maple’", "curly", "wood = 'hard maple'"),
    ('wood = "hard maple”', "curly", 'wood = "hard maple"'),
    ("thickness = “7/8””", "inch mark", 'thickness = "7/8 in"'),
    ("thickness =\u00a0“19 mm”  # ours", "curly", 'thickness = "19 mm"  # ours'),
    ('thickness\u00a0= "19 mm"', "no plain one", 'thickness = "19 mm"'),
    ('thickness = "19 mm', "no quote at its end", 'thickness = "19 mm"'),
    ('wood = "hard maple   # from the shed', "no quote at its end", 'wood = "hard maple"'),
    ("wood = 'hard maple", "no quote at its end", 'wood = "hard maple"'),
    ('wood = hard maple"', "no quote at the start", 'wood = "hard maple"'),
    ("thickness = 7/8 in", "no quotes", 'thickness = "7/8 in"'),
    ("thickness = 19mm   # planed", "no quotes", 'thickness = "19mm"'),
    ("thickness = 19,5 mm", "no quotes", 'thickness = "19.5 mm"'),
    ("moisture = 12 %", "no quotes", 'moisture = "12 %"'),
    ("wood = hard maple", "no quotes", 'wood = "hard maple"'),
    ("thickness = 7/8", "nor a unit", 'thickness = "7/8 in"'),
    ("leg = 6 1/2", "nor a unit", 'leg = "6 1/2 in"'),
    ('thickness = "7/8""', "inch mark", 'thickness = "7/8 in"'),
    ('thickness = 7/8"', "inch mark", 'thickness = "7/8 in"'),
    ('leg = "1 1/2""  # long', "inch mark", 'leg = "1 1/2 in"'),
    ('thickness = "7/8" in', "both ends", 'thickness = "7/8 in"'),
    ('thickness = "19 mm",', "stray comma", 'thickness = "19 mm"'),
    ("fingers = 5,", "stray comma", "fingers = 5"),
    ("fingers = 5;", "stray semicolon", "fingers = 5"),
    ("thickness = 7/8 in,", "stray comma", 'thickness = "7/8 in"'),
    ('kind: "finger"', "colon", 'kind = "finger"'),
    ("kind: finger", "colon", 'kind = "finger"'),
    ('kind "finger"', "no =", 'kind = "finger"'),
    ("through = Yes", "true or false", "through = true"),
    ('spline wood = "cherry"', "space", 'spline_wood = "cherry"'),
    ('wood = "C:\\Users\\us\\our maple.toml"', "backslashes", 'wood = "C:/Users/us/our maple.toml"'),
    ("[boards", "]", "[boards]"),
    ("[boards]:", "brackets", "[boards]"),
    ("[glue.surfaces.finger cheeks]", "quotes", '[glue.surfaces."finger cheeks"]'),
]


@pytest.mark.parametrize(("line", "said", "right"), SLIPS, ids=[line for line, _, _ in SLIPS])
def test_a_slip_is_shown_with_what_would_be_right(line: str, said: str, right: str) -> None:
    """The line, one complaint, and a line that is TOML."""
    (slip,) = slips_in(f"# ours\n\n{line}\n")
    assert (slip.line, slip.right) == (3, right)
    assert said in slip.wrong
    assert f"write `{right}`" in str(slip)
    assert tomllib.loads(right)


def test_every_slip_of_a_file_is_said_at_once(tmp_path: Path) -> None:
    """One line each: file, line, what stands there, what would be right; the file itself stays as it is."""
    file = tmp_path / "drawer.toml"
    text = example_path("finger").read_text(encoding="utf-8")
    text = text.replace('kind = "finger"', 'kind: "finger"').replace('"19 mm"', "“19 mm”")
    text = text.replace('"hard maple"', "hard maple")
    file.write_text(text, encoding="utf-8")
    outcome = glueline("predict", file.name, folder=tmp_path)
    assert outcome.returncode == 2
    lines = outcome.stderr.splitlines()
    assert [line.partition("; write ")[2] for line in lines] == [
        '`kind = "finger"`',
        '`thickness = "19 mm"`',
        '`wood = "hard maple"`',
    ]
    numbers = [text.splitlines().index(slip) + 1 for slip in ('kind: "finger"', "thickness = “19 mm”")]
    assert [line.split(": ")[:2] for line in lines][:2] == [
        ["drawer.toml", f"line {number}"] for number in numbers
    ]
    assert file.read_text(encoding="utf-8") == text


def test_a_file_put_right_line_by_line_reads(tmp_path: Path) -> None:
    """What is told to be written is what the reader takes."""
    text = example_path("butt").read_text(encoding="utf-8")
    slips = {'"19 mm"': '"3/4""', '"90 mm"': "90 mm", "[load]": "[load", '"flat"': "flat"}
    for right, wrong in slips.items():
        text = text.replace(right, wrong)
    lines = text.splitlines()
    found = slips_in(text)
    assert len(found) == len(slips)
    for slip in found:
        assert slip.right is not None
        lines[slip.line - 1] = slip.right
    file = tmp_path / "butt.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    assert read_specimen(file).boards.thickness == pytest.approx(19.05)


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ('[joint]\nkind = "butt"\nkind = "mitre"\n', 3, "one of the two lines"),
        ('[joint]\nkind = "butt"\n[boards]\n[joint]\n', 4, "further up already"),
        ("what we broke on Saturday\n", 1, '`kind = "finger"`'),
        ('x = """\nno end', 2, "cannot be read as TOML"),
        ('check = [1,\nkind = "butt"\n', 2, ""),
        ("x = " + "9 " * 40_000, 1, "cannot be read as TOML"),
    ],
)
def test_what_has_no_single_repair_is_shown_with_its_line(text: str, line: int, said: str) -> None:
    """Twice the same, plain prose, something left open."""
    slips = slips_in(text)
    assert slips[0].line == line
    assert said in str(slips[0])


@pytest.mark.parametrize("letters", ["a ", "a: ", " #", '"', "[", "=", "é", "“"])
def test_long_lines_and_many_slips_take_no_time(letters: str) -> None:
    """The largest file there may be, in one line and in many: seconds at most."""
    start = time.perf_counter()
    for text in (letters * (LARGEST_FILE // len(letters)), f"{letters}\n" * (LARGEST_FILE // 4)):
        slips_in(text)
    assert time.perf_counter() - start < 10.0


@given(st.text(alphabet="ab1/2 =\"'[]:,.#\n“”½\\", max_size=60))
def test_any_text_ends_in_slips_or_none(text: str) -> None:
    """A text that is no TOML has a slip, one that is has none; every repair is TOML in one line."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        slips = slips_in(text)
        assert slips
        for slip in slips:
            assert slip.right is None or (tomllib.loads(slip.right) and "\n" not in slip.right)
    else:
        assert slips_in(text) == []


def test_rigs_and_own_glues_are_read_the_same_way(tmp_path: Path) -> None:
    """Every TOML file is."""
    from glueline.studies.bench_day.rig.rig_file import read_rig

    file = tmp_path / "rig.toml"
    file.write_text('[rig]\nkind = "hinge"\narrangement = “diagonal compression”\n', encoding="utf-8")
    with pytest.raises(InputError, match="curly"):
        read_rig(file)
    file.write_text('[rig]\nkind = "hinge"\narrangement = "diagonal compression"\n', encoding="utf-8")
    with pytest.raises(InputError, match='did you mean "hinged platform"'):
        read_rig(file)
