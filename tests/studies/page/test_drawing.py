"""The drawing of the page in a browser: both painters, weighing, breaking, words, keys, small screens."""

from __future__ import annotations

import base64
import io
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from PIL import Image

from glueline.studies.show.strength_colours import signed_colours, strength_colours
from tests.studies.colours import colours_in
from tests.studies.page.drawing_pages import served

playwright = pytest.importorskip("playwright.sync_api")
BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(BROWSER is None, reason="no chromium here; Debian's package is chromium"),
]
Open = Callable[..., Any]

MOVE = """share => { const slider = document.querySelector("#weight input");
    slider.value = String(100 * share); slider.dispatchEvent(new Event("input")); }"""
LET_GO = 1200  # ms
# Where a place in mm stands on the screen: the box of the loaded corner is fitted with a margin of its own.
PLACE = """async ([x, y]) => { const camera = await import("/camera.js");
    const stage = document.querySelector(".corner-stage"), box = stage.getBoundingClientRect();
    const [width, height] = [stage.clientWidth, stage.clientHeight];
    const letters = parseFloat(getComputedStyle(stage).fontSize);
    const margin = Math.min(1.7 * letters, 0.1 * Math.min(width, height));
    const at = camera.fitted(camera.loadedBox(trial.scene), width, height, margin);
    return [box.left + at.x + x * at.scale, box.top + height - at.y - y * at.scale]; }"""


@pytest.fixture(scope="module")
def browser_page() -> Iterator[Open]:
    """Opens the page at an address's end and a width; what the console says of errors fails the test."""
    with served() as address, playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        wrong: list[str] = []

        def opened(end: str = "", width: int = 1000, height: int = 900, **more: Any) -> Any:
            page = browser.new_page(viewport={"width": width, "height": height}, **more)
            page.on("pageerror", lambda error: wrong.append(str(error)))
            page.on("console", lambda said: said.type == "error" and wrong.append(said.text))
            page.goto(address + end)
            page.wait_for_selector("body[data-ready]")
            page.wait_for_timeout(100)
            return page

        yield opened
        browser.close()
    assert wrong == []


@pytest.fixture(params=["", "?flat"], ids=["webgl", "flat"])
def page(request: pytest.FixtureRequest, browser_page: Open) -> Iterator[Any]:
    opened = browser_page(request.param)
    assert opened.evaluate("trial.drawing.painter()") == ("flat" if request.param else "gl")
    yield opened
    opened.close()


def pixels(page: Any) -> Any:
    """The screen, (height, width, 3) from 0 to 255."""
    page.wait_for_timeout(80)
    return np.asarray(Image.open(io.BytesIO(page.screenshot())).convert("RGB")).astype(int)


def colour_at(page: Any, x: float, y: float) -> Any:
    """The middle colour of few pixels about a place in mm, so that no line of grain is met."""
    left, top = page.evaluate(PLACE, [x, y])
    return np.median(
        pixels(page)[round(top) - 1 : round(top) + 2, round(left) - 1 : round(left) + 2], axis=(0, 1)
    )


