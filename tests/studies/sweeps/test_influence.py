"""What moves the break load: the ranges, their effect by formula and for real, the picture."""

from __future__ import annotations

import dataclasses
import io
import json
from math import exp, log, sqrt
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgba
from msgspec import structs
from PIL import Image

from glueline.geometries import BOARD_A, BOARD_B
from glueline.materials import at_moisture
from glueline.materials.wood import MODULI
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.units import Units
from glueline.studies.predict.predictor import predict
from glueline.studies.predict.request import Request
from glueline.studies.show.canvas import as_png
from glueline.studies.sweeps.influence import Ranking, influences, points_of
from glueline.studies.sweeps.influence_bars import STRONGER, WEAKER, draw_influences
from glueline.studies.sweeps.ranges import OFF_LINE, Range, ranges_of, scaled
from glueline.studies.sweeps.tables import influence_table
from glueline.studies.sweeps.worker import Computed
from tests.studies.colours import colours_in
from tests.studies.command_lines import called, glueline
from tests.studies.makers_folder import FINGER, SPLINED, MakersFolder, changed
from tests.studies.sweeps.fake_lanes import FakeLane, answer_of

KEYS = {
    "wood.stiffness",
    "wood.bending_strength",
    "wood.tension_across",
    "wood.shear_strength",
    "wood.toughness",
    "glue.quality",
    "glue.gap",
    "glue.coverage",
    "boards.moisture",
    "boards.sawn",
    "boards.thickness",
    "load.off_line",
}


def by_key(specimen: Specimen) -> dict[str, Range]:
    return {each.key: each for each in ranges_of(specimen)}


def differing(one: Specimen, other: Specimen) -> set[str]:
    """Fields of two specimens that differ."""
    fields = (field.name for field in dataclasses.fields(Specimen) if field.compare)
    return {name for name in fields if getattr(one, name) != getattr(other, name)}


def test_every_range_moves_one_thing_and_says_what_it_rests_on(makers_folder: MakersFolder) -> None:
    specimen = makers_folder.read(SPLINED)
    ranges = by_key(specimen)
    assert set(ranges) == KEYS
    moved = {
        "wood": {"woods"},
        "glue": {"workmanship"},
        "boards.moisture": {"moisture", "woods"},
        "boards.sawn": {"sawn"},
        "boards.thickness": {"boards"},
        "load.off_line": {"load_off_line"},
    }
    for key, each in ranges.items():
        assert each.at_low is not None
        assert each.at_high is not None
        changed_fields = differing(specimen, each.at_low) | differing(specimen, each.at_high)
        assert changed_fields == moved.get(key, moved.get(key.partition(".")[0]))
        assert "judgement" in each.source or "scatter" in each.source or key == "boards.sawn"


def test_what_a_surface_has_of_its_own_stays_as_it_is(makers_folder: MakersFolder) -> None:
    specimen = makers_folder.read(FINGER, [("glue.surfaces.finger cheeks.coverage", "60 %")])
    coverage, gap = (by_key(specimen)[f"glue.{key}"] for key in ("coverage", "gap"))
    assert coverage.at_low is not None
    assert gap.at_high is not None
    assert coverage.at_low.workmanship_on("finger cheeks").coverage == 0.6
    assert coverage.at_low.workmanship_on("notch floors of board A").coverage == 0.8
    assert gap.at_high.workmanship_on("finger cheeks").gap == 0.2


def test_wood_moves_to_the_boards_that_five_percent_undercut_and_exceed(makers_folder: MakersFolder) -> None:
    """A lognormal of cov v has 5 and 95 % at exp(-+1.645 sqrt(ln(1 + v^2))) of its median (textbook)."""
    specimen = makers_folder.read(FINGER)
    stiffness = by_key(specimen)["wood.stiffness"]
    cov = specimen.woods[BOARD_A].cov["modulus_along"]
    factor = exp(1.6448536 * sqrt(log(1 + cov**2)))
    assert stiffness.at_high is not None
    assert stiffness.at_low is not None
    assert stiffness.at_high.woods[BOARD_A].modulus_along == pytest.approx(
        specimen.woods[BOARD_A].modulus_along * factor
    )
    assert stiffness.at_low.woods[BOARD_A].modulus_along == pytest.approx(
        specimen.woods[BOARD_A].modulus_along / factor
    )
    assert stiffness.high == f"{100 * factor:.0f} %"
    for name in MODULI:
        assert getattr(stiffness.at_high.woods[BOARD_B], name) > getattr(specimen.woods[BOARD_B], name)
    assert stiffness.at_high.woods[BOARD_A].bending_strength == specimen.woods[BOARD_A].bending_strength


def test_a_quantity_is_moved_by_its_own_scatter(makers_folder: MakersFolder) -> None:
    wood = makers_folder.read(FINGER).woods[BOARD_A]
    moved = scaled(wood, ("shear_strength", "rolling_shear_strength"), 1.0)
    for name in ("shear_strength", "rolling_shear_strength"):
        assert log(getattr(moved, name) / getattr(wood, name)) == pytest.approx(
            sqrt(log(1 + wood.cov[name] ** 2))
        )


