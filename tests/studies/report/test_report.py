"""glueline report: one page from a directory of results; what it holds, in which order, how it is told."""

from __future__ import annotations

import html
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.studies.commands import main
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.examples import example_path
from glueline.studies.files.display import format_property
from glueline.studies.rank.ranking import scatter_words
from glueline.studies.report import read_directory, report_page
from glueline.studies.report.markup import element, shown
from tests.studies.report.report_pages import COMMANDS, Page, edited, page_of, sealed, style_of
from tests.studies.report.spoiled_results import spoiled

HOSTILE = "<img src=x onerror=\"alert('1')\"></td></table></style><script>alert(2)</script>&lt;&#60;\x00\x1b"


@pytest.mark.parametrize("command", COMMANDS)
def test_a_page_needs_nothing_else(command: str, folders: dict[str, Path]) -> None:
    """No script, no network, every picture inside, whole and told in words; a phone's width; print."""
    content = report_page(read_directory(folders[command]))
    page = Page(content)
    page.check_self_contained()
    policy = next(each["content"] for _, each in page.attributes if each.get("http-equiv"))
    assert policy.startswith("default-src 'none'")
    assert any(each.get("name") == "viewport" for _, each in page.attributes)
    style = style_of(content)
    assert "@media print" in style
    assert "url(" not in style
    assert "@import" not in style
    pictures = page.pictures()
    assert len(pictures) == len(list(folders[command].glob("*.png")))
    for picture, attributes in pictures:
        assert (str(picture.width), str(picture.height)) == (attributes["width"], attributes["height"])
        assert " N" in attributes["alt"]
        assert len(picture.convert("L").getcolors(256) or []) > 3
    assert report_page(read_directory(folders[command])) == content


@pytest.mark.parametrize("command", COMMANDS)
def test_a_page_tells_what_the_answers_rest_on(command: str, folders: dict[str, Path]) -> None:
    """Inputs, versions, solver, cautions; for every material value its number, scatter, mark and source."""
    page = page_of(folders[command])
    record = json.loads((folders[command] / "provenance.json").read_text(encoding="utf-8"))
    for line in CAUTIONS.split("\n"):
        assert line in page.text
    for name, version in record["versions"].items():
        assert f"{name} {version} " in page.text
    assert "solver sparse LU" in page.text
    for table, values in record["corners"][0]["specimen"].items():
        for key, value in values.items():
            if (command, key) != ("sweep", "fingers"):
                assert f"{table}.{key}" in page.text
                assert str(value) in page.text
    sources = [text for name, text in sorted(page.by_id.items()) if name.startswith("source-")]
    used = {value["source"] for entry in record["materials"] for value in entry["values"]}
    assert sorted(sources) == sorted(used)
    for entry in record["materials"]:
        assert entry["name"] in page.text
        for note in entry["notes"]:
            assert note in page.text
        for value in entry["values"]:
            number = "without limit"
            if value["value"] is not None:
                number = format_property(value["value"], value["unit"], "metric")
            spread = "" if value["cov"] is None else f"{100 * value['cov']:.0f} %"
            name = value["key"].replace("_", " ").replace(".", ", ")
            source = next(key for key, text in page.by_id.items() if text == value["source"])
            row = [name, number, spread, value["mark"] or "", source.removeprefix("source-")]
            assert " ".join(row) in page.text


def test_the_page_of_one_corner(folders: dict[str, Path]) -> None:
    """The load, what breaks, the reason, every mode, every note."""
    answer = json.loads((folders["predict"] / "prediction.json").read_text(encoding="utf-8"))
    page = page_of(folders["predict"])
    assert f"Breaks at {answer['break_load_N']:.4g} N" in page.text
    for words in (answer["why"], answer["mode"], answer["where"], *answer["notes"], *answer["warnings"]):
        assert words in page.text
    for mode in answer["modes"]:
        assert f"{mode['mode']} {mode['where']}" in page.text
    assert "no scatter band" in page.text
    said = page.text.index(answer["said_aloud"]["sentence"])
    assert said < page.text.index("Cautions") < page.text.index("first damage")


