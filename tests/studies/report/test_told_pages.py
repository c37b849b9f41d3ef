"""Pages of what bench, plan, service, least and influence wrote, alone and beside a prediction."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest
from PIL import Image

from glueline.studies.bench_day.comparison.break_photos import LONGEST_SIDE, NoPhoto, small_photo
from glueline.studies.commands import main
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.files.failures import InputError
from glueline.studies.report import read_directory, report_page
from tests.studies.report.report_pages import Page, edited, page_of

FAST = ("--method", "elastic", "--no-band")
TOLD = ("bench", "plan", "service", "least", "influence")
ORIENTATION, PLACE_TAKEN = 0x0112, 0x8825  # tags of Exif 2.3
TURNED_RIGHT = 6


def photographed(folder: Path) -> Path:
    """The invented day's log with four photos: two there, one lost, one elsewhere."""
    rows = list(csv.reader(bench_day_path("bench_log.csv").open(encoding="utf-8", newline="")))
    for name in {row[0] for row in rows[1:]}:
        shutil.copy(example_path(name.removesuffix(".toml")), folder / name)
    names = ["mitre break.jpg", "second.png", "lost.jpg", "../elsewhere.jpg"]
    photos = dict(zip(range(1, 5), names, strict=True))
    rows = [[*row, photos.get(number, "")] for number, row in enumerate(rows)]
    rows[0][-1] = "photo"
    log = folder / "log.csv"
    with log.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    exif = Image.Exif()
    exif[ORIENTATION] = TURNED_RIGHT
    Image.new("RGB", (3000, 1500), "tan").save(folder / names[0], exif=exif)
    Image.new("RGB", (60, 40), "brown").save(folder / names[1])
    Image.new("RGB", (60, 40), "red").save(folder.parent / "elsewhere.jpg")
    return log


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """What each of these commands writes; elastic answers are quick."""
    folder = tmp_path_factory.mktemp("told") / "day"
    folder.mkdir()
    butt, finger = str(example_path("butt")), str(example_path("finger"))
    rig = ("--rig", str(bench_day_path("bench_rig.toml")))
    asked = {
        "bench": [str(photographed(folder)), *rig],
        "plan": [butt, finger, *rig],
        "service": [butt, "--use", "drawer"],
        "least": [finger, "--vary", "joint.fingers=3,5", "--wood-first", "--workers", "1"],
        "influence": [finger, "--workers", "1"],
    }
    for command, words in asked.items():
        assert main([command, *words, *FAST, "--out", str(folder / command)]) == 0
    return {command: folder / command for command in asked}


@pytest.mark.parametrize("command", TOLD)
def test_a_page_of_words_needs_nothing_else(command: str, told: dict[str, Path]) -> None:
    """No script, no network, every picture inside; cautions, inputs and the source of every value."""
    content = report_page(read_directory(told[command]))
    assert content == report_page(read_directory(told[command]))
    page = Page(content)
    page.check_self_contained()
    pictures = [path for path in told[command].iterdir() if path.suffix in (".png", ".jpg")]
    assert len(page.pictures()) == len(pictures)
    for line in CAUTIONS.split("\n"):
        assert line in page.text
    for table in json.loads((told[command] / f"{command}_page.json").read_text(encoding="utf-8"))["parts"]:
        assert table["heading"] in page.text
    record = json.loads((told[command] / f"{command}_provenance.json").read_text(encoding="utf-8"))
    for corner in record["corners"]:
        assert corner["specimen"]["boards"]["thickness"] in page.text
    for entry in record["materials"]:
        assert all(value["source"] in page.text for value in entry["values"])


@pytest.mark.parametrize("command", TOLD)
def test_no_words_of_a_command_become_markup(command: str, told: dict[str, Path], tmp_path: Path) -> None:
    folder = Path(shutil.copytree(told[command], tmp_path / command))
    plain = page_of(folder)
    hostile = "<script>alert(1)</script><img src=x>"

    def spoil(found: dict[str, object]) -> None:
        found.update(title=hostile, about=hostile)
        for part in found["parts"]:  # type: ignore[attr-defined]
            part["heading"] += hostile
            part["sentences"] = [each + hostile for each in part["sentences"]]

    edited(folder / f"{command}_page.json", spoil)
    page = page_of(folder)
    page.check_self_contained()
    assert page.tags == plain.tags
    assert page.text.count(hostile) >= 4


