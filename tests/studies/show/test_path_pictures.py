"""Pictures of a followed path: what they show is what the path holds."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, QuadMesh
from matplotlib.figure import Figure
from PIL import Image

from glueline.geometries import FingerJoint
from glueline.studies.files.units import N_PER_LBF, format_force
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.path_shares import path_shares
from glueline.studies.predict.wood_limits import sample_wood
from glueline.studies.predict.wood_on_path import judge_path
from glueline.studies.show.path_curve import draw_path_curve
from glueline.studies.show.path_marks import just_past, marks_of, way_along
from glueline.studies.show.path_moment import draw_path_moment
from glueline.studies.show.path_pictures import path_drawings
from glueline.studies.show.path_strip import draw_path_strip
from tests.studies.corners import specimen

KINDS = ("butt", "mitre", "finger")


@cache
def followed(kind: str) -> BreakPath:
    """A closing corner followed once for all tests; the fingers few and coarse."""
    joint = FingerJoint(5) if kind == "finger" else None
    return follow_break(specimen(kind, joint=joint), element_size=6.0 if joint else None)


def words(sheet: Figure) -> str:
    """All that a picture's titles, legends and notes say."""
    found = [sheet.get_suptitle()]
    for axes in sheet.axes:
        found += [axes.get_title(), axes.get_xlabel(), axes.get_ylabel()]
        found += [text.get_text() for text in axes.texts]
    for legend in sheet.legends:
        found += [text.get_text() for text in legend.get_texts()]
    return "\n".join(found)


def texts_of_load(axes: Axes) -> list[str]:
    """What is written in the small corner under load beside a close view."""
    (small,) = axes.child_axes
    return [text.get_text() for text in small.texts if text.get_text()]


@pytest.mark.parametrize("kind", KINDS)
def test_pictures_open_and_hold_more_than_paper(kind: str) -> None:
    """PNGs of a readable size with many colours, 3 % of each or more not paper."""
    names = []
    for name, draw in path_drawings(followed(kind), every=True):
        names.append(name)
        content = draw()
        assert content is not None
        opened = Image.open(io.BytesIO(content))
        assert opened.format == "PNG"
        assert opened.width >= 900
        assert opened.height >= 500
        picture = opened.convert("RGB")
        white = (np.asarray(picture.convert("L")) > 250).mean()
        colours = picture.getcolors(maxcolors=2**24)
        print(f"{kind}, {name}: {100 * white:.0f} % white, {len(colours)} colours")
        assert white < 0.97
        assert len(colours) > 50
    assert names == ["load_displacement.png", "damage.png", "broken_halves.png", "moment_along_path.png"]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_curve_is_the_path(kind: str, units: str) -> None:
    """Every state in its order, so a displacement that turns back does so in the picture."""
    found = followed(kind)
    sheet = draw_path_curve(found, units, whole=True)
    (axes,) = sheet.axes
    holds, lets_go = (line for line in axes.lines if len(line.get_xdata()) > 1 and line.get_label()[0] != "_")
    drawn = np.concatenate([holds.get_xydata(), lets_go.get_xydata()[1:]])
    factor = (1.0, 1.0) if units == "metric" else (1 / 25.4, 1 / N_PER_LBF)
    assert drawn[:, 0] == pytest.approx(found.path.displacement * factor[0])
    assert drawn[:, 1] == pytest.approx(found.path.load * factor[1])
    assert np.diff(drawn[:, 0]).min() < 0, "a closing corner snaps back"
    text = words(sheet)
    assert f"first damage: {format_force(found.first_damage_load, units)}" in text
    assert f"break in the glue, highest load, first crack: {format_force(found.break_load, units)}" in text
    assert "under dead weight" in text
    assert "wood: not reached" in text


@pytest.mark.parametrize("kind", KINDS)
def test_a_room_sees_the_curve_up_to_the_break_only(kind: str) -> None:
    """No state that stacked weights cannot come to: nothing after the break, no load that falls before it."""
    found = followed(kind)
    sheet = draw_path_curve(found, "metric")
    (axes,) = sheet.axes
    (line,) = (line for line in axes.lines if len(line.get_xdata()) > 1 and line.get_label()[0] != "_")
    drawn = line.get_xydata()
    assert (np.diff(drawn[:, 1]) >= 0.0).all()
    assert drawn[-1] == pytest.approx([found.path.displacement[found.state], found.path.load[found.state]])
    assert drawn[:, 1].max() == found.path.load[: found.state + 1].max()
    said = words(sheet)
    damage = next(line for line in axes.lines if str(line.get_label()).startswith("first damage"))
    assert damage.get_ydata() == pytest.approx([found.first_damage_load])
    assert "up to its break" in said
    assert "elements" not in said
    assert "back" not in said


def test_after_a_crack_the_room_sees_no_load_that_falls() -> None:
    """Of a path that dips and rises again, put in by hand, the dip is left out; so is what a vice finds."""
    found = followed("butt")
    load = found.path.load.copy()
    load[4] *= 0.3
    dipped = replace(found, path=replace(found.path, load=load))
    assert (np.diff(load[: found.state + 1]) < 0.0).any()
    line = draw_path_curve(dipped, "metric").axes[0].lines[0].get_xydata()
    assert (np.diff(line[:, 1]) >= 0.0).all()
    assert len(line) == found.state
    whole = draw_path_curve(dipped, "metric", whole=True).axes[0].lines[0].get_xydata()
    assert len(whole) == found.state + 1


