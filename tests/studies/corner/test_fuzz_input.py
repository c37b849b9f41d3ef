"""Whatever a file or a change holds, it is either a specimen or an InputError that can be read."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.failures import InputError
from glueline.studies.files.key_changes import known_keys
from glueline.studies.files.toml_tables import toml_key, toml_value
from tests.fuzz.mutations import AWKWARD
from tests.studies.makers_folder import LONG_NUMBERS

VALID = [example_path(name).read_bytes() for name in EXAMPLES]
TIMES = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))

LONG = LONG_NUMBERS["hexadecimal"]
FURTHER = ("0x" + "f" * 400, f"-{LONG}", f"[{LONG}]", f"{{a.b = {LONG}}}", "9" * 4500)
awkward = st.sampled_from([*AWKWARD, *LONG_NUMBERS.values(), *FURTHER])
scalars = st.one_of(
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.dates(),
    st.lists(st.integers(), max_size=2),
)
quantities = st.builds(
    lambda number, unit: f'"{number} {unit}"',
    st.one_of(st.integers(-10, 2000), st.floats(-1e3, 1e7), st.fractions(0, 100)),
    st.sampled_from(["mm", "cm", "m", "in", "ft", "%", "N", "", "mn"]),
)
values = st.one_of(awkward, quantities, scalars.map(toml_value))
keys = st.one_of(st.sampled_from(known_keys()), st.text(max_size=12))


@pytest.fixture(scope="module")
def path() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder) / "corner.toml"


def outcome(path: Path, content: bytes, changes: list[tuple[str, str]]) -> Specimen | None:
    """The specimen, or None for an InputError; everything else fails the test."""
    path.write_bytes(content)
    try:
        return read_specimen(path, changes)
    except InputError as error:
        lines = str(error).split("\n")
    assert all(line.isprintable() and ": " in line for line in lines)
    return None


@TIMES
@given(st.one_of(st.binary(max_size=300), st.text(max_size=300).map(lambda text: text.encode("utf-8"))))
def test_any_bytes(path: Path, content: bytes) -> None:
    outcome(path, content, [])


@TIMES
@given(st.data())
def test_valid_files_with_bytes_changed(path: Path, data: st.DataObject) -> None:
    content = bytearray(data.draw(st.sampled_from(VALID)))
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(content) - 1))
        end = start + data.draw(st.integers(0, 6))
        marks = st.sampled_from([b"0", b'"', b"-", b"\n"])
        content[start:end] = data.draw(st.one_of(st.binary(max_size=4), marks))
        if not content:
            break
    outcome(path, bytes(content), [])


@TIMES
@given(st.data())
def test_valid_files_with_values_changed(path: Path, data: st.DataObject) -> None:
    lines = data.draw(st.sampled_from(VALID)).decode().splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        index = data.draw(st.sampled_from([i for i, line in enumerate(lines) if "=" in line]))
        key = lines[index].partition("=")[0]
        lines[index] = f"{key}= {data.draw(values)}"
    if data.draw(st.booleans()):
        lines.append(f"{toml_key(data.draw(st.text(max_size=9)))} = {data.draw(values)}")
    outcome(path, "\n".join(lines).encode("utf-8", "surrogatepass"), [])


@TIMES
@given(
    st.sampled_from(VALID),
    st.lists(st.tuples(keys, st.one_of(values, st.text(max_size=20))), min_size=1, max_size=3),
)
def test_any_changes(path: Path, content: bytes, changes: list[tuple[str, str]]) -> None:
    found = outcome(path, content, changes)
    if found is not None:
        again = outcome(path, specimen_toml(found).encode(), [])
        assert again is not None
        assert (again.joint, again.boards, again.moisture) == (found.joint, found.boards, found.moisture)


@TIMES
@given(st.data())
def test_any_wood_or_glue_file(path: Path, data: st.DataObject) -> None:
    own = ["like", "name", "density", "stiffness", "sag", "quality"]
    own += ["side_grain", "sources", "crossed", "softening"]
    lines = [
        f"{toml_key(data.draw(st.one_of(st.sampled_from(own), st.text(max_size=6))))} = {data.draw(values)}"
        for _ in range(data.draw(st.integers(0, 4)))
    ]
    if data.draw(st.booleans()):
        lines.insert(0, 'like = "pva"')
    if data.draw(st.booleans()):
        lines.insert(0, 'like = "white oak"')
    table = data.draw(st.sampled_from(["sag", "end_grain", "sources", "crossed", ""]))
    if table:
        inside = st.sampled_from(["span", "weight", "thickness", "sag", "cov", "shear_strength", "low"])
        lines += [f"[{table}]", *(f"{key} = {data.draw(values)}" for key in data.draw(st.sets(inside)))]
    mine = path.parent / "mine.toml"
    mine.write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))
    outcome(path, VALID[0], [("glue.kind", str(mine))])
    outcome(path, VALID[0], [("boards.wood", str(mine))])
