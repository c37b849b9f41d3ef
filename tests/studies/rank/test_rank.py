"""Corners side by side: labels, order, what is said of differences, the pictures, the command."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.figure import Figure
from matplotlib.text import Text
from msgspec import structs
from PIL import Image

from glueline import predict
from glueline.studies.commands import main
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.json_text import json_text, read_json
from glueline.studies.rank.rank_table import rank_rows
from glueline.studies.rank.ranking import (
    RankedCorner,
    comparison_notes,
    corner_labels,
    labels_of,
    ranked_corner,
    scatter_words,
    strongest_first,
)
from glueline.studies.rank.ranking_bars import draw_ranking
from glueline.studies.rank.ranking_file import RankingFile, ranking_file
from glueline.studies.rank.ranking_maps import CornerField, corner_field, draw_maps
from glueline.studies.rank.write_ranking import notes_of, ranking_text
from glueline.studies.show.canvas import as_png
from glueline.studies.show.lettering import short_labels, shortened, text_width
from tests.studies.corners import JOINTS, specimen
from tests.studies.made_up_answers import made_up

Made = tuple[RankedCorner, CornerField]
NAMES = st.lists(st.text(min_size=1, max_size=40), min_size=1, max_size=8)
BANDS = st.lists(st.tuples(st.floats(1, 900), st.floats(1, 900), st.floats(0, 1)), min_size=2, max_size=8)


@pytest.fixture(scope="module")
def made() -> dict[str, Made]:
    """The four joints, elastic, as a ranking keeps them."""
    found = {}
    for kind in JOINTS:
        answer = predict(specimen(kind), method="elastic")
        found[kind] = ranked_corner(kind, f"{kind}.toml", answer.answer), corner_field(answer, kind)
    return found


def corner(label: str, load: float, band: tuple[float, float] | None, like: RankedCorner) -> RankedCorner:
    """A corner of that load and band, in all else like another."""
    moment = like.arm * load / 1000
    return structs.replace(
        like, label=label, file=f"{label}.toml", break_load=load, break_moment_Nm=moment, band=band
    )


# Labels


@given(NAMES)
def test_labels_tell_files_apart(names: list[str]) -> None:
    labels = labels_of(names)
    assert len(set(labels)) == len(names)
    assert all(label.strip() and label.isprintable() for label in labels)


def test_labels_say_how_corners_are_loaded_where_that_differs() -> None:
    files = ["oak/c.toml", "ash/c.toml", "c.toml", "c.toml"]
    assert corner_labels(files[:2], ["apex press"] * 2) == ("oak/c", "ash/c")
    loaded = corner_labels(files, ["apex press", "cantilever in", "cantilever in", "cantilever in"])
    assert loaded[0] == f"{labels_of(files)[0]}, apex press"
    assert loaded[3] == f"{labels_of(files)[3]}, cantilever in"
    assert len(set(loaded)) == 4


def test_labels_are_names_and_folders_only_where_names_repeat() -> None:
    assert labels_of(["a/splined_mitre.toml", "b/butt.toml"]) == ("splined mitre", "butt")
    assert labels_of(["oak/corner.toml", "ash/corner.toml", "butt.toml"]) == (
        "oak/corner",
        "ash/corner",
        "butt",
    )
    assert labels_of(["x/oak/c.toml", "y/oak/c.toml"]) == ("x/oak/c", "y/oak/c")
    assert labels_of(["c.toml", "c.toml", "./c.toml"]) == ("c", "c (2)", "c (3)")


@settings(deadline=None)  # the first letters of a script load its font
@given(NAMES, st.floats(0.5, 3))
def test_labels_fit_their_place_and_stay_apart(names: list[str], width: float) -> None:
    labels = list(labels_of([name * 3 for name in names]))
    short = short_labels(labels, 19, width, 3)
    assert len(set(short)) == len(short)
    for label in short:
        lines = label.replace(r"\$", "$").split("\n")
        assert len(lines) <= 3
        # One letter can be no narrower than it is; all else fits.
        assert all(len(line) == 1 or text_width(line, 19) <= width + 1e-9 for line in lines)


def test_words_are_cut_where_they_would_not_fit() -> None:
    assert shortened("glue opening", 16, 5) == "glue opening"
    cut = shortened("glue opening at the outside end", 16, 1.5)
    assert cut.endswith("…")
    assert text_width(cut, 16) <= 1.5


# Order and differences


def test_the_strongest_comes_first_and_the_object_keeps_what_came(made: dict[str, Made]) -> None:
    corners = [each for each, _ in made.values()]
    text = json_text(ranking_file(corners))
    found = json.loads(text)
    assert [each["label"] for each in found["corners"]] == list(JOINTS)
    assert all({"label", "file", "break_load_N", "band_N"} <= set(each) for each in found["corners"])
    loads = {each["label"]: each["break_load_N"] for each in found["corners"]}
    assert [loads[label] for label in found["order"]] == sorted(loads.values(), reverse=True)
    assert set(found) == {"corners", "order", "orders_over_ranges"}
    assert read_json(text, RankingFile) == ranking_file(corners)


@given(BANDS)
def test_an_order_is_claimed_exactly_where_bands_lie_apart(bands: list[tuple[float, float, float]]) -> None:
    """Against all pairs, one by one."""
    like = ranked_corner("x", "x", made_up(1.0))
    corners = []
    for number, (one, other, share) in enumerate(bands):
        low, high = sorted((one, other))
        corners.append(corner(f"c{number}", low + share * (high - low), (low, high), like))
    words = scatter_words(corners)
    text = " ".join(words)
    ranked = strongest_first(corners)
    apart = {
        (a.label, b.label) for a in ranked for b in ranked if (a.band or (0, 0))[0] > (b.band or (0, 0))[1]
    }
    if len(apart) == len(ranked) * (len(ranked) - 1) / 2:
        assert words == ("Every difference is larger than the scatter: no bands overlap.",)
        return
    if not apart:
        assert words[0].startswith("No difference is larger than the scatter")
        return
    claimed, unclaimed = set(), set()
    for sentence in words:
        if sentence.startswith("Larger"):
            more, less = sentence.partition(" hold")[::2]
            claimed |= {(a, b) for a in labels_in(more) for b in labels_in(less)}
        else:
            group = labels_in(sentence)
            unclaimed |= {frozenset((a, b)) for a in group for b in group if a != b}
    assert claimed == apart, text
    every = {frozenset((a.label, b.label)) for a in ranked for b in ranked if a is not b}
    assert unclaimed == every - {frozenset(pair) for pair in apart}, text


def labels_in(sentence: str) -> list[str]:
    """The labels c0, c1, ... that a sentence names."""
    return [word.strip(".,:") for word in sentence.split() if word.startswith("c") and word[1:2].isdigit()]


def test_without_bands_nothing_is_claimed(made: dict[str, Made]) -> None:
    corners = [each for each, _ in made.values()]
    assert all(each.band is None for each in corners)
    (sentence,) = scatter_words(corners)
    assert "no scatter band" in sentence
    assert "not known" in sentence
    half = [corner("a", 500, (400, 600), corners[0]), corner("b", 100, (80, 120), corners[0]), corners[1]]
    assert scatter_words(half)[0].startswith("mitre has no scatter band")
    assert scatter_words(half)[1] == (
        "Every difference among a and b is larger than the scatter: no bands overlap."
    )
    assert scatter_words(corners[:1]) == ()


def test_loads_that_are_not_of_one_kind_are_called_so(made: dict[str, Made]) -> None:
    butt, mitre = made["butt"][0], made["mitre"][0]
    assert comparison_notes([butt, mitre]) == ()
    pressed = structs.replace(mitre, arrangement="apex press")
    assert "loaded in different ways" in comparison_notes([butt, pressed])[0]
    longer = structs.replace(mitre, break_moment_Nm=2 * mitre.break_moment_Nm)
    assert "lever arms" in comparison_notes([butt, longer])[0]
    assert "bending then" in rank_rows([butt, longer], "metric")[0]
    assert "bending then" not in rank_rows([butt, mitre], "metric")[0]


# The table


def test_the_table_has_what_a_teacher_asks_for(made: dict[str, Made]) -> None:
    like = made["butt"][0]
    cracked = structs.replace(corner("a", 1000, (800, 1250), like), first_crack_load=700.0)
    head, first, second = rank_rows([corner("b", 500, None, like), cracked], "metric")
    row = dict(zip(head, first, strict=True))
    assert row["corner"] == "a"
    assert row["break load"] == "1000 N"
    assert row["band, 5 to 95 %"] == "800 to 1250 N"
    assert row["first crack"] == "700 N"
    assert row["what breaks"] == like.mode
    assert row["where"] == like.where
    assert row["stiffness"].endswith("per degree")
    assert row["glue area"] == "17.1 cm²"  # 19 mm by 90 mm
    assert dict(zip(head, second, strict=True))["band, 5 to 95 %"] == "—"
    assert "lbf" in rank_rows([cracked], "imperial")[1][2]


def test_the_text_carries_notes_once_and_cautions(made: dict[str, Made]) -> None:
    corners = [each for each, _ in made.values()]
    text = ranking_text(corners, "metric")
    assert text.endswith(CAUTIONS)
    assert "safe" not in text.lower()
    notes = notes_of(corners, "metric")
    assert len(notes) == len(set(notes))
    assert any(note.startswith("splined mitre: The splines are taken as equally spaced") for note in notes)


# The pictures


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


# The command


def test_rank_writes_its_directory_and_one_object(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(example_path(name)) for name in ("butt", "splined_mitre")]
    out = tmp_path / "ranking"
    assert main(["rank", *files, "--method", "elastic", "--json", "--out", str(out)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["order"] == ["splined mitre", "butt"]
    assert json.loads((out / "ranking.json").read_text()) == found
    assert {path.name for path in out.iterdir()} == {
        "ranking.json",
        "ranking.png",
        "ranking_stress.png",
        "provenance.json",
        "rank.manifest.json",
    }
    record = json.loads((out / "provenance.json").read_text())
    assert record["request"]["method"] == "elastic"
    assert [each["label"] for each in record["corners"]] == ["butt", "splined mitre"]
    maple = next(each for each in record["materials"] if each["name"].startswith("Sugar"))
    assert maple["used_for"][0] == "butt: board A"


def test_rank_equals_single_predictions(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(example_path(name)) for name in EXAMPLES[:2]]
    change = ["--set", "boards.wood=red oak", "--method", "elastic", "--json"]
    assert main(["rank", *files, *change]) == 0
    ranked = json.loads(capsys.readouterr().out)["corners"]
    for file, both in zip(files, ranked, strict=True):
        assert main(["predict", file, *change]) == 0
        alone = json.loads(capsys.readouterr().out)
        assert both.pop("file") == file
        both.pop("label")
        assert both.pop("glue") == "pva"
        assert both == alone


def test_rank_prints_a_table_with_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(example_path("mitre"))
    assert main(["rank", file, file, "--method", "elastic", "--units", "imperial"]) == 0
    text = capsys.readouterr().out
    assert "mitre (2)" in text
    assert "lbf" in text
    assert CAUTIONS in text


def test_every_wrong_file_is_named_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(tmp_path / "nowhere.toml"), str(example_path("butt")), str(example_path("finger"))]
    words = ["rank", *files, "--set", "joint.fingers=5", "--out", str(tmp_path / "out")]
    assert main(words) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "nowhere.toml: no such file" in said.err
    assert f"for {files[1]}: --set joint.fingers" in said.err
    assert files[2] not in said.err
    assert not (tmp_path / "out").exists()


def test_rank_needs_a_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rank"]) == 2
    assert "FILE" in capsys.readouterr().err


def test_the_slide_says_from_which_load_to_stand_clear() -> None:
    """The lowest of band and first crack, rounded down: 700 N, 157.4 lbf."""
    corner = ranked_corner(
        "mitre", "mitre.toml", made_up(1000.0, band=(800.0, 1250.0), first_crack_load=700.0)
    )
    for units, said in (("metric", "stand clear from 700 N; "), ("imperial", "stand clear from 155 lbf; ")):
        sheet = draw_ranking([corner], units)  # type: ignore[arg-type]
        assert any(said in text.get_text() for axes in sheet.axes for text in axes.texts)
