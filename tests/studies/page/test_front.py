"""The page in a browser, with made-up answers: what a maker changes, sees, keeps and saves."""

from __future__ import annotations

from typing import Any

import pytest

from tests.studies.page.fake_server import FakeServer
from tests.studies.page.visitor import Visitor

pytestmark = pytest.mark.slow


def test_a_first_corner_is_drawn_followed_and_given_its_band(visitor: Visitor, server: FakeServer) -> None:
    assert visitor.load() == "1900 N"
    assert [server.count(each) for each in ("open", "sentence", "elastic", "path")] == [1, 1, 1, 1]
    assert "Stand clear from" in visitor.page.inner_text(".aloud")
    assert visitor.page.locator(".loads tbody tr").count() == 5
    assert "never says that a joint is fit for use" in visitor.page.inner_text("#caution")
    assert visitor.page.get_attribute("html", "lang") == "en"
    assert visitor.page.title().startswith("A finger corner of hard maple")


def test_with_the_band_comes_from_where_to_stand_clear_and_the_weight_stays(
    visitor: Visitor, server: FakeServer
) -> None:
    assert "stand clear from 950 N" in visitor.page.inner_text("#weight")
    server.wait["band"] = 0.8
    visitor.word("joint.fingers").click()
    visitor.page.fill(".amount", "10")
    visitor.page.keyboard.press("Enter")
    visitor.until("document.querySelector('#weight').innerText.includes('stand clear from 1463 N')")
    slider = visitor.page.locator("#weight input[type=range]")
    slider.evaluate(
        "each => { each.value = '40'; each.dispatchEvent(new Event('input', { bubbles: true })); }"
    )
    visitor.loads("2090 N")
    visitor.until("document.querySelector('#weight').innerText.includes('stand clear from 1045 N')")
    assert slider.input_value() == "40"


def test_every_kind_of_word_is_edited_with_the_mouse(visitor: Visitor) -> None:
    visitor.word("boards.wood").click()
    visitor.page.fill(".filter", "oak")
    visitor.page.click("[role=option]:has-text('white oak')")
    visitor.says("corner of white oak")
    visitor.word("load.arrangement").click()
    assert visitor.page.locator("[role=option]").count() == 5
    visitor.page.click("[role=option]:has-text('pulled open')")
    visitor.says("is pulled open")
    visitor.word("boards.thickness").click()
    visitor.page.fill(".amount", "25 mm")
    visitor.page.click(".word-panel >> text=Done")
    visitor.says("25 mm thick")
    visitor.page.locator(".word-panel").wait_for(state="detached")
    visitor.word("joint.fingers").click()
    slider = visitor.page.locator(".stops")
    box = slider.bounding_box()
    slider.click(position={"x": box["width"] - 3, "y": box["height"] / 2})
    visitor.says("25 fingers")
    assert slider.get_attribute("aria-valuetext") == "25"
    assert visitor.word("boards.pinned").count() == 0
    visitor.page.click(".more")
    visitor.word("boards.pinned").click()
    visitor.page.click("[role=option]:has-text('yes')")
    visitor.says("with pins: yes")
    visitor.loads("6500 N")


def test_every_kind_of_word_is_edited_with_the_keyboard_alone(visitor: Visitor) -> None:
    keys = visitor.page.keyboard
    visitor.page.evaluate("document.querySelector('#words').focus()")
    keys.press("Tab")
    assert visitor.focused() == "joint.kind"
    keys.press("Enter")
    keys.press("ArrowDown")
    keys.press("Enter")
    visitor.says("A mitre corner")
    assert visitor.focused() == "joint.kind"
    keys.press("Enter")
    keys.press("f")  # the first letter of a choice
    keys.press("Enter")
    visitor.says("A finger corner")
    keys.press("Tab")
    assert visitor.focused() == "boards.wood"
    keys.press("Enter")
    keys.type("beech")
    keys.press("Enter")
    visitor.says("corner of beech")
    keys.press("Tab")
    keys.press("Enter")
    keys.type("1.000 in")
    keys.press("Enter")
    visitor.says("boards 25 mm thick")
    visitor.page.locator(".word-panel").wait_for(state="detached")
    assert visitor.focused() == "boards.thickness"
    keys.press("Tab")
    keys.press("Enter")
    visitor.page.locator(".sliding").wait_for()
    keys.press("Tab")
    keys.press("ArrowRight")
    visitor.says("91 mm wide")
    keys.press("ArrowRight")
    visitor.says("92 mm wide")
    keys.press("Escape")
    assert visitor.page.locator(".word-panel").count() == 0
    assert visitor.focused() == "boards.width"
    visitor.loads("2500 N")


