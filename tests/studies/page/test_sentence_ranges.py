"""Where a slider may stand: every stop is valid by the reader of files, and no neighbour is left out."""

from __future__ import annotations

import pytest

from glueline.geometries import JOINTS
from glueline.studies.corner.fitting import fitting_ends
from glueline.studies.corner.specimen_file import read_specimen, specimen_of
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.key_changes import joint_fields
from glueline.studies.files.toml_tables import read_toml
from glueline.studies.files.units import Units
from glueline.studies.page.edits import edited
from glueline.studies.page.sentence_ranges import MOST_STOPS, stops_of

EVERYWHERE = (
    "boards.thickness",
    "boards.width",
    "boards.leg",
    "boards.lay",
    "boards.moisture",
    "glue.gap",
    "glue.quality",
    "glue.kind",
    "load.arrangement",
)


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_stop_is_valid(name: str, units: Units) -> None:
    corner = read_toml(example_path(name))
    corner = edited(corner, "metric", "units", units).corner
    kind = JOINTS[read_specimen(example_path(name)).kind]
    own = [f"joint.{key}" for key in joint_fields(kind)]
    for key in (*own, *(EVERYWHERE if name in ("finger", "half_lap") else ())):
        found = stops_of(corner, units, key)
        stops = found["stops"]
        assert len(stops) == len(set(stops)) <= MOST_STOPS
        if key == "joint.dowel_depth_in_a":  # the dowels of the example go through
            assert not stops
            continue
        assert 0 <= found["at"] < len(stops)
        assert found["label"]
        for stop in {*stops[:3], *stops[-3:], *stops[:: max(len(stops) // 7, 1)]}:
            changed = edited(corner, units, key, stop)
            assert changed.wrong == ()
            specimen_of("corner.toml", changed.corner)


def test_stops_are_those_a_maker_would_set() -> None:
    finger = read_toml(example_path("finger"))

    def stops(key: str, units: Units = "metric") -> list[str]:
        found: list[str] = stops_of(finger, units, key)["stops"]
        return found

    assert stops("joint.fingers") == [str(count) for count in range(2, 46)]
    assert stops("boards.thickness") == [f"{size} mm" for size in range(3, 51)]
    assert stops("boards.thickness", "imperial")[:4] == ["1/8 in", "3/16 in", "1/4 in", "5/16 in"]
    assert stops("boards.leg")[0] == "57 mm"
    assert "150 mm" in stops("boards.leg")
    assert stops("joint.finger_width")[:2] == ["2 mm", "2.5 mm"]
    assert stops("glue.coverage") == [f"{share} %" for share in range(5, 101, 5)]
    assert stops("glue.gap")[0] == "0 mm"
    assert stops("boards.wood")[3] == "hard maple"
    dovetail = read_toml(example_path("dovetail"))
    assert stops_of(dovetail, "metric", "joint.slope")["stops"] == [f"1:{along}" for along in range(4, 13)]
    screw = read_toml(example_path("pocket_screw"))
    assert "15 deg" in stops_of(screw, "metric", "joint.screw_angle")["stops"]


def test_at_is_the_nearest_to_what_stands_there() -> None:
    corner = read_toml(example_path("finger"))
    for key, value, near in (
        ("boards.thickness", "19.4", "19 mm"),
        ("boards.width", "3 17/32 in", "90 mm"),
        ("boards.moisture", "11.7", "12 %"),
        ("joint.fingers", "80", "45"),
        ("boards.wood", "rock maple", "hard maple"),
    ):
        found = stops_of(edited(corner, "metric", key, value).corner, "metric", key)
        assert found["stops"][found["at"]] == near
    dowel = read_toml(example_path("dowel"))
    found = stops_of(dowel, "metric", "joint.from_inside")  # left out: the value taken
    assert found["stops"][found["at"]] == "9.5 mm"


@pytest.mark.parametrize("key", ["joint.fingers", "boards.leg", "boards.wood", "glue.coverage"])
def test_nothing_to_choose_from_in_a_corner_that_cannot_be_read(key: str) -> None:
    found = stops_of({"joint": {"kind": "butt"}, "boards": {"wood": 3}}, "metric", "joint.fingers")
    assert (found["stops"], found["at"]) == ([], 0)
    assert stops_of({"boards": 3}, "metric", key)["at"] >= 0


def test_the_ends_of_several_runs_and_of_none() -> None:
    assert fitting_ends(lambda number: number in (7, 900), 1000, near=[7, 900]) == (7, 900)
    assert fitting_ends(lambda number: 13 <= number <= 14, 1000, near=[14]) == (13, 14)
    assert fitting_ends(lambda number: True, 5) == (1, 5)
    assert fitting_ends(lambda number: False, 1000) is None
