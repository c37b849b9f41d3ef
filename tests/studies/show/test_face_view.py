"""The cut-open corner: every kind and lay has its pieces, glue and scale on it, and nothing overlaps."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import combinations
from typing import Any

import matplotlib.colors as colours_of
import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from PIL import Image

from glueline.geometries import JOINTS, Boards, Dovetail, Dowels
from glueline.geometries.across import whole_width
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.units import Units
from glueline.studies.show.canvas import LINE_COLOURS, WOOD_FILLS, as_png
from glueline.studies.show.face_view import draw_face_view
from tests.studies.colours import colours_in

BOARDS = {"box": Boards(19.0, 90.0, 150.0), "frame": Boards(19.0, 60.0, 200.0, "frame")}
CORNERS = [(kind, lay) for kind, joint in JOINTS.items() for lay in joint.lays]


def corner_of(kind: str, lay: str = "box", joint: Any = None) -> CornerModel:
    """A corner of a kind as in its example, or with what is usual on other boards."""
    specimen = read_specimen(example_path(kind.replace(" ", "_").replace("-", "_")))
    if joint is not None or specimen.boards.lay != lay:
        made, boards = JOINTS[kind], BOARDS[lay]
        usual = made.parameters() if made.usual is None else made.usual(boards)
        specimen = replace(specimen, joint=joint or usual, boards=boards)
    return build_corner(specimen, element_size=8.0)


@pytest.fixture(scope="module", params=CORNERS, ids=[f"{kind} {lay}" for kind, lay in CORNERS])
def corner(request: pytest.FixtureRequest) -> CornerModel:
    return corner_of(*request.param)


def words_of(sheet: Figure) -> dict[str, Bbox]:
    """Every line of text that is drawn, by what it says and where it stands."""
    sheet.canvas.draw()
    renderer = sheet.canvas.get_renderer()  # type: ignore[attr-defined]
    found = {}
    for text in sheet.findobj(Text):
        assert isinstance(text, Text)
        if text.get_text() and text.get_visible():
            box = text.get_window_extent(renderer)
            found[f"{text.get_text()} at {box.x0:.0f}, {box.y0:.0f}"] = box
    return found


def panels_of(sheet: Figure) -> list[Any]:
    """The axes of the two cuts, without the loaded corner beside them."""
    return [axes for axes in sheet.axes if axes.get_label() != "load"]


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_no_text_overlaps_or_is_cut_off(corner: CornerModel, units: Units) -> None:
    sheet = draw_face_view(corner, units)
    words = words_of(sheet)
    width, height = sheet.bbox.width, sheet.bbox.height
    for name, box in words.items():
        assert box.x0 > 0, name
        assert box.y0 > 0, name
        assert box.x1 < width, name
        assert box.y1 < height, name
    for (first, one), (second, other) in combinations(words.items(), 2):
        assert not one.overlaps(other), (first, second)
    for axes in panels_of(sheet):
        panel = axes.get_window_extent()
        assert not [name for name, box in words.items() if box.overlaps(panel)]


def test_both_boards_stand_at_one_true_scale(corner: CornerModel) -> None:
    """As many pixels for a mm along as across, in both panels, over the whole width."""
    sheet = draw_face_view(corner, "metric")
    sheet.canvas.draw()
    scales = []
    for axes in panels_of(sheet):
        (x0, y0), (x1, y1) = axes.transData.transform([(0.0, 0.0), (10.0, 10.0)])
        scales += [x1 - x0, y1 - y0]
        low, high = axes.get_ylim()
        assert low < 0.0 < whole_width(corner.layout) < high
    assert scales == pytest.approx([scales[0]] * 4, rel=1e-6)


def test_the_loaded_corner_stands_beside(corner: CornerModel) -> None:
    """Its arrows and supports as in the other pictures, on the sheet and clear of both cuts."""
    sheet = draw_face_view(corner, "metric")
    sheet.canvas.draw()
    (loaded,) = [axes for axes in sheet.axes if axes.get_label() == "load"]
    sketch = corner.specimen.arrangement.sketch(corner.layout.boards)
    assert [text.get_text() for text in loaded.texts if text.get_text()] == ["P"] * len(sketch.arrows)
    supports = [patch for patch in loaded.patches if patch.get_label() == "support"]
    assert len(supports) == len(sketch.supports)
    box = loaded.get_window_extent()
    assert 0 < box.x0 < box.x1 < sheet.bbox.width
    assert 0 < box.y0 < box.y1 < sheet.bbox.height
    assert not any(axes.get_window_extent().overlaps(box) for axes in panels_of(sheet))


def test_the_picture_shows_its_woods_and_its_glue(corner: CornerModel) -> None:
    content = as_png(draw_face_view(corner, "metric"))
    image = np.asarray(Image.open(io.BytesIO(content)).convert("RGB"))
    assert image.shape[1] >= 700
    assert image.shape[0] >= 450
    seen = colours_in(image)
    for wanted in (*WOOD_FILLS[:2], LINE_COLOURS[0]):
        assert tuple(round(255 * part) for part in colours_of.to_rgb(wanted)) in seen
    rim = np.concatenate([image[0], image[-1], image[:, 0], image[:, -1]])
    assert (rim == 255).all()


def test_the_legend_names_every_piece_and_every_surface(corner: CornerModel) -> None:
    """All that a joint is made of is met by one of its two cuts; and the fasteners by their number."""
    (legend,) = draw_face_view(corner, "metric").legends
    words = [text.get_text() for text in legend.get_texts()]
    assert len(words) == len(set(words))
    layout = corner.layout
    wanted = {piece.name for piece in layout.pieces}
    wanted |= {rod.member.name for rod in layout.rods} | {f"{each.singular}s" for each in layout.hardware}
    assert wanted <= set(words) | {f"{word}s" for word in words}
    named = [held.legend for held in corner.connections if held.legend in words]
    # Of several dowels in a row along the joint a cut meets one in board B, and all in board A.
    assert len(named) >= len(corner.connections) - max(len(layout.rods) - 1, 0)


def test_lengths_are_in_the_units_asked() -> None:
    corner = corner_of("rebate")
    for units, depth, unit in (("metric", "13 mm", "mm"), ("imperial", "1/2 in", "in")):
        first, _ = panels_of(draw_face_view(corner, units))  # type: ignore[arg-type]
        assert f"cut {depth} under its outside face" in first.get_title()
        assert first.get_xlabel() == f"along board A from the corner, {unit}"
        assert first.get_ylabel() == f"across the width, {unit}"
    # A tick of 1/2 in stands at 12.7 mm.
    places = dict(zip([text.get_text() for text in first.get_xticklabels()], first.get_xticks(), strict=True))
    assert places["1"] == pytest.approx(25.4)


@pytest.mark.parametrize(
    ("kind", "joint"), [("dovetail", Dovetail(tails=4, tails_on="B")), ("dowel", Dowels("mitre"))]
)
def test_other_measures_are_drawn_too(kind: str, joint: Any) -> None:
    sheet = draw_face_view(corner_of(kind, "box", joint), "metric")
    assert [axes.get_title().split("\n")[0] for axes in panels_of(sheet)] == ["board A", "board B"]
    words_of(sheet)
