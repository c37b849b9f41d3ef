"""glueline bench as a command: what it keeps, prints, writes and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from glueline.studies.bench_day.comparison.bench_report import write_bench, written_bench
from glueline.studies.bench_day.expected import KeptAnswer
from glueline.studies.commands import main
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.json_text import json_text
from tests.studies.bench_day.bench_logs import RIG, rows_of, write_log
from tests.studies.bench_day.comparison.bench_days import BUTT, FINGER, MITRE, PREDICTED, compared, joint
from tests.studies.command_lines import called


def test_the_command_predicts_each_file_once_and_keeps_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_log(tmp_path, [*BUTT, *rows_of("butt", "again", [(300, 400), (400, 500)]), *MITRE])
    out = tmp_path / "out"
    done = called(capsys, "bench", path, "--force", "--method", "elastic", "--json", "--out", out)
    assert done.returncode == 0
    found = json.loads(done.stdout)
    assert json.loads((out / "bench.json").read_text()) == found
    assert found["method"] == "elastic"
    assert found["in_band"] is None
    assert sorted(each.name for each in out.iterdir()) == [
        "answers",
        "bench.json",
        "bench.manifest.json",
        "bench_page.json",
        "bench_provenance.json",
        "bench_ranking.png",
        "breaks.csv",
        "joints.csv",
        "parity.png",
    ]
    assert len(list((out / "answers").iterdir())) == 2

    def never(*_: object, **__: object) -> None:
        raise AssertionError("predicted again")

    monkeypatch.setattr("glueline.studies.predict.predictor.predict_request", never)
    again = called(capsys, "bench", path, "--force", "--method", "elastic", "--json", "--out", out)
    assert again.stdout == done.stdout


def test_the_command_for_people(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_log(tmp_path, [*BUTT, *MITRE])
    done = called(capsys, "bench", path, "--force", "--method", "elastic", "--units", "imperial")
    assert done.returncode == 0
    assert "mitre holds more than butt" in done.stdout
    assert "local codes and licensed practice decide that" in done.stdout
    assert "safe" not in done.stdout.lower()


def test_wrong_logs_and_rigs_exit_with_two(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_log(tmp_path, BUTT)
    (tmp_path / "rig.toml").write_text(RIG.replace("diagonal compression", "apex press"))
    (tmp_path / "wrong.toml").write_text("[joint]\nkind = 'finger'\n")
    wrong = tmp_path / "wrong.csv"
    wrong.write_text(path.read_text().replace("butt.toml", "wrong.toml"))
    for words, message in (
        (("bench", tmp_path / "none.csv"), "no such file"),
        (("bench", path, "--rig", tmp_path / "none.toml"), "no such file"),
        (("bench", path, "--rig", tmp_path / "rig.toml"), "does not fit the rig"),
        (("bench", path, "--force", "--element-size", "0.01 mm"), "--element-size"),
        (("bench", path, "--force", "--set", "joint.kind"), "--set"),
        (("bench", wrong, "--force"), "boards.thickness"),
        (("bench", path, "--force", "--out", path), "is a file"),
    ):
        done = called(capsys, *words)
        assert (done.returncode, done.stdout) == (2, "")
        assert message in done.stderr
        assert "Traceback" not in done.stderr


def test_a_calibrated_glue_is_said_to_be_circular(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from glueline.materials import find_glue, glue_to_tables
    from glueline.studies.files.toml_tables import toml_text

    path = write_log(tmp_path, BUTT)
    tables = {**glue_to_tables(find_glue("pva")), "name": "mine", "calibrated": "from the butts of log.csv"}
    (tmp_path / "mine.toml").write_text(toml_text(tables))
    ours = f"glue.kind={tmp_path / 'mine.toml'}"
    done = called(capsys, "bench", path, "--force", "--method", "elastic", "--set", ours)
    assert done.returncode == 0
    assert "was itself set from breaks: from the butts of log.csv" in done.stdout


def test_limits_that_limit_little_are_said_and_do_not_push_a_picture_together(tmp_path: Path) -> None:
    found = compared(tmp_path, [*rows_of("butt", "butt", [(400, 450), (500, ""), (500, "")]), *MITRE])
    each = joint(found, "butt")
    assert each.limits is not None
    assert each.limits[1] > 10_000
    assert "hardly limit the mean" in " ".join(each.remarks)
    write_bench(found, tmp_path, "metric")
    with Image.open(tmp_path / "bench_ranking.png") as picture:
        pixels = np.asarray(picture.convert("RGB")).astype(int)
    blue = np.abs(pixels - (0, 114, 178)).max(axis=2) < 12
    mitre_row = blue[150:420]
    assert np.ptp(np.nonzero(mitre_row.any(axis=0))[0]) > 250


def test_a_joint_that_cannot_be_predicted_keeps_its_statistics(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its prediction is null, the words say why, the pictures leave it out; all else is as without it."""

    def predicted(_: str, specimen: Specimen, __: object, drawn: bool) -> KeptAnswer:
        name = Path(specimen.path).stem
        if name == "butt":
            raise ComputationError(
                "butt: following the path", "it ends too early", "try another element size"
            )
        return KeptAnswer(answer=PREDICTED[name], material_cov=0.2)

    monkeypatch.setattr("glueline.studies.bench_day.expected._predicted", predicted)
    monkeypatch.setattr("glueline.studies.sweeps.beside.processors", lambda: 1)  # others have it not
    log = write_log(tmp_path, [*BUTT, *MITRE, *FINGER])
    out = tmp_path / "out"
    assert main(["bench", str(log), "--force", "--json", "--out", str(out)]) == 0
    found = json.loads(capsys.readouterr().out)
    whole = json.loads(json_text(written_bench(compared(tmp_path, [*BUTT, *MITRE, *FINGER]))))
    for one, other in zip(found["joints"], whole["joints"], strict=True):
        same = ("label", "n", "mean_N", "cov", "p05_N", "ci_N")
        assert [one[key] for key in same] == [other[key] for key in same]
        if one["label"] != "butt":
            assert (one["predicted_N"], one["ratio"]) == (other["predicted_N"], other["ratio"])
    (butt,) = [one for one in found["joints"] if one["label"] == "butt"]
    assert butt["predicted_N"] is butt["band_N"] is butt["ratio"] is butt["in_band"] is None
    assert found["supported_order"] == whole["supported_order"]
    assert found["rank_correlation"] == pytest.approx(1.0)
    assert any("it ends too early" in note for note in found["notes"])
    for name in ("parity.png", "bench_ranking.png"):
        with Image.open(out / name) as picture:
            assert picture.size[0] > 900
    assert main(["bench", str(write_log(tmp_path, BUTT)), "--force", "--out", str(tmp_path / "alone")]) == 0
    text = capsys.readouterr().out
    assert "No prediction could be made" in text
    assert "5 specimens, 1 joint, none of them predicted" in text
    assert not (tmp_path / "alone" / "parity.png").exists()