def test_the_page_of_one_corner_opens_with_what_is_asked_first(folders: dict[str, Path]) -> None:
    """Sentence, picture, load, change, cautions; then the rest; what few read is folded, and told of."""
    content = report_page(read_directory(folders["predict"])).decode()
    answer = json.loads((folders["predict"] / "prediction.json").read_text(encoding="utf-8"))
    in_turn = (
        html.escape(answer["said_aloud"]["sentence"]),
        "<figure",
        "Breaks at ",
        ">Which change would be enough<",
        ">Cautions<",
        ">Five loads<",
        "<summary>Figures and every mode</summary>",
        "Every way of breaking with the load at which it would come",
        "<summary>What every material value rests on</summary>",
        ">Sources<",
    )
    places = [content.index(words) for words in in_turn]
    assert places == sorted(places)
    first = content[places[1] : places[2]]
    assert "How much of its strength every place uses as the corner breaks" in first


@pytest.mark.parametrize("command", COMMANDS)
def test_what_is_folded_stands_beside_its_handle_and_is_hidden_on_screens_alone(
    command: str, folders: dict[str, Path]
) -> None:
    """So that it prints open in every browser, with no script."""
    content = report_page(read_directory(folders[command]))
    page, text = Page(content), content.decode()
    assert page.tags["details"] == text.count('</details><div class="folded">') >= 4
    style = style_of(content)
    rule = ".handle:not([open]) + .folded { display: none; }"
    assert style.count(rule) == style.count("display: none; }\n}") == 1
    assert style.partition(rule)[0].rstrip().endswith("@media screen {")


def test_the_page_of_a_ranking(folders: dict[str, Path]) -> None:
    """Strongest first, with what the scatter allows to be said."""
    found = json.loads((folders["rank"] / "ranking.json").read_text(encoding="utf-8"))
    page = page_of(folders["rank"])
    first, second = found["order"]
    said = [page.text.index(f"{label}: Stand clear from ") for label in (first, second)]
    assert 0 < said[0] < said[1] < page.text.index("Cautions")
    for words in scatter_words(read_directory(folders["rank"]).corners):
        assert words in page.text
    for each in found["corners"]:
        assert f"{each['label']}:  {each['why']}" in page.text
        assert each["file"] in page.text


def test_bands_that_overlap_claim_no_order(copied: Callable[[str], Path]) -> None:
    """With bands laid over each other the page says so, and shows them."""
    folder = copied("rank")

    def band(found: Any) -> None:
        for each in found["corners"]:
            each["band_N"] = [100.0, 2000.0]

    edited(folder / "ranking.json", band)
    page = page_of(folder)
    assert "no order is claimed" in page.text
    assert "100 to 2000 N" in page.text


def test_the_page_of_a_sweep(folders: dict[str, Path], copied: Callable[[str], Path]) -> None:
    """Every point with its load, the failed one with its reason; a torn line is a point not computed yet."""
    page = page_of(folders["sweep"])
    assert "2 of 3 points have an answer" in page.text
    strongest, weakest = (page.text.index(f"{word}, joint.fingers = ") for word in ("strongest", "weakest"))
    assert strongest < weakest < page.text.index("2 of 3 points")
    assert page.text.index("Stand clear from") < page.text.index("Cautions")
    assert "must be at least 2" in page.text
    assert "joint.fingers 1, 3, 5" in page.text
    folder = copied("sweep")
    points = folder / "points.jsonl"
    whole = points.read_bytes().splitlines(keepends=True)
    done = [line for line in whole if b'"ok"' in line]
    points.write_bytes(done[0] + done[1][:-40])
    sealed(folder)
    page = page_of(folder)
    assert "1 of 3 points have an answer" in page.text
    assert "2 are not computed yet" in page.text


def test_pictures_of_another_answer_are_left_out(copied: Callable[[str], Path]) -> None:
    """What a progressive answer left behind is not shown with an elastic one; a lost one is named."""
    folder = copied("predict")
    shutil.copy(folder / "parts.png", folder / "damage.png")
    shutil.copy(folder / "parts.png", folder / "holiday.png")
    (folder / "share_of_strength.png").unlink()
    sealed(folder)
    page = page_of(folder)
    assert len(page.pictures()) == len(list(folder.glob("*.png"))) - 2
    assert "Not in the directory: share_of_strength.png" in page.text


