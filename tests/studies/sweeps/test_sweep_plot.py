"""The picture of a sweep, opened and looked into."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from glueline.geometries import JOINTS, FingerJoint
from glueline.studies.files.key_changes import joint_fields, known_keys
from glueline.studies.files.units import N_PER_LBF
from glueline.studies.show.canvas import LINE_COLOURS, as_png
from glueline.studies.sweeps.leftover import fingers_of
from glueline.studies.sweeps.rows import FinishedPoint, finished
from glueline.studies.sweeps.sweep_plot import draw_sweep, scale_of
from glueline.studies.sweeps.sweep_words import KEY_WORDS, key_words
from glueline.studies.sweeps.worker import Computed
from tests.studies.corners import specimen
from tests.studies.made_up_answers import made_up


def row(
    load: float | None, broke: str = "glue", band: tuple[float, float] | None = None, **keys: str
) -> FinishedPoint:
    """A finished point with its varied keys, a double underscore for the dot; without a load it failed."""
    answer = made_up(load or 1.0, breaks_in=broke, band=band, arrangement="apex press", method="progressive")
    values = {key.replace("__", "."): value for key, value in keys.items()}
    return finished(0, values, Computed(answer) if load else Computed(None, "a reason"))


def drawn(rows: list[FinishedPoint], *keys: str, units: Any = "metric") -> Figure:
    sheet = draw_sweep(keys, rows, units)
    assert sheet is not None
    picture = Image.open(io.BytesIO(as_png(sheet)))
    assert picture.size[0] > 500
    assert len(picture.convert("RGB").getcolors(1 << 24)) > 10
    return sheet


def texts(sheet: Figure) -> list[str]:
    """The words of the legends, then what is written above and below."""
    legend = [text.get_text() for each in sheet.legends for text in each.get_texts()]
    return [*legend, *(text.get_text() for text in sheet.texts)]


def written(sheet: Figure) -> str:
    return " ".join(" ".join(text.get_text() for text in sheet.texts).split())


def marks(sheet: Figure, marker: str, panel: int = 0) -> list[tuple[float, float]]:
    """Places of all marks of one kind in a panel."""
    return [
        (float(place), float(height))
        for line in sheet.axes[panel].get_lines()
        if line.get_marker() == marker
        for place, height in zip(line.get_xdata(), line.get_ydata(), strict=True)
    ]


def lines_between(sheet: Figure) -> list[Any]:
    """The lines that join two points of the first panel; marks are joined by none."""
    lines = sheet.axes[0].get_lines()
    return [line for line in lines if len(line.get_xdata()) == 2 and line.get_linestyle() != "None"]


def test_points_stand_where_their_numbers_are_marked_by_what_broke() -> None:
    rows = [
        row(500.0, "glue", (400.0, 620.0), joint__fingers="3"),
        row(900.0, "wood", (800.0, 1000.0), joint__fingers="7"),
        row(None, joint__fingers="6"),
    ]
    sheet = drawn(rows, "joint.fingers")
    assert marks(sheet, "o") == [(3.0, 500.0)]
    assert marks(sheet, "s") == [(7.0, 900.0)]
    assert marks(sheet, "x") == [(6.0, 0.0)]
    (band,) = sheet.axes[0].collections
    corners = band.get_paths()[0].vertices
    assert {(3.0, 400.0), (3.0, 620.0), (7.0, 800.0), (7.0, 1000.0)} <= {tuple(corner) for corner in corners}
    said = texts(sheet)
    assert {"breaks in glue", "breaks in wood", "no answer at 6: a reason"} <= set(said)
    assert "How does the break load change with the number of fingers?" in written(sheet)
    assert "5 to 95 %" in written(sheet)
    assert "apex press" in written(sheet)
    low, high = sheet.axes[0].get_ylim()
    assert low < 0 < 1000 < high


def test_one_line_for_each_value_of_the_other_keys() -> None:
    rows = [
        row(load, joint__fingers=fingers, boards__wood=wood, glue__kind="pva")
        for wood, loads in (("teak", (1.0, 2.0)), ("ash", (3.0, 4.0)))
        for fingers, load in zip(("3", "5"), loads, strict=True)
    ]
    sheet = drawn(rows, "joint.fingers", "boards.wood", "glue.kind")
    joined = [
        (list(line.get_xdata()), list(line.get_ydata()), line.get_color()) for line in lines_between(sheet)
    ]
    assert joined == [
        ([3.0, 5.0], [1.0, 2.0], LINE_COLOURS[0]),
        ([3.0, 5.0], [3.0, 4.0], LINE_COLOURS[1]),
    ]
    assert {"teak, pva", "ash, pva"} <= set(texts(sheet))
    assert "no band: scatter was not asked for" in written(sheet)
    assert sheet.legends[0].get_title().get_text() == "wood, glue"


def test_lengths_stand_in_the_units_shown_whatever_was_typed() -> None:
    rows = [row(100.0, joint__finger_width=width) for width in ("1/2 in", "20 mm", "1 cm")]
    sheet = drawn(rows, "joint.finger_width", units="imperial")
    assert np.array(sorted(marks(sheet, "o"))) == pytest.approx(
        np.array([(mm / 25.4, 100 / N_PER_LBF) for mm in (10, 12.7, 20)])
    )
    assert sheet.axes[0].get_xlabel() == "finger width, in"
    assert sheet.axes[0].get_ylabel() == "break load, lbf"


def test_names_stand_side_by_side() -> None:
    rows = [
        row(load, band=(load - 10, load + 10), boards__wood=wood, glue__quality=quality)
        for wood in ("red oak", "Mahogany (true, Honduras)")
        for quality, load in (("50 %", 100.0), ("100 %", 200.0))
    ]
    sheet = drawn(rows, "boards.wood", "glue.quality")
    names = [label.get_text() for label in sheet.axes[0].get_xticklabels()]
    assert names == ["red oak", "Mahogany (true, Honduras)"]
    places = [place for place, _ in marks(sheet, "o")]
    assert len(set(places)) == 4
    assert all(abs(place - round(place)) < 0.3 for place in places)


def test_keys_that_take_turns_get_a_panel_each() -> None:
    rows = [
        row(100.0, joint__fingers="3"),
        row(120.0, joint__finger_width="8 mm"),
        row(110.0, joint__finger_width="9 mm"),
    ]
    sheet = drawn(rows, "joint.fingers", "joint.finger_width")
    assert [axes.get_xlabel() for axes in sheet.axes] == ["number of fingers", "finger width, mm"]
    assert marks(sheet, "o", 0) == [(3.0, 100.0)]
    assert marks(sheet, "o", 1) == [(8.0, 120.0), (9.0, 110.0)]


def test_a_point_far_off_without_an_answer_does_not_squeeze_the_rest() -> None:
    rows = [row(100.0, joint__fingers="3"), row(120.0, joint__fingers="5"), row(None, joint__fingers="900")]
    sheet = drawn(rows, "joint.fingers")
    end = sheet.axes[0].get_xlim()[1]
    assert end < 10
    assert marks(sheet, "x") == [(end, 0.0)], "it does not vanish"


def test_every_failed_point_is_on_the_axis_with_why() -> None:
    """Two reasons, each once with all its values, in the words of the refusal without the key typed."""
    wide = "command line: --vary joint.fingers = {}: leaves no room"
    rows = [row(100.0 + n, joint__fingers=str(n)) for n in (3, 5)]
    rows += [finished(0, {"joint.fingers": n}, Computed(None, wide.format(n))) for n in ("8", "9")]
    rows += [finished(0, {"joint.fingers": "1"}, Computed(None, "following the path failed: it ends"))]
    sheet = drawn(rows, "joint.fingers")
    assert len(marks(sheet, "x")) == 3
    assert all(y == 0.0 for _, y in marks(sheet, "x"))
    said = texts(sheet)
    assert "no answer at 8, 9: leaves no room" in said
    assert "no answer at 1: following the path failed: it ends" in said


def test_a_width_sweep_counts_fingers_and_what_is_left() -> None:
    """On 90 mm, by hand: 22 fingers of 4 mm leave 2 mm, nine of 10 mm leave none."""
    corner = {
        text: specimen("finger", joint=FingerJoint(finger_width=width))
        for text, width in (("4 mm", 4.0), ("10 mm", 10.0))
    }
    rows = [
        FinishedPoint(
            number=n, values={"joint.finger_width": text}, status="ok", error="", answer=made_up(500.0)
        )
        for n, text in enumerate(corner)
    ]
    fingers = {n: fingers_of(each) for n, each in enumerate(corner.values())}
    sheet = draw_sweep(["joint.finger_width"], rows, "metric", fingers)
    sheet.canvas.draw()
    labels = [label.get_text() for label in sheet.axes[0].get_xticklabels()]
    assert labels == ["4\n23\n2 mm", "10\n9\n–"]
    assert "fingers" in sheet.axes[0].get_xlabel()
    assert fingers_of(specimen("butt")) is None


def test_many_lines_are_told_apart_or_counted() -> None:
    rows = [
        row(100.0 + index, joint__fingers=fingers, boards__wood=f"wood {index}")
        for index in range(15)
        for fingers in ("3", "5")
    ]
    sheet = drawn(rows, "joint.fingers", "boards.wood")
    looks = {(line.get_color(), line.get_linestyle()) for line in lines_between(sheet)}
    assert len(looks) == 15
    assert "and 3 more lines" in texts(sheet)


@pytest.mark.parametrize("names", [3, 15])
@pytest.mark.parametrize("length", [4, 30, 90])
def test_everything_written_stands_on_the_sheet(names: int, length: int) -> None:
    woods = [f"wood {index} {'m' * length}" for index in range(names)]
    rows = [
        row(None if fingers == "7" else 100.0, broke, joint__fingers=fingers, boards__wood=wood)
        for wood in woods
        for fingers, broke in (("3", "glue"), ("5", "wood"), ("7", "glue"))
    ]
    for keys in (("joint.fingers", "boards.wood"), ("boards.wood", "joint.fingers")):
        sheet = drawn(rows, *keys)
        renderer = sheet.canvas.get_renderer()  # type: ignore[attr-defined]
        width, height = sheet.bbox.size
        boxes = [each.get_window_extent(renderer) for each in (*sheet.legends, *sheet.texts)]
        boxes.append(sheet.axes[0].get_tightbbox(renderer))
        for box in boxes:
            assert 0 <= box.x0 <= box.x1 <= width
            assert 0 <= box.y0 <= box.y1 <= height
        for index, box in enumerate(boxes):
            for other in boxes[index + 1 :]:
                assert not box.overlaps(other)


def test_what_was_varied_is_not_said_of_all() -> None:
    rows = [
        finished(0, {"load.arrangement": way}, Computed(made_up(load, arrangement=way)))
        for way, load in (("apex press", 1.0), ("diagonal tension", 2.0))
    ]
    said = written(drawn(rows, "load.arrangement"))
    assert "How does the break load change with the load arrangement?" in said
    assert "finger corner, elastic answer; no band: the elastic answer has none" in said


def test_every_key_has_words_of_the_trade() -> None:
    for key in known_keys():
        table, _, name = key.partition(".")
        if table == "joint" and name != "kind":
            labels = {
                fields[name]["label"] for kind in JOINTS.values() if name in (fields := joint_fields(kind))
            }
            assert labels == {key_words(key)}
        else:
            assert key_words(key) == KEY_WORDS[key]


def test_without_any_answer_there_is_no_picture() -> None:
    assert draw_sweep(["joint.fingers"], [row(None, joint__fingers="3")], "metric") is None


@pytest.mark.parametrize(
    ("values", "numeric", "label"),
    [
        (["3", "5"], True, "number of fingers"),
        (["4 mm", "1 in"], True, "number of fingers, mm"),
        (["80 %", "100 %"], True, "number of fingers, %"),
        (["3", "4 mm"], False, "number of fingers"),
        (["red oak"], False, "number of fingers"),
    ],
)
def test_an_axis_has_numbers_only_where_all_values_are_of_one_kind(
    values: list[str], numeric: bool, label: str
) -> None:
    scale = scale_of("joint.fingers", values, "metric")
    assert scale.numeric is numeric
    assert scale.label == label