def test_what_does_not_fit_is_said_and_the_rest_keeps_the_last_right_corner(
    visitor: Visitor, server: FakeServer
) -> None:
    link, asked = visitor.page.url, server.count("elastic")
    visitor.word("joint.fingers").click()
    visitor.page.fill(".amount", "90")
    visitor.page.keyboard.press("Enter")
    visitor.says("✗ 90 does not fit: between 3 and 25")
    word = visitor.word("joint.fingers")
    assert word.get_attribute("aria-invalid") == "true"
    assert visitor.page.locator(".wrong:has-text('90 does not fit')").get_attribute("role") == "alert"
    assert word.evaluate("each => getComputedStyle(each).textDecorationStyle") == "wavy"
    visitor.page.wait_for_timeout(400)
    assert (visitor.load(), visitor.page.url, server.count("elastic")) == ("1900 N", link, asked)
    visitor.page.reload()
    visitor.says("90 does not fit")
    visitor.word("joint.fingers").click()
    visitor.page.fill(".amount", "10")
    visitor.page.keyboard.press("Enter")
    visitor.loads("2090 N")
    assert "✗" not in visitor.page.inner_text(".sentence-line")


def test_while_a_slider_moves_only_the_newest_elastic_question_waits(
    visitor: Visitor, server: FakeServer
) -> None:
    visitor.word("boards.thickness").click()
    visitor.page.locator(".sliding").wait_for()
    server.wait["elastic"] = 0.4
    server.asked.clear()
    visitor.page.evaluate(
        """async () => {
            const slider = document.querySelector('.stops');
            for (let step = 0; step < 20; step += 1) {
                slider.value = String(step);
                slider.dispatchEvent(new Event('input', { bubbles: true }));
                await new Promise((done) => setTimeout(done, 15));
            }
        }"""
    )
    visitor.says("25 mm thick")
    visitor.loads("2500 N")
    elastic = [each["corner"]["boards"]["thickness"] for each in server.asked if each["ask"] == "elastic"]
    assert 2 <= len(elastic) <= 4
    assert elastic[-1] == "25 mm"
    assert server.count("path") == 1
    assert visitor.page.locator(".stops").evaluate(
        "each => each === document.activeElement || each.isConnected"
    )


def test_late_answers_are_dropped(visitor: Visitor, server: FakeServer) -> None:
    server.wait["path"] = 0.7
    for thickness in ("30 mm", "10 mm"):
        visitor.page.evaluate("document.querySelector('[data-key=\"boards.thickness\"]').click()")
        visitor.page.fill(".amount", thickness)
        visitor.page.keyboard.press("Enter")
        visitor.says(f"{thickness} thick")
        visitor.page.wait_for_timeout(330)  # the path is asked; its answer comes after the next edit
    seen = visitor.page.evaluate(
        """() => new Promise((done) => {
            const seen = new Set(), until = Date.now() + 1500;
            const look = () => {
                seen.add(document.querySelector('#headline .break-load')?.textContent);
                if (Date.now() < until) requestAnimationFrame(look); else done([...seen]);
            };
            look();
        })"""
    )
    assert seen == ["1000 N"]
    assert [each["what"] for each in server.asked if each["ask"] == "stop"].count("path") >= 1


def test_units_are_one_switch_that_a_link_remembers(visitor: Visitor) -> None:
    visitor.page.check("#units [value=imperial]")
    visitor.says("0.748 in thick")
    visitor.loads("427 lbf")
    link = visitor.page.url
    other = visitor.tab()
    other.goto(link)
    other.reload()
    visitor.settle(other)
    assert "0.748 in thick" in other.inner_text(".sentence-line")
    assert other.locator("#units [value=imperial]").is_checked()