@pytest.mark.parametrize(
    ("shares", "said", "never"),
    [
        (
            {"butt face": 1.0},
            "how far along its only glued surface the glue has gone",
            "which surface carries",
        ),
        ({"mitre": 0.9, "spline cheeks A": 0.1}, "which surface carries how much", "only glued surface"),
    ],
)
def test_the_moment_along_the_path_is_told_as_it_is_shown(
    shares: dict[str, float], said: str, never: str, copied: Callable[[str], Path]
) -> None:
    """One surface carries all of the moment: its picture shows damage along it instead."""
    folder = copied("predict")
    shutil.copy(folder / "parts.png", folder / "moment_along_path.png")
    edited(folder / "prediction.json", lambda found: found.update(method="progressive", moment_share=shares))
    text = page_of(folder).text
    assert said in text
    assert never not in text


@pytest.mark.parametrize("command", COMMANDS)
def test_no_text_becomes_markup(command: str, folders: dict[str, Path]) -> None:
    """Markup in any name, note or file is shown letter by letter: no element more than with plain words."""
    results = read_directory(folders[command])
    plain, page = (Page(report_page(spoiled(results, text))) for text in ("plain", HOSTILE))
    page.check_self_contained()
    assert page.tags == plain.tags
    assert page.text.count("<script>alert(2)</script>") >= 20
    assert "\x00" not in page.text
    assert "\x1b" not in page.text


@settings(max_examples=40, deadline=None)
@given(st.text(min_size=1, max_size=60))
def test_any_text_comes_back(text: str) -> None:
    """Inside an element and in an attribute, letter by letter, whatever it is; it always fits UTF-8."""
    content = element("p", text, title=text)
    content.encode("utf-8")
    page = Page(f"{content}".encode())
    assert page.tags == {"p": 1}
    assert page.attributes[0][1]["title"] == shown(text)
    assert page.text.removesuffix(" ") == shown(text).replace("\N{NO-BREAK SPACE}", " ")
    assert html.unescape(content.removesuffix("</p>").rpartition(">")[2]) == shown(text)


def test_a_file_with_a_hostile_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From the command line to the page, through the directory's own files."""
    name = '<img src=x onerror=alert(1)>"&.toml'
    shutil.copy(example_path("butt"), tmp_path / name)
    words = ["rank", str(tmp_path / name), str(example_path("mitre")), "--method", "elastic"]
    assert main([*words, "--out", str(tmp_path / "out")]) == 0
    out = tmp_path / "page.html"
    assert main(["report", str(tmp_path / "out"), "--out", str(out)]) == 0
    assert capsys.readouterr().out.endswith(f"written to {out}\n")
    page = Page(out.read_bytes())
    page.check_self_contained()
    assert name in page.text
    assert len(page.pictures()) == 2


def test_imperial_results_make_an_imperial_page(copied: Callable[[str], Path]) -> None:
    """As the pictures are."""
    folder = copied("predict")
    edited(folder / "provenance.json", lambda found: found.update(units="imperial"))
    page = page_of(folder)
    answer = json.loads((folder / "prediction.json").read_text(encoding="utf-8"))
    pounds = answer["break_load_N"] / 4.4482216152605  # the pound-force, exact by definition
    assert f"Breaks at {pounds:.4g} lbf" in page.text
    assert " psi" in page.text
    assert " MPa" not in page.text.partition("Sources")[0]


@pytest.mark.slow
def test_the_page_of_a_path_past_the_peak(tmp_path: Path) -> None:
    """A progressive answer: its pictures, band, give and work stand on the page."""
    out = tmp_path / "out"
    assert main(["predict", str(example_path("butt")), "--out", str(out)]) == 0
    page = page_of(out)
    answer = json.loads((out / "prediction.json").read_text(encoding="utf-8"))
    assert len(page.pictures()) == len(list(out.glob("*.png"))) == 6
    low, high = answer["band_N"]
    assert f"({low:.4g} to {high:.4g} N)" in page.text
    for words in (
        "How the glue lines let go",
        "give at the break",
        "catch blocks",
        answer["scatter"]["note"],
    ):
        assert words in page.text
