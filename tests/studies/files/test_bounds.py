"""What is read has an end, and so has what is said about it: a plain refusal that names the limit."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import MOST_SHOWN, InputError
from glueline.studies.files.toml_tables import DEEPEST, LARGEST_FILE, MOST_DIGITS, MOST_DOTS, parse_toml
from tests.studies.command_lines import glueline
from tests.studies.makers_folder import FINGER, LONG_NUMBERS, MakersFolder, changed, check_words, one


@pytest.mark.parametrize("number", LONG_NUMBERS.values(), ids=list(LONG_NUMBERS))
@pytest.mark.parametrize(
    "key", ["boards.thickness", "boards.wood", "joint.fingers", "glue.quality", "glue.colour"]
)
def test_numbers_of_thousands_of_digits(key: str, number: str, makers_folder: MakersFolder) -> None:
    """In a file they are named with their key; typed they are text, and what would be right is said."""
    table, _, name = key.partition(".")
    makers_folder.write_text(f"[{table}]\n{name} = {number}\n")
    problem = one(makers_folder.wrong_file(makers_folder.file))
    assert (problem.key, str(MOST_DIGITS) in problem.message) == (key, True)
    assert problem.value is not None
    assert problem.value.startswith("0xfff" if number[1] != "o" else "0x")
    makers_folder.write(FINGER)
    assert all(each.key == f"--set {key}" for each in makers_folder.wrong(FINGER, [(key, number)]))


@pytest.mark.parametrize("number", LONG_NUMBERS.values(), ids=list(LONG_NUMBERS))
def test_numbers_of_thousands_of_digits_in_other_files(number: str, makers_folder: MakersFolder) -> None:
    """Glue, wood and rig files, in tables, in lists and as text; through the command line too."""
    own = makers_folder.folder / "mine.toml"
    for text in (
        f"quality = {number}",
        f"[sag]\nspan = {number}",
        f"a = [[1, {number}]]",
        f"[x.y]\nz = {number}",
    ):
        own.write_text(f'like = "pva"\n{text}\n', encoding="utf-8")
        for key in ("glue.kind", "boards.wood"):
            problem = one(makers_folder.wrong(FINGER, [(key, str(own))]))
            assert problem.file == str(own)
            assert str(MOST_DIGITS) in problem.message
        with pytest.raises(InputError, match=str(MOST_DIGITS)):
            read_rig(own)
    makers_folder.write_text(f"[boards]\nthickness = {number}\n")
    done = glueline("predict", str(makers_folder.file))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{makers_folder.file}: boards.thickness = 0x")
    assert done.stderr.count("\n") == 1


def test_numbers_that_python_will_not_even_read(makers_folder: MakersFolder) -> None:
    """Its own message tells of settings of the interpreter."""
    makers_folder.write_text(f"[boards]\nthickness = {'9' * 5000}\n")
    message = one(makers_folder.wrong_file(makers_folder.file)).message
    assert str(MOST_DIGITS) in message
    assert "sys." not in message


ENDLESS = {
    "long header": (f"[{'.'.join('a' * 100_000)}]\n", LARGEST_FILE // 1000),
    "header": (f"[{'.'.join('a' * 49_000)}]\n", MOST_DOTS),
    "quoted header": ("[" + '"a".' * 24_000 + "a]\n", MOST_DOTS),
    "key": (f"{'.'.join('a' * 49_000)} = 1\n", MOST_DOTS),
    "in a list": (f"x = [{{{'.'.join('a' * 40_000)} = 1}}]\n", MOST_DOTS),
    "many headers": ("".join(f"[a{each}{'.b' * 150}]\n" for each in range(300)), DEEPEST),
    "brackets": ("x = " + "[" * 40_000, DEEPEST),
    "brackets closed": (f"x = {'[' * 50}{']' * 50}\n", DEEPEST),
    "tables in tables": (f"x = {'{a = ' * 50}1{'}' * 50}\n", DEEPEST),
    "too large": ("#" * (LARGEST_FILE + 1), LARGEST_FILE // 1000),
}
"""A specimen file's text, and the limit that its refusal names. The first took 15 s."""


@pytest.mark.parametrize(("text", "limit"), ENDLESS.values(), ids=list(ENDLESS))
def test_files_made_to_take_long(text: str, limit: int, makers_folder: MakersFolder) -> None:
    makers_folder.write_text(text)
    started = time.process_time()
    problem = one(makers_folder.wrong_file(makers_folder.file))
    assert time.process_time() - started < 2.0
    assert str(limit) in problem.message


def test_what_is_just_within_the_limits_is_read() -> None:
    deep = "[" * (DEEPEST - 1) + "]" * (DEEPEST - 1)
    assert parse_toml(f"x = {deep}")
    assert parse_toml(f'x = "{"." * MOST_DOTS}"') == {"x": "." * MOST_DOTS}
    assert parse_toml(f"x = {'9' * MOST_DIGITS}") == {"x": int("9" * MOST_DIGITS)}


def test_a_change_that_is_made_to_take_long(makers_folder: MakersFolder) -> None:
    """A dotted key inside an inline table, as --set might be given it."""
    started = time.process_time()
    makers_folder.wrong(FINGER, [("boards.wood", f"{{{'.'.join('a' * 50_000)} = 1}}")])
    assert time.process_time() - started < 1.0