def test_ranges_stay_within_what_can_be(makers_folder: MakersFolder) -> None:
    poor = changed(
        FINGER,
        glue__quality="195 %",
        glue__gap="0.4 mm",
        glue__coverage="15 %",
        boards__moisture="4 %",
        load__arrangement="apex press",
    )
    ranges = by_key(makers_folder.read(poor))
    assert (ranges["glue.quality"].low, ranges["glue.quality"].high) == ("136.5 %", "200 %")
    assert (ranges["glue.gap"].low, ranges["glue.gap"].high) == ("0.2 mm", "0.5 mm")
    assert (ranges["glue.coverage"].low, ranges["glue.coverage"].high) == ("5 %", "35 %")
    assert (ranges["boards.moisture"].low, ranges["boards.moisture"].high) == ("2 %", "8 %")
    assert ranges["load.off_line"].high == "1.188 mm"
    damp = ranges["boards.moisture"].at_high
    assert damp is not None
    assert damp.woods[BOARD_A] == at_moisture(damp.woods[BOARD_A], 8.0)


def test_a_thickness_that_makes_no_corner_says_why(makers_folder: MakersFolder) -> None:
    specimen = makers_folder.read(changed(SPLINED, joint__spline_depth="25.8 mm"))
    thickness = by_key(specimen)["boards.thickness"]
    assert thickness.at_low is None
    assert thickness.at_high is not None
    assert "goes past the inner corner" in thickness.problem
    assert len(points_of(specimen, ranges_of(specimen))) == 1 + 2 * len(KEYS) - 1


def made_up(specimen: Specimen) -> Computed:
    """1000 N times the quality, less 100 N a mm of gap, 50 N more quarter-sawn; none for thick boards."""
    if specimen.boards.thickness > 19.2:
        return Computed(None, "following the path failed: it ends")
    load = 1000.0 * specimen.workmanship.quality - 100 * specimen.workmanship.gap
    return answer_of(
        load + (50 if specimen.sawn == "quarter" else 0), "wood" if specimen.sawn == "quarter" else "glue"
    )


@pytest.fixture
def ranking(makers_folder: MakersFolder) -> Ranking:
    return influences(makers_folder.read(FINGER), Request(), [FakeLane(made_up), FakeLane(made_up)])


def test_what_moves_most_comes_first(ranking: Ranking) -> None:
    keys = [each.moved_range.key for each in ranking.influences]
    assert keys[:3] == ["glue.quality", "boards.sawn", "glue.gap"]
    assert keys[-1] == "boards.thickness"
    quality = ranking.influences[0].to_json()
    assert quality["key"] == "glue.quality"
    assert (quality["low"], quality["high"]) == ("70 %", "110 %")
    assert (quality["break_at_low_N"], quality["break_at_high_N"]) == pytest.approx((700.0, 1100.0))
    thickness = ranking.influences[-1].to_json()
    assert thickness["break_at_low_N"] == 1000.0
    assert thickness["break_at_high_N"] is None
    assert "it ends" in thickness["problem"]


def test_the_table_and_the_bars_show_them(ranking: Ranking) -> None:
    text = influence_table(ranking, "imperial")
    assert text.startswith("Stand clear from")
    assert text.index("quality of the glue") < text.index("direction of the rings") < text.index("gap in")
    assert "no answer for thickness of the boards" in text
    assert "mm" not in text
    assert "local codes" in text
    sheet = draw_influences(ranking, "metric")
    picture = np.asarray(Image.open(io.BytesIO(as_png(sheet))).convert("RGB"))
    assert len(colours_in(picture)) > 20
    (axes,) = sheet.axes
    names = [label.get_text() for label in axes.get_yticklabels()]
    assert names[0] == "quality of the glue"
    assert len(names) == len(KEYS) - 1
    widths = [bar.get_width() for bar in axes.patches[:2]]
    assert sorted(widths) == pytest.approx([-300.0, 100.0])
    assert {"70 %", "110 %", "quarter", "0.2 mm"} <= {each.get_text() for each in axes.texts}
    for bar in (bar for bar in axes.patches if abs(bar.get_width()) > 0):
        assert bar.get_facecolor() == to_rgba(WEAKER if bar.get_width() < 0 else STRONGER)
    said = [text.get_text() for text in sheet.legends[0].get_texts()]
    assert said[:2] == ["makes it weaker", "makes it stronger"]


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_what_is_written_at_the_bars_keeps_off_the_names(ranking: Ranking, units: Units) -> None:
    """Found by looking: 0.00787 in, longer than 0.2 mm, lay upon the name of its row."""
    gap = next(each for each in ranking.influences if each.moved_range.key == "glue.gap")
    widest = dataclasses.replace(gap, break_at_high=400.0)
    sheet = draw_influences(Ranking(ranking.nominal, (widest, *ranking.influences)), units)
    sheet.draw_without_rendering()
    (axes,) = sheet.axes
    frame = axes.get_window_extent()
    for text in axes.texts:
        box = text.get_window_extent()
        assert frame.x0 <= box.x0, text.get_text()
        assert box.x1 <= frame.x1, text.get_text()