@pytest.mark.parametrize("command", TOLD)
def test_every_page_begins_with_what_is_said_aloud(command: str, told: dict[str, Path]) -> None:
    text = page_of(told[command]).text
    body = text[text.rindex("}") :]  # after the style
    assert body.index("Stand clear from") < body.index("Cautions")
    assert len(body[: body.index("Stand clear from")].split()) < 20, "no more than title and label before it"


def test_the_page_of_a_plan_whose_log_is_filled_in(told: dict[str, Path], tmp_path: Path) -> None:
    """One of the two logs is filled in and the other thrown away; any other file is still looked at."""
    folder = Path(shutil.copytree(told["plan"], tmp_path / "plan"))
    log = folder / "bench.csv"
    log.write_text(log.read_text(encoding="utf-8").replace(",,,kg,,", ",10,12,kg,glue,"), encoding="utf-8")
    (folder / "bench.xlsx").unlink()
    assert page_of(folder).text == page_of(told["plan"]).text
    (folder / "cut_list.csv").write_text("other", encoding="utf-8")
    with pytest.raises(InputError, match="cut_list"):
        read_directory(folder)


def test_what_moves_the_load_is_not_called_enough(told: dict[str, Path], tmp_path: Path) -> None:
    """Influence seeks no change that would be enough; with least beside it the heading is least's."""
    folder = tmp_path / "corner"
    assert main(["predict", str(example_path("finger")), *FAST, "--out", str(folder)]) == 0
    for command, heading in (
        ("influence", ">What moves the break load<"),
        ("least", ">Which change would be enough<"),
    ):
        for path in told[command].iterdir():
            shutil.copy(path, folder)
        assert heading in report_page(read_directory(folder)).decode()


def test_the_page_of_a_use(told: dict[str, Path]) -> None:
    """The governing case, what it asks and what the corner holds, with every caution."""
    found = json.loads((told["service"] / "service.json").read_text(encoding="utf-8"))
    page = page_of(told["service"])
    first = found["predicted"][0]["sentence"]
    assert first.startswith("Stand clear from")
    assert page.text.index(first) < page.text.index(f"{found['governing_case'].capitalize()} governs")
    assert page.text.index(f"{found['governing_case'].capitalize()} governs") < page.text.index("Cautions")
    assert f"{found['demand_N']:.4g} N" in page.text
    assert all(each in page.text for each in found["cautions"])
    assert (told["service"] / "service_specimen.toml").read_text(encoding="utf-8").startswith("[joint]")


def test_the_page_of_a_day_holds_all_of_it(told: dict[str, Path]) -> None:
    """What the data support first; both pictures, table, doubtful rows, prediction, photos and notes."""
    page = page_of(told["bench"])
    found = json.loads((told["bench"] / "bench.json").read_text(encoding="utf-8"))
    strong, _ = found["supported_order"][0]
    assert "stacked" in found["said_aloud"][0]["sentence"]
    assert 0 < page.text.index(found["said_aloud"][0]["sentence"]) < page.text.index("holds more than")
    assert page.text.index(f"{strong} holds more than") < page.text.index("Cautions")
    in_turn = ["Measured and predicted", "How the prediction did", "Rows to look at again", "as it broke"]
    places = [page.text.index(words) for words in in_turn]
    assert places == sorted(places)
    assert all(joint["label"] in page.text for joint in found["joints"])
    assert all(note in page.text for note in found["notes"])
    assert "No row is more than 5 times off" in page.text
    assert "no predicted pieces" in page.text  # an elastic answer follows no break


