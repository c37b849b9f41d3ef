"""The points of a sweep: crossing, keys that exclude each other, points that are no corner."""

from __future__ import annotations

from dataclasses import replace

import pytest

from glueline.studies.files.failures import InputError
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.points import Point, cross, fingerprint, same_corner
from glueline.studies.sweeps.sweep import described
from glueline.studies.sweeps.vary import MOST_VALUES, Varied, parse_varied
from tests.studies.makers_folder import FINGER, SPLINED, MakersFolder, changed, check_words, one


def crossed(
    makers_folder: MakersFolder, *texts: str, changes: tuple[tuple[str, str], ...] = ()
) -> tuple[Point, ...]:
    return cross(str(makers_folder.file), changes, parse_varied(texts))


def test_every_value_of_one_key_goes_with_every_value_of_the_other(makers_folder: MakersFolder) -> None:
    makers_folder.write(FINGER)
    points = crossed(
        makers_folder, "joint.fingers=3,5", "boards.thickness=18 mm,3/4 in", "glue.quality=50 %,100 %"
    )
    assert [point.number for point in points] == list(range(8))
    assert [tuple(point.values.values()) for point in points[:3]] == [
        ("3", "18 mm", "50 %"),
        ("3", "18 mm", "100 %"),
        ("3", "3/4 in", "50 %"),
    ]
    for point in points:
        assert point.specimen is not None
        assert point.specimen.joint.fingers == int(point.values["joint.fingers"])
        assert point.specimen.boards.thickness == pytest.approx(
            {"18 mm": 18.0, "3/4 in": 19.05}[point.values["boards.thickness"]]
        )
        assert point.specimen.workmanship.quality in (0.5, 1.0)


def test_a_varied_key_goes_before_set_and_drops_what_it_excludes(makers_folder: MakersFolder) -> None:
    makers_folder.write(FINGER)
    (point,) = crossed(makers_folder, "joint.finger_width=10 mm", changes=(("joint.fingers", "5"),))
    assert point.specimen is not None
    assert point.specimen.joint.finger_width == 10.0
    assert point.specimen.joint.fingers is None
    (point,) = crossed(makers_folder, "joint.fingers=7", changes=(("joint.fingers", "5"),))
    assert point.specimen is not None
    assert point.specimen.joint.fingers == 7


def test_a_surface_is_varied_however_it_is_written(makers_folder: MakersFolder) -> None:
    """It goes before --set, every point is one of its own, and the joint that has it not says so."""
    makers_folder.write(FINGER)
    key = "glue.surfaces.finger cheeks.coverage"
    points = crossed(
        makers_folder,
        'glue.surfaces."Finger-cheeks".coverage=50 %:100 %:25 %',
        changes=((key, "10 %"), ("glue.coverage", "80 %")),
    )
    assert [dict(point.values) for point in points] == [{key: value} for value in ("50 %", "75 %", "100 %")]
    for point, share in zip(points, (0.5, 0.75, 1.0), strict=True):
        assert point.specimen is not None
        assert point.specimen.workmanship_on("finger cheeks").coverage == share
        assert point.specimen.workmanship.coverage == 0.8
        assert same_corner(point.specimen) == same_corner(points[0].specimen or point.specimen)
    assert len({fingerprint([replace(point, values={})]) for point in points}) == 3
    finger, butt = crossed(makers_folder, "joint.kind=finger,butt", f"{key}=60 %")
    assert finger.specimen is not None
    assert f"--vary {key}" in butt.error
    assert "not a surface of a butt corner" in butt.error
    with pytest.raises(InputError) as caught:
        crossed(makers_folder, f"{key}=60 %", 'glue.surfaces."finger cheeks".coverage=70 %')
    assert "varied twice" in one(caught.value.problems).message


