"""Whatever a rig file holds, it is a rig or refused by the key that is wrong."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from glueline.studies.bench_day.rig.rig import joint_force, joint_force_uncertainty
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.commands import main
from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_tables import toml_value
from tests.studies.bench_day.rig.rig_files import PLATFORM, checks, write


@pytest.mark.parametrize(
    ("pairs", "says"),
    [
        (((10, 26.7), (10, 40.0)), "contradict each other"),
        (((10, 30.0), (20, 28.0)), "no more with more weight"),
        (((10, 58.97), (20, 103.06)), "kg and lb mixed up"),
        (((10, 12.13), (20, 21.2)), "kg and lb mixed up"),
        (((5, 16.8), (10, 40.0), (15, 37.0)), "contradict each other"),
    ],
)
def test_contradictory_weighings_are_refused(
    tmp_path: Path, pairs: tuple[tuple[float, float], ...], says: str
) -> None:
    with pytest.raises(InputError, match=says):
        read_rig(write(tmp_path, PLATFORM.replace('"0 %"', '"2 %"') + checks(*pairs)))


@pytest.mark.parametrize(
    ("old", "new", "key", "says"),
    [
        ('"hinged platform"', '"hinged plank"', "rig.kind", 'did you mean "hinged platform"'),
        ('"diagonal compression"', '"diagonal"', "rig.arrangement", "must be diagonal compression"),
        ('"400 mm"', "400", "rig.specimen_at", "has no unit"),
        ('"400 mm"', '"400"', "rig.specimen_at", "has no unit"),
        ('"400 mm"', '"-400 mm"', "rig.specimen_at", "above zero"),
        ('"400 mm"', '"0 mm"', "rig.specimen_at", "above zero"),
        ('"400 mm"', '"400 kg"', "rig.specimen_at", "where its unit should be"),
        ('"400 mm"', '"950 mm"', "rig.specimen_at", "beyond the platform"),
        ('"6 kg"', '"6 mm"', "rig.own_weight", "where its unit should be"),
        ('"6 kg"', '"-6 kg"', "rig.own_weight", "below zero"),
        ('own_weight = "6 kg"', "", "rig.own_weight", "is missing"),
        ('weights_at = "800 mm"', "", "rig.weights_at", "is missing"),
        ('kind = "hinged platform"', "", "rig.kind", "is missing"),
        ('"hinged platform"', '"press"', "rig.specimen_at", "belongs to a hinged platform"),
        ('position_error = "0 mm"', 'position_error = "150 mm"', "rig.position_error", "quarter"),
        ('weight_error = "0 %"', 'weight_error = "80 %"', "rig.weight_error", "too large"),
        ("position_error", "position_eror", "rig.position_eror", "did you mean position_error"),
        ('weight_error = "0 %"', 'length = "700 mm"', "rig.weights_at", "beyond the platform"),
    ],
)
def test_wrong_rigs_are_refused(tmp_path: Path, old: str, new: str, key: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read_rig(write(tmp_path, PLATFORM.replace(old, new)))
    assert any(problem.key == key and says in problem.message for problem in caught.value.problems)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe rig",
        b"[rig",
        b"rig = 3",
        b"[rigg]\nkind = 'press'",
        b"check = 3\n[rig]\nkind = 'press'",
    ],
)
def test_unreadable_rigs_are_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "rig.toml"
    path.write_bytes(content)
    with pytest.raises(InputError):
        read_rig(path)


@pytest.mark.parametrize(
    "entry", ['[[check]]\nstacked = "10 kg"', '[[check]]\nstacked = "10 kg"\nscale = "0 kg"', "check = [3]"]
)
def test_half_written_checks_are_refused(tmp_path: Path, entry: str) -> None:
    text = entry + PLATFORM if entry.startswith("check =") else PLATFORM + entry
    with pytest.raises(InputError, match="check"):
        read_rig(write(tmp_path, text))


VALUES = st.one_of(
    st.text(max_size=20),
    st.sampled_from(
        ["0 kg", "1 kg", "1e9 kg", "400 mm", "0.001 mm", "5 N", "50 %", "0 %", "press", "1/0 in"]
    ),
    st.builds("{:.6g} {}".format, st.floats(-1e7, 1e7), st.sampled_from(["kg", "lb", "mm", "in", "N", "%"])),
    st.integers(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.booleans(),
    st.lists(st.integers(), max_size=2),
)
KEYS = ["kind", "arrangement", "specimen_at", "weights_at", "centre_at", "own_weight", "length"]
KEYS += ["position_error", "weight_error", "specimen_weight", "scale_step", "scale_error", "other"]


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=4),
    st.lists(st.dictionaries(st.sampled_from(["stacked", "scale", "more"]), VALUES, max_size=2), max_size=5),
)
def test_whatever_is_written_is_a_rig_or_refused(
    tmp_path: Path, values: dict[str, object], entries: list[dict[str, object]]
) -> None:
    lines = dict(line.split(" = ", 1) for line in PLATFORM.strip().splitlines()[1:])
    lines |= {key: toml_value(value) for key, value in values.items()}
    text = "[rig]\n" + "".join(f"{key} = {value}\n" for key, value in lines.items())
    for entry in entries:
        text += "[[check]]\n" + "".join(f"{key} = {toml_value(value)}\n" for key, value in entry.items())
    try:
        rig = read_rig(write(tmp_path, text))
    except InputError:
        return
    forces = np.append(joint_force(rig, [0.0, 100.0]), joint_force_uncertainty(rig, [0.0, 100.0]))
    assert np.isfinite(forces).all()
    assert (forces >= 0).all()


def test_the_command_refuses_with_status_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, PLATFORM.replace('"400 mm"', "400"))
    assert main(["rig", path]) == 2
    assert main(["rig", str(tmp_path / "nowhere.toml")]) == 2
    assert main(["rig", write(tmp_path, PLATFORM), "--up-to", "40"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "rig.specimen_at = 400" in printed.err
    assert "no such file" in printed.err
