"""The page on every screen, for every reader, and when the program is gone."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from tests.studies.page.fake_server import FakeServer
from tests.studies.page.visitor import Visitor

pytestmark = pytest.mark.slow

AXE = (Path(__file__).parent / "axe" / "axe.min.js").read_text(encoding="utf-8")
"""axe-core 4.14.1 as its makers publish it, under the Mozilla Public License 2.0, which lies beside it."""

SCREENS = [(390, 844), (1280, 720), (1920, 1080)]


def _barriers(page: Any) -> list[str]:
    """What axe-core finds that keeps a reader out, seriously or wholly."""
    page.evaluate(AXE + "\n;null")
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    return [
        f"{each['id']}: {node['html'][:120]}"
        for each in found["violations"]
        if each["impact"] in ("serious", "critical")
        for node in each["nodes"]
    ]


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_nothing_is_wider_than_the_screen_and_the_caution_is_always_on_it(
    width: int, height: int, browser: Any, server: FakeServer
) -> None:
    visitor = Visitor(browser, server, width, height)
    visitor.settle()
    visitor.keep()
    for state in ("", "wrong", "many", "projector"):
        if state == "wrong":
            visitor.word("joint.fingers").click()
            visitor.page.fill(".amount", "9" * 60)
            visitor.page.keyboard.press("Enter")
            visitor.says("does not fit")
        elif state == "many":
            visitor.page.fill(".amount", "9")
            visitor.page.keyboard.press("Enter")
            visitor.page.locator(".word-panel").wait_for(state="detached")
            visitor.word("joint.fingers").click()
            visitor.page.locator(".sliding").wait_for()
            visitor.page.click("text=Try many")
            visitor.page.locator(".many-state:has-text('done')").wait_for()
        elif state == "projector":
            visitor.page.keyboard.press("p")
        assert visitor.page.evaluate("document.documentElement.scrollWidth") <= width, state
        for y in (0, 600, 100_000):
            visitor.page.evaluate("y => scrollTo(0, y)", y)
            box = visitor.page.locator("#caution").bounding_box()
            assert box["y"] >= 0, state
            assert box["y"] + box["height"] <= height + 1, state
    visitor.leave()


def test_letters_twice_as_large_lose_nothing(browser: Any, server: FakeServer) -> None:
    """As a browser's zoom gives it: 640 by 360 at twice the size, 320 by 180 at four times."""
    for width, height in ((640, 360), (320, 180)):
        visitor = Visitor(browser, server, width, height)
        visitor.settle()
        assert visitor.page.evaluate("document.documentElement.scrollWidth") <= width
        load, caution = (visitor.page.locator(each).bounding_box() for each in (".break-load", "#caution"))
        assert caution["y"] > load["y"]
        visitor.leave()


def test_axe_finds_no_barrier_in_the_states_of_the_page(visitor: Visitor, server: FakeServer) -> None:
    page = visitor.page
    page.emulate_media(reduced_motion="reduce")  # while a panel unfolds it is still pale
    assert _barriers(page) == []
    visitor.page.click(".more")
    visitor.word("boards.wood").click()
    assert _barriers(page) == []
    page.keyboard.press("Escape")
    visitor.word("joint.fingers").click()
    page.locator(".sliding").wait_for()
    page.fill(".amount", "99")
    page.keyboard.press("Enter")
    visitor.says("does not fit")
    assert _barriers(page) == []
    page.fill(".amount", "9")
    page.keyboard.press("Enter")
    page.locator(".word-panel").wait_for(state="detached")
    visitor.settle()
    visitor.keep()
    page.click("[data-act=Compare]")
    visitor.until("document.querySelector('#other-headline .band')?.textContent")
    visitor.word("joint.fingers").click()
    page.locator(".sliding").wait_for()
    page.click("text=Try many")
    page.locator(".many-state:has-text('done')").wait_for()
    page.click("#save summary")
    assert _barriers(page) == []
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    assert _barriers(page) == []
    page.keyboard.press("Escape")
    page.keyboard.press("p")
    assert _barriers(page) == []


