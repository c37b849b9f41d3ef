"""Every picture of a corner: grain, load, supports and P, one scale of strength, the ring where it gives."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from glueline import Prediction, predict, read_specimen
from glueline.geometries import BOARD_A, Boards, FingerJoint
from glueline.materials import steel_rod
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.connections.hardware import core_diameter
from glueline.studies.examples import example_path
from glueline.studies.files.units import Units
from glueline.studies.show.body_stresses import body_stresses
from glueline.studies.show.face_view import panel_of
from glueline.studies.show.load_sketch import LOAD
from glueline.studies.show.parts import draw_parts
from glueline.studies.show.path_strip import draw_path_strip
from glueline.studies.show.share_of_strength_map import draw_share_of_strength
from glueline.studies.show.standing_across import standing_across
from glueline.studies.show.strength_field import strength_field
from glueline.studies.show.stress_map import draw_stress
from tests.studies.corners import specimen

KINDS = ("butt", "finger", "splined_mitre", "half_lap", "dowel", "pocket_screw")


@cache
def followed(kind: str, glue: str = "pva") -> Prediction:
    corner = read_specimen(example_path(kind), [("glue.kind", glue)])
    return predict(corner, element_size=6.0 if kind == "half_lap" else 4.0, band=False)


def with_load(sheet: Figure) -> list[Axes]:
    """The views of a sheet, those inside others too, that write P."""
    views = [inside for axes in sheet.axes for inside in (axes, *axes.child_axes)]
    return [axes for axes in views if "P" in [text.get_text() for text in axes.texts]]


def grain_lines(axes: Axes) -> int:
    seen = [each for each in axes.collections if each.get_label() == "_grain"]
    return sum(len(each.get_segments()) for each in seen if isinstance(each, LineCollection))


@pytest.mark.parametrize("kind", KINDS)
def test_all_is_near_breaking_where_the_ring_sits_and_nowhere_above(kind: str) -> None:
    """Whatever gives first, glue or wood: the colour there is the last one of the scale, from 0 to 100 %."""
    found = followed(kind)
    field = strength_field(found)
    assert field.share_near(field.point, 4.0) == pytest.approx(1.0, abs=0.02)
    assert field.share.min() >= 0.0
    assert field.share.max() <= 1.0
    sheet = draw_share_of_strength(found, "metric")
    for axes in sheet.axes[:2]:
        (ring,) = (line for line in axes.lines if line.get_label() == "ring")
        assert ring.get_xydata()[0] == pytest.approx(found.critical.point)
        (glue,) = (one for one in axes.collections if one.get_label() == "glue")
        assert glue.get_clim() == axes.collections[0].get_clim() == (0.0, 1.0)
        assert glue.get_cmap().name == axes.collections[0].get_cmap().name == "strength"


@pytest.mark.parametrize(("kind", "glue"), [("dowel", "pva"), ("pocket_screw", "none")])
def test_a_fastener_that_gives_is_at_the_end_of_the_scale_where_it_is_ringed(kind: str, glue: str) -> None:
    """By its own share alone: dowels break as the cracked corner jumps, screws are pulled out and bent."""
    found = followed(kind, glue)
    field = strength_field(found)
    assert field.jumping == (kind == "dowel")
    ((outline, share),) = field.rods
    middle = (outline[: len(share)] + outline[len(share) :][::-1]) / 2
    near = np.linalg.norm(middle - np.array(field.point), axis=1) < 4.0
    assert share[near].max() == pytest.approx(1.0, abs=0.02)
    assert share.min() < 0.1
    for axes in draw_share_of_strength(found, "metric").axes[:2]:
        (drawn,) = (one for one in axes.collections if one.get_label() == "fastener")
        assert drawn.get_clim() == (0.0, 1.0)
        assert drawn.get_cmap().name == "strength"
        assert np.allclose(drawn.get_array(), share[:, None])
    said = [text.get_text() for text in axes.texts]
    assert any("jumps" in words for words in said) == (kind == "dowel")


def test_a_screw_s_share_is_its_moment_over_its_plastic_moment() -> None:
    """The moment by equilibrium: of all that presses on the shank from its head to the place, no hinge."""
    found = followed("pocket_screw")
    (screw,) = found.corner.layout.hardware
    ((_, share),) = strength_field(found).rods
    beam = found.corner.model.beam(screw.name)
    plastic = screw.number * steel_rod().bending_moment(core_diameter(screw.diameter))
    pressing = [each.surface for each in found.corner.holds if each.surface.plus == screw.name]
    pressing = [surface for surface in pressing if surface.minus != screw.name]
    shank = np.flatnonzero(beam.stations < screw.reaches[0].length)[1:]
    for node in shank:
        moment = 0.0
        for surface in pressing:
            arm = surface.points - beam.nodes[node]
            force = surface.forces_on_minus(found.tractions_at_break[surface.name])
            before = arm @ beam.axes[0] < 0.0
            moment += float((arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0])[before].sum())
        assert share[node] == pytest.approx(abs(moment) / plastic, rel=1e-4)
    assert 0.03 < share[shank].max() < 0.2


def test_weak_wood_is_ringed_where_it_is_strongest_in_colour() -> None:
    """An answer in which wood gives: its share at the ring is 1 by the wood alone."""
    corner = read_specimen(example_path("bridle"), [("boards.wood", "eastern white pine")])
    found = predict(corner, method="elastic", element_size=6.0)
    worst = min(
        (limit for limit in found.limits if limit.kind == "wood" and limit.breaks), key=lambda each: each.load
    )
    field = strength_field(found)
    share = found.break_load / worst.load
    near = np.linalg.norm(field.places.reshape(-1, 2) - np.array(worst.point), axis=1) < 4.0
    assert field.share.ravel()[near].max() >= 0.9 * share


@pytest.mark.parametrize("kind", ["finger", "half_lap", "pocket_screw"])
def test_pictures_of_a_corner_show_grain_load_and_support(kind: str) -> None:
    found = followed(kind)
    assert found.broken is not None
    sheets = {
        "share": draw_share_of_strength(found, "metric"),
        "parts": draw_parts(found, "metric"),
        "strip": draw_path_strip(found.broken, "metric"),
        "stress": draw_stress(found, "stress_along", "metric", body_stresses(found)),
    }
    for name, sheet in sheets.items():
        loaded = with_load(sheet)
        assert loaded, name
        for axes in loaded:
            assert any(patch.get_label() == "support" for patch in axes.patches), name
        straight = sum(grain_lines(axes) for axes in (*sheet.axes, *loaded))
        assert straight > 5 or name == "stress", name
        title = sheet.get_suptitle() or sheet.texts[-1].get_text()
        assert len(title) < 75, title
        for undermining in ("99.5", "shrink", "elements"):
            assert undermining not in title


@pytest.mark.parametrize("name", list(ARRANGEMENTS))
def test_the_drawn_load_closes_or_opens_the_corner_as_it_is_called(name: str) -> None:
    """By hand: the moment of the drawn arrow, or of what stands against it, about the inner corner."""
    boards = Boards(19.0, 90.0, 150.0)
    arrangement = ARRANGEMENTS[name]
    sketch = arrangement.sketch(boards)
    (arrow,) = sketch.arrows
    if name == "apex press":
        # Each tip is pushed back against the press, outward along the line P comes from.
        place, force = np.array(boards.legs[0].tip_centre), -np.array(arrow.toward) / 2
    else:
        place, force = np.array(arrow.at), np.array(arrow.toward)
    arm = place - np.array(boards.inner_corner)
    moment = arm[0] * force[1] - arm[1] * force[0]
    assert (moment > 0) == (arrangement.sense == "closes")
    assert abs(moment) == pytest.approx(arrangement.moment_per_load(boards), rel=0.03)
    assert len(sketch.supports) == (2 if name == "apex press" else 1)
    assert [each.clamps for each in sketch.supports] == [name.startswith("cantilever")] * len(sketch.supports)


@pytest.mark.parametrize(
    ("kind", "units", "said"),
    [
        ("splined mitre", "metric", ["splines: 3 × 3.2 mm, every 23.3 mm"]),
        ("finger", "metric", ["board A: 5 × 10 mm, every 20 mm", "board B: 4 × 10 mm, every 20 mm"]),
        (
            "finger",
            "imperial",
            ["board A: 5 × 13/32 in, every 25/32 in", "board B: 4 × 13/32 in, every 25/32 in"],
        ),
        ("butt", "metric", []),
    ],
)
def test_the_face_counts_what_stands_across(kind: str, units: Units, said: list[str]) -> None:
    """90 mm of nine fingers are 10 mm each; three splines of 3.2 mm leave four gaps of 20.1 mm."""
    corner = specimen(kind)
    found = standing_across(corner.layout, panel_of(corner.layout, BOARD_A).cut)
    assert [each.words(units) for each in found] == said


def test_parts_show_fingers_at_their_spacing() -> None:
    """As many fields of both boards as fingers in the cut, and the measure from one to the next."""
    found = predict(specimen("finger", joint=FingerJoint(5)), method="elastic", element_size=6.0)
    sheet = draw_parts(found, "metric")
    side, face = sheet.axes
    assert "every 36 mm" in face.get_title()
    assert "36 mm" in [text.get_text() for text in face.texts]
    fingers = [patch for patch in face.patches if isinstance(patch, Polygon) and patch.get_fill()]
    assert len(fingers) >= 5
    (first, second) = (line.get_ydata()[0] for line in face.lines if line.get_color() == LOAD)
    assert second - first == pytest.approx(36.0)
    assert grain_lines(side) > 5