def test_colours_at_known_places_are_those_of_the_scale(page: Any) -> None:
    assert len(colours_in(pixels(page)[: 900 * 2 // 3])) > 50
    # The dowel has one share all over, the glue of its last stretches hardly any; wood by its own array.
    wanted = 255 * np.array(strength_colours()(0.15)[:3])
    assert np.abs(colour_at(page, 9.5, 30.0) - wanted).max() <= 3
    share = 0.55 * np.exp(-np.hypot(100.0 - 4.0, 10.7 - 19.0) / 30.0)
    assert np.abs(colour_at(page, 100.0, 10.7) - 255 * np.array(strength_colours()(share)[:3])).max() <= 3
    page.evaluate("trial.drawing.view('across')")
    limit = page.evaluate(
        "import('/paintings.js').then(({ stressLimit }) => stressLimit(trial.scene.across))"
    )
    stress = 6.0 * np.exp(-np.hypot(130.0 - 4.0, 10.7 - 19.0) / 30.0) - 1.0
    signed = 255 * np.array(signed_colours()(0.5 + 0.5 * stress / limit)[:3])
    assert np.abs(colour_at(page, 130.0, 10.7) - signed).max() <= 3


def test_weight_bends_the_corner_and_the_break_parts_it(page: Any) -> None:
    page.evaluate("trial.weigh()")
    strength = pixels(page)
    page.evaluate(MOVE, 0.3)
    some = pixels(page)
    page.evaluate(MOVE, 0.95)
    much = pixels(page)
    stage = slice(0, 590)
    assert (strength[stage] != some[stage]).any()
    assert (some[stage] != much[stage]).any(axis=2).sum() > 500
    page.evaluate(MOVE, 1.0)
    page.wait_for_timeout(LET_GO)
    assert page.get_attribute(".corner-stage", "data-drawn") == "broken"
    assert "bare glued face" in page.inner_text(".corner-legend")
    assert (pixels(page)[stage] != much[stage]).any(axis=2).sum() > 5000
    page.evaluate(MOVE, 0.95)
    assert (pixels(page)[stage] == much[stage]).all(axis=2).mean() > 0.999
    page.evaluate("trial.drawing.path({ ...trial.path, broken: null })")
    page.evaluate(MOVE, 1.0)
    page.wait_for_timeout(100)
    assert page.get_attribute(".corner-stage", "data-drawn") == "weight"  # it holds


def test_words_for_pointer_and_keys(page: Any) -> None:
    page.mouse.move(*page.evaluate(PLACE, [18.0, 19.0]))
    assert page.inner_text("#told").startswith("the butt face (glue line): ")
    page.mouse.move(*page.evaluate(PLACE, [100.0, 12.0]))
    assert page.inner_text("#told") == "board A, 101 mm from the corner: 2 % of its strength"
    page.evaluate("trial.drawing.view('along')")
    page.mouse.move(*page.evaluate(PLACE, [75.0, 19.0 - 1.5]))
    assert "MPa, pulled along the grain" in page.inner_text("#told")
    page.evaluate("trial.drawing.view('carried')")
    page.mouse.move(*page.evaluate(PLACE, [18.0, 19.0]))
    assert page.inner_text("#told") == "the butt face (glue line): 90 % of the load"
    page.mouse.move(0, 0)
    page.evaluate("document.querySelector('.corner-stage').focus({ focusVisible: true })")
    # The cross begins on the most stressed place.
    assert page.inner_text("#told") == "the butt face (glue line): 90 % of the load"
    for key in ("ArrowDown", *5 * ["ArrowRight"]):
        page.keyboard.press(key)
    assert page.inner_text("#told").startswith("board A")
    page.keyboard.press("Escape")
    assert page.inner_text("#told") == ""


def test_wheel_drag_and_reset(page: Any) -> None:
    home = pixels(page)
    page.mouse.move(*page.evaluate(PLACE, [19.0, 19.0]))
    page.mouse.wheel(0, -600)
    assert page.evaluate("document.querySelector('.corner-stage').classList.contains('is-close')")
    near = pixels(page)
    page.mouse.down()
    page.mouse.move(300, 300, steps=3)
    page.mouse.up()
    assert (pixels(page)[:590] != near[:590]).any(axis=2).sum() > 500
    page.focus(".corner-stage")
    page.keyboard.press("0")
    page.evaluate("document.activeElement.blur()")
    assert (pixels(page)[:590, :800] == home[:590, :800]).all(axis=2).mean() > 0.999


def test_pictures_of_kept_corners(page: Any) -> None:
    head, _, data = page.evaluate("trial.drawing.picture(200, 140)").partition(",")
    assert head == "data:image/png;base64"
    picture = Image.open(io.BytesIO(base64.b64decode(data))).convert("RGB")
    assert picture.size == (400, 280)
    assert len(picture.getcolors(1 << 20) or []) > 50


def test_the_slider_speaks_and_plays(browser_page: Open) -> None:
    page = browser_page(reduced_motion="reduce")
    slider = page.locator("#weight input")
    assert slider.is_disabled()
    page.evaluate("trial.weigh()")
    assert "stand clear from 280 N" in page.inner_text("#weight")
    slider.focus()
    page.keyboard.press("End")
    assert slider.get_attribute("aria-valuetext") == "467 N"
    assert slider.get_attribute("aria-label") == "force on the joint"
    # No motion is wanted: the pieces lie there at once.
    page.wait_for_timeout(100)
    assert page.get_attribute(".corner-stage", "data-drawn") == "broken"
    page.keyboard.press("Home")
    page.keyboard.press(" ")
    page.wait_for_timeout(500)
    page.keyboard.press(" ")
    share = page.evaluate("trial.moves.at(-1)")
    assert 0.01 < share < 0.9
    page.wait_for_timeout(150)
    assert page.evaluate("trial.moves.at(-1)") == share
    page.close()


def test_curve_and_closer_look(browser_page: Open) -> None:
    page = browser_page()
    page.evaluate("trial.curve.begin(); trial.curve.steps(trial.steps)")
    growing = page.locator("#curve canvas").screenshot()
    page.evaluate("trial.weigh()")
    page.wait_for_timeout(100)
    assert page.locator("#curve canvas").screenshot() != growing
    assert page.get_attribute("#curve canvas", "aria-label") == "load (N), against tips closer by (mm)"
    assert "first crack 434 N" in page.inner_text("#curve")
    assert not page.locator(".closer-look").first.is_visible()
    page.click("#closer summary")
    page.click("text=stress across the grain")
    assert page.get_attribute(".closer-look:nth-child(3)", "aria-pressed") == "true"
    assert page.inner_text(".corner-legend").count("MPa") == 2
    assert "90 % of the load" in page.inner_text(".closer-table")
    page.close()


def test_small_screens_and_projectors(browser_page: Open) -> None:
    page = browser_page(width=390, height=844)
    page.evaluate("trial.weigh()")
    page.click("#closer summary")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    sizes = """() => [...document.querySelectorAll("#corner, #weight, #closer, #curve")].flatMap((part) =>
        [part, ...part.querySelectorAll("*")]).map((part) => parseFloat(getComputedStyle(part).fontSize))"""
    assert min(page.evaluate(sizes)) >= 16
    page.evaluate("document.documentElement.classList.add('projector')")
    page.set_viewport_size({"width": 1920, "height": 1080})
    assert min(page.evaluate(sizes)) >= 40
    page.close()


def test_a_lost_card_and_an_end_leave_nothing_behind(browser_page: Open) -> None:
    page = browser_page()
    before = pixels(page)
    page.evaluate("""() => document.querySelector(".corner-canvas").getContext("webgl2")
        .getExtension("WEBGL_lose_context").loseContext()""")
    page.wait_for_timeout(100)
    assert page.evaluate("trial.drawing.painter()") == "flat"
    assert (np.abs(pixels(page)[:590] - before[:590]).max(axis=2) <= 40).mean() > 0.99
    page.evaluate("for (const part of ['drawing', 'weight', 'curve', 'closer']) trial[part].forget()")
    for part in ("corner", "weight", "curve", "closer"):
        assert page.evaluate(f"document.getElementById('{part}').childElementCount") == 0
    page.close()