def test_wood_that_gives_first_is_marked() -> None:
    """A path cut short by its wood: the break in the wood, the glue's peak apart from it."""
    glue = followed("butt")
    state = glue.path.highest - 3
    load = float(glue.path.load[state])
    wood = replace(glue, state=state, wood_state=state, break_load=load, wood_load=load)
    marks = marks_of(wood)
    assert (marks.wood, marks.broken, marks.highest) == (state, state, glue.path.highest)
    text = words(draw_path_curve(wood, "metric", whole=True))
    assert f"break in the wood ({glue.wood.mode}): {load:.4g} N" in text
    assert "highest load the glue alone would hold" in text
    assert "had the wood held" in text
    assert "first crack" not in text, "the glue's peak comes after the break"
    assert "not reached" not in text
    assert f"the wood breaks\n{load:.4g} N" in words(draw_path_strip(wood, "metric"))


def test_weak_wood_of_a_followed_corner_is_marked() -> None:
    """Not put in by hand: the wood of a butt a tenth as strong gives on the path, the plain one does not."""
    glue = followed("butt")
    weak = tuple(
        replace(
            sample,
            wood=replace(
                sample.wood,
                bending_strength=0.06 * sample.wood.bending_strength,
                tension_across=0.06 * sample.wood.tension_across,
                shear_strength=0.06 * sample.wood.shear_strength,
            ),
        )
        for sample in sample_wood(glue.corner)
    )
    found = judge_path(glue.corner, glue.path, glue.laws, weak)
    assert found.breaks_in == "wood"
    assert marks_of(found).wood == found.wood_state
    assert "break in the wood" in words(draw_path_curve(found, "metric"))
    assert marks_of(glue).wood is None
    level = replace(glue, wood_load=glue.glue_load)
    assert "it holds at least" in words(draw_path_curve(level, "metric"))


@pytest.mark.parametrize("kind", KINDS)
def test_strip_shows_damage_as_it_is(kind: str) -> None:
    """Four frames with their loads; the colours of the lines are the spent shares of toughness."""
    found = followed(kind)
    sheet = draw_path_strip(found, "metric")
    frames = sheet.axes[:4]
    path = found.path
    lines = [each for each in found.corner.connections if len(each.edges)]
    states = [path.first_damage, path.highest - 1, just_past(found), len(path.load) - 1]
    # First damage comes between two states: the picture names the load that table and answer name.
    loads = [found.first_damage_load or path.load[states[0]], *path.load[states[1:]]]
    for axes, state, load in zip(frames, states, loads, strict=True):
        assert format_force(float(load), "metric") in axes.get_title()
        gone = found.gone(state)
        coloured = [
            one
            for one in axes.collections
            if isinstance(one, LineCollection) and one.get_array() is not None and len(one.get_array()) > 0
        ]
        assert len(coloured) == len(lines)
        for line, drawn in zip(lines, coloured, strict=True):
            assert np.asarray(drawn.get_array()) == pytest.approx(gone[line.name])
            assert drawn.get_clim() == (0.0, 1.0)
    assert re.search(r"corner,\s+bent\s+\d+\s+times\s+as\s+far", words(sheet))
    assert texts_of_load(frames[0]) == ["P"]
    assert path.load[states[2]] <= 0.95 * path.load.max()


def test_strip_grows_darker() -> None:
    """In the PNG itself: dark madder where glue has gone covers more of every next frame."""
    content = dict(path_drawings(followed("mitre")))["damage.png"]()
    assert content is not None
    colours = np.asarray(Image.open(io.BytesIO(content)).convert("RGB")).astype(int)
    dark = (colours[..., 0] > colours[..., 1] + 60) & (colours.sum(axis=2) < 330)
    whole = dark[:, : int(0.86 * dark.shape[1])]
    quarters = [part.sum() for row in np.array_split(whole, 2) for part in np.array_split(row, 2, axis=1)]
    print(quarters)
    assert quarters[0] <= quarters[1] <= quarters[2] < quarters[3]


def test_moment_picture_has_a_line_a_surface() -> None:
    """Shares in per cent of every surface on board A over the way, the marks by name."""
    found = followed("finger")
    sheet = draw_path_moment(found, "metric")
    below = sheet.axes[1]
    drawn = {line.get_label(): line for line in below.lines if not line.get_label().startswith("_")}
    shares = path_shares(found).share
    assert set(drawn) == set(shares)
    for name, share in shares.items():
        assert np.asarray(drawn[name].get_ydata()) == pytest.approx(100 * share)
        assert np.asarray(drawn[name].get_xdata()) == pytest.approx(100 * way_along(found))
    assert "first crack, break, highest load" in words(sheet)


@pytest.mark.parametrize("kind", ["butt", "mitre"])
def test_single_line_shows_what_has_gone_instead(kind: str) -> None:
    """One line would carry 100 % throughout: what it has spent is drawn, as in the strip of the corner."""
    found = followed(kind)
    sheet = draw_path_moment(found, "metric")
    (mesh,) = (one for one in sheet.axes[1].collections if isinstance(one, QuadMesh))
    shown = np.asarray(mesh.get_array())
    assert shown[:, 0] == pytest.approx(0.0)
    last = found.gone(len(found.path.load) - 1)[found.corner.surfaces[0].name]
    assert shown[:, -1].max() == pytest.approx(last.max())
    assert last.max() > 0.5
    assert "How far along its line the glue has gone" in " ".join(words(sheet).split())
    assert "share of its toughness spent" in words(sheet)
    assert "share of the bending at the corner" not in words(sheet)


def test_way_only_goes_on() -> None:
    """From 0 to 1, growing where the displacement turns back."""
    way = way_along(followed("mitre"))
    assert (way[0], way[-1]) == (0.0, pytest.approx(1.0))
    assert (np.diff(way) > 0).all()
