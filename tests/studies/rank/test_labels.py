"""Labels of corners side by side: apart from each other, as short as their place."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.studies.rank.ranking import corner_labels, labels_of
from glueline.studies.show.lettering import short_labels, shortened, text_width

NAMES = st.lists(st.text(min_size=1, max_size=40), min_size=1, max_size=8)


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