def test_photos_beside_the_log_are_shown_small_and_others_are_named(told: dict[str, Path]) -> None:
    page = page_of(told["bench"])
    photos = [found for found in page.pictures() if found[1]["src"].startswith("data:image/jpeg")]
    assert [picture.size for picture, _ in photos] == [(LONGEST_SIDE // 2, LONGEST_SIDE), (60, 40)]
    assert "mitre break.jpg" in photos[0][1]["alt"]
    assert "lost.jpg: is not beside the log" in page.text
    assert "../elsewhere.jpg: is not shown, because a photo must lie beside its log" in page.text


def test_a_small_photo_tells_no_place(tmp_path: Path) -> None:
    """A phone writes into a photo where it was taken; a page to hand on must not have it."""
    exif = Image.Exif()
    exif[ORIENTATION] = TURNED_RIGHT
    exif[PLACE_TAKEN] = {1: "N", 2: (1.0, 2.0, 3.0)}
    Image.new("RGB", (40, 20), "tan").save(tmp_path / "a.jpg", exif=exif, comment=b"at home")
    assert b"Exif" in (tmp_path / "a.jpg").read_bytes()
    content, size = small_photo(tmp_path, "a.jpg")
    assert size == (20, 40)
    assert b"Exif" not in content
    assert b"at home" not in content


@pytest.mark.parametrize("name", ["..", ".", "a/b.jpg", "a\\b.jpg", "/etc/hostname", "C:\\b.jpg"])
def test_photos_elsewhere_are_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(NoPhoto, match="beside its log"):
        small_photo(tmp_path, name)


def test_what_is_no_photo_is_refused(tmp_path: Path) -> None:
    """Another kind, a torn one, a link, a folder."""
    Image.new("RGB", (9, 9)).save(tmp_path / "whole.jpg")
    Image.new("RGB", (9, 9)).save(tmp_path / "moving.gif")
    (tmp_path / "torn.jpg").write_bytes((tmp_path / "whole.jpg").read_bytes()[:200])
    (tmp_path / "link.jpg").symlink_to(tmp_path / "whole.jpg")
    (tmp_path / "folder.jpg").mkdir()
    for name, why in {
        "moving.gif": "JPEG",
        "torn.jpg": "JPEG",
        "link.jpg": "link",
        "folder.jpg": "photo",
    }.items():
        with pytest.raises(NoPhoto, match=why):
            small_photo(tmp_path, name)


def test_a_corner_s_page_says_which_change_would_be_enough(
    folders: dict[str, Path], told: dict[str, Path], tmp_path: Path
) -> None:
    """From least and influence in its directory; of another corner it is left out, and said so."""
    folder = Path(shutil.copytree(folders["predict"], tmp_path / "corner"))
    assert "Not sought yet" in page_of(folder).text
    for command in ("least", "influence"):
        shutil.copytree(told[command], folder, dirs_exist_ok=True)
    page = page_of(folder)
    found = json.loads((folder / "least.json").read_text(encoding="utf-8"))
    said = f"The nearest: joint.fingers = {found['values']['joint.fingers']}"
    greatest = json.loads((folder / "influence.json").read_text(encoding="utf-8"))[0]
    first = page.text.index("Which change would be enough")
    assert first < page.text.index(said) < page.text.index("Cautions")
    assert f"it breaks at {greatest['break_at_low_N']:.4g} N" in page.text
    assert "Not sought yet" not in page.text

    def another(found: dict[str, list[dict[str, dict[str, dict[str, str]]]]]) -> None:
        found["corners"][0]["specimen"]["boards"]["thickness"] = "12 mm"

    lone = Path(shutil.copytree(told["least"], tmp_path / "least"))
    edited(lone / "least_provenance.json", another)
    shutil.copytree(lone, folder, dirs_exist_ok=True)
    text = page_of(folder).text
    assert said not in text
    assert "glueline least: What is in the directory was found for another corner" in text


def test_damaged_words_are_refused(told: dict[str, Path], tmp_path: Path) -> None:
    """A row too short, a picture that is another: the file is named."""
    folder = Path(shutil.copytree(told["bench"], tmp_path / "bench"))
    (folder / "photo_1_1.jpg").write_bytes(b"<svg/>")
    with pytest.raises(InputError, match=r"photo_\d_1.jpg"):
        read_directory(folder)
    folder = Path(shutil.copytree(told["service"], tmp_path / "service"))
    edited(folder / "service_page.json", lambda found: found["parts"][0]["tables"][0]["rows"][0].pop())
    with pytest.raises(InputError, match=r"service_page.json.*uneven rows"):
        read_directory(folder)


@pytest.mark.slow
def test_a_photo_stands_beside_the_pieces_that_were_predicted(tmp_path: Path) -> None:
    """Of a progressive answer; several rows of one specimen file have its pieces once."""
    shutil.copy(example_path("butt"), tmp_path / "butt.toml")
    Image.new("RGB", (60, 40), "brown").save(tmp_path / "one.jpg")
    head = "specimen,label,held,broke,unit,failure,notes,photo"
    rows = ["butt.toml,butt,400,420,N,glue,,one.jpg", "butt.toml,butt,420,440,N,glue,,one.jpg"]
    (tmp_path / "log.csv").write_text("\n".join([head, *rows, ""]), encoding="utf-8")
    out = tmp_path / "out"
    assert main(["bench", str(tmp_path / "log.csv"), "--force", "--no-band", "--out", str(out)]) == 0
    page = page_of(out)
    kinds = [attributes["src"].partition(";")[0] for _, attributes in page.pictures()]
    assert kinds == [*["data:image/png"] * 3, *["data:image/jpeg"] * 2]
    assert page.text.count("The pieces that it is predicted to fall into") == 1