def test_a_question_of_many_fills_in_and_a_tap_shows_the_corner(visitor: Visitor, server: FakeServer) -> None:
    server.wait["point"] = 0.05
    visitor.word("joint.fingers").click()
    visitor.page.locator(".sliding").wait_for()
    visitor.page.click("text=Try many")
    visitor.point("3 fingers: 760 N, breaks in glue").wait_for()
    assert visitor.page.locator(".is-waiting").count() > 0
    visitor.point("25 fingers: 4940 N, breaks in wood").wait_for()
    visitor.page.locator(".many-state:has-text('23 of 23 corners done')").wait_for()
    assert server.asked[-1]["stops"] == [str(count) for count in range(3, 26)]
    visitor.point("12 fingers: 2470 N, breaks in glue").click()
    visitor.says("12 fingers")
    visitor.loads("2470 N")
    visitor.page.go_back()
    visitor.says(" 9 fingers")


def test_a_question_of_many_is_stopped_and_says_what_fits_no_corner(
    visitor: Visitor, server: FakeServer
) -> None:
    visitor.word("boards.wood").click()
    visitor.page.click("text=Try many")
    visitor.point("<b>bold</b> wood: no <b>values</b> for it").click()
    assert "no <b>values</b> for it" in visitor.page.inner_text(".many-state")
    server.wait["point"] = 0.3
    visitor.word("boards.wood").click()
    visitor.page.click("text=Try many")
    visitor.page.wait_for_selector(".many-point:not(.is-waiting)")
    visitor.page.click("button:text-is('Stop')")
    visitor.page.wait_for_timeout(700)
    assert "of 14 corners done" in visitor.page.inner_text(".many-state")
    assert visitor.page.locator(".is-waiting").count() >= 10
    assert {"ask": "stop", "what": "many"}.items() <= server.asked[-1].items()


def test_a_corner_without_a_load_says_why_and_stays_drawn(visitor: Visitor, server: FakeServer) -> None:
    server.fails = "the <b>mesh</b> of the fingers could not be made; try fewer"
    visitor.word("joint.fingers").click()
    visitor.page.fill(".amount", "24")
    visitor.page.keyboard.press("Enter")
    visitor.page.locator("#failed:has-text('the <b>mesh</b> of the fingers')").wait_for()
    assert visitor.page.locator("#drawing canvas").first.is_visible()
    server.fails = None
    visitor.word("joint.fingers").click()
    visitor.page.fill(".amount", "23")
    visitor.page.keyboard.press("Enter")
    visitor.loads("4560 N")
    assert not visitor.page.locator("#failed").is_visible()


def test_the_projector_leaves_four_things_in_large_letters(visitor: Visitor) -> None:
    visitor.page.keyboard.press("p")
    for shown in ("#drawing", "#weight", "#sentence", "#caution", ".aloud"):
        assert visitor.page.locator(shown).is_visible(), shown
        size = visitor.page.locator(shown).evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
        assert size >= 28 or shown in ("#drawing", "#weight")
    for hidden in (".top", "#kept", "#closer", "#curve", ".loads", ".why"):
        assert not visitor.page.locator(hidden).is_visible(), hidden
    assert visitor.page.evaluate("document.documentElement.scrollHeight") <= 720
    visitor.page.keyboard.press("Escape")
    assert visitor.page.locator(".top").is_visible()
    visitor.page.keyboard.press("p")
    visitor.page.keyboard.press("p")
    assert visitor.page.locator(".top").is_visible()


def test_keys_are_listed_and_can_be_switched_off(visitor: Visitor) -> None:
    visitor.page.keyboard.press("?")
    assert visitor.page.locator("#keys-list").is_visible()
    visitor.page.uncheck("#single-keys")
    visitor.page.click("#keys-close")
    visitor.page.keyboard.press("p")
    assert visitor.page.locator(".top").is_visible()
    visitor.page.click("#keys")
    visitor.page.check("#single-keys")
    visitor.page.keyboard.press("Escape")
    visitor.page.keyboard.press("k")
    visitor.until("() => document.querySelectorAll('.card').length === 1")
    visitor.page.keyboard.press("w")
    visitor.until("() => Number(document.querySelector('#weight input').value) > 5")


def test_a_link_that_cannot_be_read_is_said(visitor: Visitor) -> None:
    page: Any = visitor.tab()
    page.goto("about:blank")
    page.goto(visitor.server.address + "#nonsense")
    page.locator("#said:has-text('cannot be read')").wait_for()
    visitor.settle(page)
    assert "A finger corner" in page.inner_text(".sentence-line")