def test_judged_glue_rows_stand_among_them(makers_folder: MakersFolder) -> None:
    """Read from the corner's own answer: shares of the row, or words where the woods decide."""

    def judged(specimen: Specimen) -> Computed:
        plain = answer_of(1000.0 * specimen.workmanship.quality)
        ranges = {"grain_45": (500.0, 1900.0), "crossed": (990.0, 1005.0)}
        return Computed(None if plain.answer is None else structs.replace(plain.answer, ranges=ranges))

    lane = FakeLane(judged)
    specimen = makers_folder.read(SPLINED)
    found = influences(specimen, Request(), [lane])
    assert len(lane.given) == len(points_of(specimen, ranges_of(specimen)))
    first = found.influences[0].to_json()
    assert (first["key"], first["low"], first["high"]) == ("glue.grain_45", "60 %", "152 %")
    assert (first["break_at_low_N"], first["break_at_high_N"]) == (500.0, 1900.0)
    assert first["breaks_in_at_low"] is None
    assert first["rests_on"].startswith("judgement")
    crossed = next(each for each in found.influences if each.moved_range.key == "glue.crossed")
    assert (crossed.moved_range.low, crossed.moved_range.high) == ("weak", "strong")
    assert "45 degree glue" in influence_table(found, "metric")
    (axes,) = draw_influences(found, "metric").axes
    assert [label.get_text() for label in axes.get_yticklabels()][:2] == [
        "45 degree glue",
        "quality of the glue",
    ]
    assert not any(bar.get_hatch() for bar in axes.patches)


def test_without_an_answer_for_the_corner_itself_it_fails(makers_folder: MakersFolder) -> None:
    specimen = makers_folder.read(FINGER)
    with pytest.raises(ComputationError, match="no luck"):
        influences(specimen, Request(), [FakeLane(lambda _: Computed(None, "no luck"))])


def test_the_ends_are_single_predictions_and_mechanics_holds(tmp_path: Path) -> None:
    """Elastic and real: break loads are those of ``predict`` on moved specimens; tired glue lowers them."""
    done = glueline(
        "influence",
        str(example_path("mitre")),
        "--method",
        "elastic",
        "--json",
        "--out",
        str(tmp_path / "out"),
    )
    assert done.returncode == 0, done.stderr
    listed = json.loads(done.stdout)
    assert {each["key"] for each in listed} == KEYS | {"glue.grain_45"}
    swings = [abs(each["break_at_high_N"] - each["break_at_low_N"]) for each in listed]
    assert swings == sorted(swings, reverse=True)
    assert json.loads((tmp_path / "out" / "influence.json").read_text()) == listed
    assert Image.open(tmp_path / "out" / "influence.png").size[0] > 500
    found = {each["key"]: each for each in listed}
    specimen = read_specimen(example_path("mitre"))
    ranges = by_key(specimen)
    for key in ("load.off_line", "wood.tension_across", "boards.sawn"):
        for end, moved in (("low", ranges[key].at_low), ("high", ranges[key].at_high)):
            assert moved is not None
            single = predict(moved, method="elastic").break_load
            assert found[key][f"break_at_{end}_N"] == pytest.approx(single, rel=1e-9)
    assert found["glue.quality"]["break_at_low_N"] == pytest.approx(
        0.7 / 1.1 * found["glue.quality"]["break_at_high_N"], rel=1e-9
    )
    # A mitre broken by the corner's moment: its load goes as the inverse lever arm, (L - 1.5 t)/sqrt 2 + e.
    arm = (150 - 28.5) / sqrt(2)
    longer, shorter = found["load.off_line"]["break_at_high_N"], found["load.off_line"]["break_at_low_N"]
    assert longer / shorter == pytest.approx((arm - OFF_LINE) / (arm + OFF_LINE), rel=0.01)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--workers", "many"], "from 1 to 256"),
        (["--set", "boards.tickness=19 mm"], "did you mean thickness"),
        (["--element-size", "1 m"], "--element-size"),
        (["--out", ""], "is empty"),
    ],
)
def test_wrong_input_gets_one_message(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    done = called(capsys, "influence", str(example_path("mitre")), *words, "--json")
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_without_glue_no_glue_is_moved() -> None:
    """Quality, gap and coverage of a glue that is not there would be rows of nothing."""
    dry = read_specimen(example_path("pocket_screw"), [("glue.kind", "none")])
    assert set(by_key(dry)) == {key for key in KEYS if not key.startswith("glue.")}


def test_ranges_end_at_what_a_joint_can_have() -> None:
    """A gap too thin for a film is none; quality and coverage end at their least values, never below."""
    thin = [("glue.gap", "0.203 mm"), ("glue.quality", "1 %"), ("glue.coverage", "1 %")]
    ends = {each.key: each for each in ranges_of(read_specimen(example_path("finger"), thin))}
    lows = [ends[f"glue.{key}"].at_low for key in ("gap", "quality", "coverage")]
    made = [dataclasses.astuple(low.workmanship)[:3] for low in lows if low is not None]
    assert made == [(0.01, 0.0, 0.01), (0.01, 0.203, 0.01), (0.01, 0.203, 0.01)]