def test_keys_that_exclude_each_other_take_turns(makers_folder: MakersFolder) -> None:
    makers_folder.write(FINGER)
    points = crossed(
        makers_folder, "joint.fingers=3,5", "boards.wood=teak,red oak", "joint.finger_width=8 mm:12 mm:4 mm"
    )
    assert [dict(point.values) for point in points[:1]] == [{"joint.fingers": "3", "boards.wood": "teak"}]
    assert [point.values.get("joint.finger_width") for point in points] == [None] * 4 + [
        "8 mm",
        "8 mm",
        "12 mm",
        "12 mm",
    ]
    assert all(point.specimen is not None for point in points)


def test_values_that_do_not_fit_make_a_point_without_a_specimen(makers_folder: MakersFolder) -> None:
    makers_folder.write(FINGER)
    points = crossed(makers_folder, "joint.fingers=3,77", "boards.wood=teak,unobtainium")
    assert [point.specimen is not None for point in points] == [True, False, False, False]
    assert "--vary boards.wood" in points[1].error
    assert "--vary joint.fingers = 77" in points[2].error
    assert "at most 45" in points[2].error
    assert "\n" not in points[3].error


def test_a_kind_that_needs_more_than_the_file_has_fails_alone(makers_folder: MakersFolder) -> None:
    makers_folder.write(FINGER)
    points = crossed(makers_folder, "joint.kind=butt,mitre,splined mitre,finger")
    assert [point.specimen is not None for point in points] == [True, True, False, True]
    assert "spline_depth" in points[2].error


def test_a_sweep_without_any_corner_is_wrong_input(makers_folder: MakersFolder) -> None:
    makers_folder.write(FINGER)
    with pytest.raises(InputError) as caught:
        crossed(makers_folder, "joint.finger_width=4:8:2")
    check_words(caught.value)
    assert "has no unit" in one(caught.value.problems).message
    makers_folder.write(changed(FINGER, boards__tickness="19 mm"))
    with pytest.raises(InputError) as caught:
        crossed(makers_folder, "joint.fingers=3,77")
    assert "did you mean thickness" in one(caught.value.problems).message


def test_too_many_points_are_refused_before_any_is_read(makers_folder: MakersFolder) -> None:
    with pytest.raises(InputError) as caught:
        crossed(makers_folder, "joint.fingers=2:1000", "joint.splines=2:1000")
    assert str(999**2) in one(caught.value.problems).message
    assert str(MOST_VALUES) in one(caught.value.problems).message


def test_points_share_a_corner_unless_glue_or_load_is_all_that_differs(makers_folder: MakersFolder) -> None:
    makers_folder.write(SPLINED)
    points = crossed(
        makers_folder,
        "glue.quality=50 %,80 %",
        "glue.gap=0 mm,0.2 mm",
        "load.arrangement=apex press,cantilever in",
    )
    specimens = [point.specimen for point in points]
    assert len({same_corner(specimen) for specimen in specimens if specimen is not None}) == 1
    points = crossed(
        makers_folder, "boards.sawn=flat,quarter", "boards.moisture=8 %,12 %", "joint.spline_wood=teak,ash"
    )
    specimens = [point.specimen for point in points]
    assert len({same_corner(specimen) for specimen in specimens if specimen is not None}) == 8


def test_a_sweep_is_described_by_everything_that_settles_its_numbers(makers_folder: MakersFolder) -> None:
    """A changed number in an own wood file shows in the digest, another path to the same file does not."""
    wood = makers_folder.folder / "mine.toml"
    wood.write_text('like = "white oak"\ndensity = "700 kg/m3"\n')
    makers_folder.write(changed(FINGER, boards__wood="mine.toml"))
    varied = [Varied("joint.fingers", ("3", "99"))]
    first = described(crossed(makers_folder, "joint.fingers=3,99"), varied, Request())
    again = described(
        cross(f"{makers_folder.folder}/../{makers_folder.folder.name}/corner.toml", (), varied),
        varied,
        Request(),
    )
    assert again == first
    wood.write_text('like = "white oak"\ndensity = "710 kg/m3"\n')
    other = described(crossed(makers_folder, "joint.fingers=3,99"), varied, Request())
    assert replace(other, fingerprint=first.fingerprint) == first != other
    assert fingerprint(crossed(makers_folder, "joint.fingers=3")) != other.fingerprint