def test_twenty_problems_are_listed_and_the_rest_counted(makers_folder: MakersFolder) -> None:
    """Whichever file has them; the error itself keeps all."""
    many = "\n".join(f"k{each} = 1" for each in range(5000))
    makers_folder.write_text(f"{many}\n")
    with pytest.raises(InputError) as caught:
        read_specimen(makers_folder.file)
    check_words(caught.value)
    done = glueline("predict", str(makers_folder.file))
    lines = done.stderr.splitlines()
    assert (done.returncode, len(lines)) == (2, MOST_SHOWN + 1)
    assert (
        lines[-1] == f"{makers_folder.file}: and {len(caught.value.problems) - MOST_SHOWN} more such problems"
    )
    wrong = [word for each in range(30) for word in ("--set", f"boards.k{each}=1")]
    done = glueline("predict", str(example_path("butt")), *wrong)
    assert len(done.stderr.splitlines()) == MOST_SHOWN + 1
    assert done.stderr.endswith("and 10 more such problems\n")


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("quality", "0.99 %", "at least 0.01 (1 %)"),
        ("coverage", "0.000001 %", "at least 0.01 (1 %)"),
        ("gap", "0.0049 mm", "0 mm, which is a close joint, or at least 0.005 mm"),
        ("gap", "0.0000001 in", "at least 0.005 mm"),
    ],
)
def test_least_values_of_workmanship(key: str, value: str, said: str, makers_folder: MakersFolder) -> None:
    """Those of a glue file: its quality and its film have the same ones."""
    for dotted in (f"glue.{key}", f"glue.surfaces.finger cheeks.{key}"):
        problem = one(makers_folder.wrong(FINGER, [(dotted, value)]))
        assert (problem.key, problem.value) == (f"--set {dotted}", value)
        assert said in problem.message
    least = {"quality": "1 %", "coverage": "1 %", "gap": "0.005 mm"}[key]
    made = makers_folder.read(FINGER, [(f"glue.{key}", least)]).workmanship
    assert getattr(made, key) == pytest.approx(0.005 if key == "gap" else 0.01, rel=1e-12)


def test_a_whole_table_typed_as_one_change(makers_folder: MakersFolder) -> None:
    problem = one(makers_folder.wrong(FINGER, [("load", "{a=1}")]))
    assert "is a whole table" in problem.message
    assert "load.arrangement" in problem.message


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('stiffness = "3 GPa"', "between 6.15 and 24.6 GPa"),  # half and twice the table's 12.3 GPa
        ('stiffness = "800000 psi"', "psi"),
        ('density = "0.2 g/cm3"', "g/cm3"),
    ],
)
def test_a_wood_s_own_measure_comes_back_as_typed(line: str, said: str, makers_folder: MakersFolder) -> None:
    own = makers_folder.folder / "oak.toml"
    own.write_text(f'like = "white oak"\n{line}\n', encoding="utf-8")
    problem = one(makers_folder.wrong(changed(FINGER, boards__wood="oak.toml")))
    assert f"{problem.key} = {problem.value}" == line
    assert said in problem.message
    assert "half to twice" in problem.message


def test_the_sag_of_a_board_comes_back_as_typed(makers_folder: MakersFolder) -> None:
    own = makers_folder.folder / "oak.toml"
    measures = 'span = "4 in"\nweight = "10 kg"\nsag = "3 mm"\nthickness = "3/4 in"\nwidth = "90 mm"\n'
    own.write_text(f'like = "white oak"\n[sag]\n{measures}', encoding="utf-8")
    problem = one(makers_folder.wrong(changed(FINGER, boards__wood="oak.toml")))
    assert 'span = "4 in"' in problem.message
    assert "101.6" not in problem.message


def test_a_wood_file_where_no_record_can_name_it(makers_folder: MakersFolder) -> None:
    """A record names it in UTF-8: better said before than after the work."""
    folder = makers_folder.folder / b"caf\xe9".decode("utf-8", "surrogateescape")
    try:
        folder.mkdir()
    except OSError:
        pytest.skip("this disk has no such names")
    (folder / "oak.toml").write_text('like = "white oak"\ndensity = "700 kg/m3"\n', encoding="utf-8")
    problem = one(makers_folder.wrong(FINGER, [("boards.wood", str(folder / "oak.toml"))]))
    assert "UTF-8" in problem.message


def test_a_log_of_nothing_but_commas(tmp_path: Path) -> None:
    log = tmp_path / "bench.csv"
    log.write_text(",,,,,,\n,,\n", encoding="utf-8")
    done = glueline("bench", str(log))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{log}: holds nothing but commas")
    assert done.stderr.count("\n") == 1


def test_a_cell_that_never_ends(tmp_path: Path) -> None:
    log = tmp_path / "bench.csv"
    log.write_text(
        f"specimen,label,held,broke,unit,failure,notes\na,b,1,2,kg,,{'x' * 140_000}\n", encoding="utf-8"
    )
    done = glueline("bench", str(log))
    assert done.returncode == 2
    assert done.stderr == (
        f"{log}: line 2: has a cell of more than 131072 letters: close each quote, or shorten the text\n"
    )
