"""The pictures of a ranking: bars, and maps of strength on one scale, for any number of corners."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from msgspec import structs
from PIL import Image

from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.rank.ranking import ranked_corner
from glueline.studies.rank.ranking_bars import draw_ranking
from glueline.studies.rank.ranking_maps import draw_maps
from glueline.studies.show.canvas import as_png
from tests.studies.made_up_answers import made_up
from tests.studies.rank.ranked_corners import Made, corner


def many(made: dict[str, Made], count: int) -> list[Made]:
    """Corners with long, short and equal-looking names, of several arrangements and kinds of break."""
    names = [
        "a long name of a corner of a chest in the old shop, the left one",
        "a long name of a corner of a chest in the old shop, the right one",
        "withoutanyplacetobreakitatallbutstillverylongindeed",
        "$x_1$",
        "x",
    ]
    kinds = list(made)
    found = []
    for number in range(count):
        ranked, field = made[kinds[number % 4]]
        name = names[number % 5] + (f" {number}" if number > 4 else "")
        load = ranked.break_load * (0.6 + 0.1 * number)
        own = corner(name, load, None if number % 4 == 3 else (0.7 * load, 1.3 * load), ranked)
        arrangement = ("diagonal compression", "cantilever out")[number % 2] if count > 4 else "apex press"
        breaks = {"breaks_in": "wood", "mode": "fibre bending on the pressed side"} if number % 3 else {}
        own = structs.replace(own, **breaks, arrangement=arrangement, first_crack_load=0.8 * load)
        layout = field.strength.layout
        thick = layout.boards.thickness * (1 + number % 2 if count > 4 else 1)
        deeper = replace(layout, boards=replace(layout.boards, thickness=thick))
        strength = replace(field.strength, layout=deeper, arrangement=ARRANGEMENTS[arrangement])
        found.append(
            (
                own,
                replace(field, label=name, break_load=load, strength=strength),
            )
        )
    return found


def texts_of(sheet: Figure) -> list[Text]:
    """Everything written on a sheet that can be seen; ticks beyond the end of an axis cannot."""
    beyond = set()
    for axes in sheet.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in axis.get_major_ticks():
                if not low <= tick.get_loc() <= high:
                    beyond |= {tick.label1, tick.label2}
    return [
        text
        for text in sheet.findobj(Text)
        if isinstance(text, Text) and text not in beyond and text.get_visible() and text.get_text().strip()
    ]


@pytest.mark.parametrize("count", [1, 2, 4, 5, 10])
def test_pictures_read_well_for_any_number_of_corners(made: dict[str, Made], count: int) -> None:
    """Nothing written overlaps or runs off the sheet, however many corners and however long their names."""
    corners = many(made, count)
    sheets = [
        draw_ranking([each for each, _ in corners], "imperial"),
        draw_maps([f for _, f in corners], "metric"),
    ]
    for sheet in sheets:
        sheet.canvas.draw()
        renderer = sheet.canvas.get_renderer()  # type: ignore[attr-defined]
        boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in texts_of(sheet)]
        for index, (words, box) in enumerate(boxes):
            assert box.x0 >= 0, words
            assert box.y0 >= 0, words
            assert box.x1 <= sheet.bbox.width, words
            assert box.y1 <= sheet.bbox.height, words
            for others, other in boxes[index + 1 :]:
                assert not box.overlaps(other), (words, others)
        image = np.asarray(Image.open(io.BytesIO(as_png(sheet))).convert("RGB"))
        rim = np.concatenate([image[0], image[-1], image[:, 0], image[:, -1]])
        assert (rim == 255).all()
        assert 0.02 < (image != 255).any(axis=2).mean() < 0.9
        assert image.shape[1] >= 1100
        smallest = min(text.get_fontsize() for text in texts_of(sheet))
        assert smallest >= 12


def test_bars_are_as_long_as_their_loads(made: dict[str, Made]) -> None:
    like = made["butt"][0]
    sheet = draw_ranking([corner("a", 400, (300, 520), like), corner("b", 900, None, like)], "metric")
    axes = sheet.axes[0]
    assert [bar.get_width() for bar in axes.patches] == [900, 400]
    assert any(list(line.get_xdata()) == [300, 520] for line in axes.lines)
    assert [label.get_text() for label in axes.get_yticklabels()] == ["b", "a"]


def test_maps_share_one_scale_from_none_to_all_of_the_strength(made: dict[str, Made]) -> None:
    """Wood and glue of every panel have the same colours, which end at 100 %, and hold the shares found."""
    fields = [field for _, field in made.values()]
    sheet = draw_maps(fields, "metric")
    ranked = sorted(fields, key=lambda field: -field.break_load)
    for field, axes in zip(ranked, sheet.axes, strict=False):
        wood = axes.collections[0]
        (glue,) = (one for one in axes.collections if one.get_label() == "glue")
        for drawn, share in ((wood, field.strength.share.ravel()), (glue, field.strength.line_share)):
            assert drawn.get_clim() == (0.0, 1.0)
            assert drawn.get_cmap().name == "strength"
            assert np.allclose(drawn.get_array(), share)
        assert f"breaks at {field.break_load:.4g} N" in axes.get_title()
        assert field.mode.split()[0] in axes.get_xlabel()
        (small,) = axes.child_axes
        assert [text.get_text() for text in small.texts if text.get_text()] == ["P"]
    assert [tick.get_text() for tick in sheet.axes[-1].get_yticklabels()][::4] == [
        "0 %\nhealthy",
        "100 %\ngives",
    ]


def test_a_map_is_strongest_where_its_ring_sits(made: dict[str, Made]) -> None:
    """What breaks each corner is at 100 % there, and elsewhere no place is above it."""
    for _, field in made.values():
        found = field.strength
        assert found.share_near(found.point, 2.0) == pytest.approx(1.0)
        assert max(found.share.max(), found.line_share.max()) <= 1.0
        assert found.share.min() < 0.2


def test_a_crack_at_the_break_has_no_diamond(made: dict[str, Made]) -> None:
    like = made["butt"][0]
    at_end = structs.replace(like, label="end", first_crack_load=like.break_load)
    before = structs.replace(like, label="before", first_crack_load=0.6 * like.break_load)
    for corners, marks in (([at_end], 0), ([at_end, before], 1)):
        sheet = draw_ranking(corners, "metric")
        assert sum(line.get_marker() == "D" for line in sheet.axes[0].lines) == marks
        said = [text.get_text() for text in sheet.legends[0].get_texts()]
        assert ("first crack" in said) == bool(marks)


def test_the_slide_says_from_which_load_to_stand_clear() -> None:
    """The lowest of band and first crack, rounded down: 700 N, 157.4 lbf."""
    corner = ranked_corner(
        "mitre", "mitre.toml", made_up(1000.0, band=(800.0, 1250.0), first_crack_load=700.0)
    )
    for units, said in (("metric", "stand clear from 700 N; "), ("imperial", "stand clear from 155 lbf; ")):
        sheet = draw_ranking([corner], units)  # type: ignore[arg-type]
        assert any(said in text.get_text() for axes in sheet.axes for text in axes.texts)
