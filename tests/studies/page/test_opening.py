"""What a page is started with: the maker's files, all of them right, or an invented corner."""

from __future__ import annotations

from pathlib import Path

import pytest

from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.files.failures import InputError
from glueline.studies.page.opening import opening_of

RIG = str(bench_day_path("bench_rig.toml"))


def test_files_are_opened_by_name_with_their_units_and_the_rig(tmp_path: Path) -> None:
    inches = example_path("butt").read_text()
    for old, new in (("19 mm", "3/4 in"), ("90 mm", "3 1/2 in"), ("150 mm", "6 in")):
        inches = inches.replace(old, new)
    (tmp_path / "my_butt.toml").write_text(inches)
    opening = opening_of([str(example_path("mitre")), RIG, str(tmp_path / "my_butt.toml")])
    assert [each.name for each in opening.corners] == ["mitre", "my butt"]
    assert [each.units for each in opening.corners] == ["metric", "imperial"]
    assert opening.rig is not None
    assert opening.rig_text is not None
    assert opening.rig_text.startswith("bench rig: hinged platform")
    assert opening.demo is False
    assert opening.files == frozenset()


def test_a_rig_alone_goes_with_the_invented_corner() -> None:
    opening = opening_of([RIG])
    assert opening.demo is True
    assert opening.message()["rig"] == opening.rig_text


def test_files_that_a_corner_names_may_be_asked_for_again(tmp_path: Path) -> None:
    (tmp_path / "own_pva.toml").write_text('like = "pva"\n')
    text = example_path("butt").read_text().replace('"pva"', '"own_pva.toml"')
    (tmp_path / "corner.toml").write_text(text)
    opening = opening_of([str(tmp_path / "corner.toml")])
    assert opening.files == {str(tmp_path / "own_pva.toml")}
    assert opening.corners[0].corner["glue"]["kind"] in opening.files


def test_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        opening_of([RIG, RIG.replace("bench_rig", "./bench_rig"), str(tmp_path / "none.toml")])
    assert "second rig file" in str(refused.value)
    assert "none.toml: no such file" in str(refused.value)