def test_what_is_touched_is_large_enough(visitor: Visitor) -> None:
    """At least 24 pixels each way."""
    visitor.keep()
    small = visitor.page.evaluate(
        """() => [...document.querySelectorAll('button, summary, input, select, label')].filter((each) => {
            const box = each.getBoundingClientRect();
            return box.width && (box.width < 24 || box.height < 24) && each.type !== 'checkbox';
        }).map((each) => each.outerHTML)"""
    )
    assert small == []


def test_headings_are_in_order(visitor: Visitor) -> None:
    visitor.keep()
    levels = visitor.page.evaluate(
        "[...document.querySelectorAll('h1, h2, h3')].map((each) => Number(each.tagName[1]))"
    )
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_script_in_any_text_stays_text(browser: Any, server: FakeServer) -> None:
    """In the wood's name, which comes back in the sentence, in its panel, a note, a card and a failure."""
    visitor = Visitor(browser, server)
    visitor.settle()
    visitor.word("boards.wood").click()
    visitor.page.keyboard.type("<b>bold")
    visitor.page.keyboard.press("Enter")
    visitor.says("<b>bold</b> wood")
    visitor.word("boards.wood").click()
    visitor.page.keyboard.type("<img src=x onerror=alert(1)>")
    visitor.page.keyboard.press("Enter")
    visitor.says("no wood is called '<img src=x onerror=alert(1)>'")
    visitor.settle()
    visitor.keep()
    assert visitor.page.locator("main b, main script, main img[src=x], .start i").count() == 0
    assert "<script>alert(1)</script>" in visitor.page.locator(".fold li").nth(1).text_content()
    visitor.leave()


def test_a_lost_connection_is_said_and_comes_back_by_itself(browser: Any) -> None:
    server = FakeServer()
    server.start()
    visitor = Visitor(browser, server)
    visitor.settle()
    visitor.may_complain = True
    server.stop()
    line = visitor.page.locator("#connection")
    visitor.until(
        "document.querySelector('#connection').textContent.includes('start it again with glueline page')"
    )
    assert line.get_attribute("role") == "alert"
    assert line.is_visible()
    visitor.word("joint.kind").click()
    visitor.page.keyboard.press("Escape")
    assert visitor.load() == "1900 N"
    visitor.page.click("#save summary")
    visitor.page.click("#save >> text=Slide")
    visitor.page.locator("#said:has-text('Not saved: the program is not running')").wait_for()
    server.asked.clear()
    server.start()
    visitor.until("document.querySelector('#connection').hidden")
    visitor.page.wait_for_timeout(600)
    assert {"open", "sentence", "elastic", "path"} <= {each["ask"] for each in server.asked}
    visitor.word("joint.fingers").click()
    visitor.page.fill(".amount", "10")
    visitor.page.keyboard.press("Enter")
    visitor.loads("2090 N")
    server.token = "another"
    server.stop()
    visitor.until("document.querySelector('#connection').textContent.includes('start it again')")
    server.start()
    visitor.until(
        "document.querySelector('#connection').textContent.includes('open the address that it prints now')"
    )
    server.stop()
    visitor.leave()


def test_print_has_corner_sentence_load_and_caution(visitor: Visitor) -> None:
    visitor.page.emulate_media(media="print")
    for shown in ("#drawing", "#sentence", ".break-load", "#caution", ".loads"):
        assert visitor.page.locator(shown).is_visible(), shown
    for hidden in (".top", ".doings", ".more", "#zoom"):
        assert not visitor.page.locator(hidden).is_visible(), hidden


def test_forced_colours_and_still_pictures_are_obeyed(visitor: Visitor) -> None:
    visitor.page.emulate_media(reduced_motion="reduce", forced_colors="active")
    visitor.word("joint.kind").click()
    assert (
        visitor.page.locator(".word-panel").evaluate("each => getComputedStyle(each).animationName") == "none"
    )
    chosen = visitor.page.locator("[aria-selected=true]")
    assert chosen.evaluate("each => getComputedStyle(each).forcedColorAdjust") == "none"
