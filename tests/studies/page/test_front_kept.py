"""What a maker keeps of the page and takes along: kept corners, files, the command line."""

from __future__ import annotations

import pytest

from tests.studies.page.fake_server import FakeServer
from tests.studies.page.visitor import Visitor

pytestmark = pytest.mark.slow


def test_corners_are_kept_ranked_and_there_after_a_reload(visitor: Visitor) -> None:
    visitor.keep()
    for fingers, load in (("5", "1140 N"), ("20", "3990 N")):
        visitor.word("joint.fingers").click()
        visitor.page.fill(".amount", fingers)
        visitor.page.keyboard.press("Enter")
        visitor.loads(load)
        visitor.keep()
    first = "finger corner of hard maple"
    ranked = [f"{first}, 3", first, f"{first}, 2"]
    visitor.until("() => document.querySelector('.claims').textContent.includes('no order is claimed')")
    assert visitor.names() == ranked
    slider = visitor.page.locator("#weight input[type=range]")
    slider.evaluate(
        "each => { each.value = '60'; each.dispatchEvent(new Event('input', { bubbles: true })); }"
    )
    visitor.page.wait_for_timeout(400)
    visitor.page.reload()
    visitor.loads("3990 N")
    visitor.until("() => document.querySelectorAll('.card').length === 3")
    visitor.until("() => document.querySelector('#weight input[type=range]').value === '60'")
    assert visitor.names() == ranked
    assert visitor.page.locator(".card img").count() == 3
    visitor.page.click(f"[aria-label='Open {first}, 2']")
    visitor.loads("1140 N")
    visitor.page.go_back()
    visitor.loads("3990 N")


def test_a_kept_corner_is_renamed_removed_and_had_again(visitor: Visitor) -> None:
    visitor.keep()
    name = "finger corner of hard maple"
    visitor.page.click(f"[aria-label='Rename {name}']")
    visitor.page.keyboard.type("the <em>lid</em>")
    visitor.page.keyboard.press("Enter")
    visitor.until("() => document.querySelector('.card h3').textContent === 'the <em>lid</em>'")
    visitor.page.click("[data-act=Remove]")
    visitor.until("() => !document.querySelector('.card')")
    visitor.page.click("text=Undo")
    visitor.until("() => document.querySelector('.card h3')?.textContent === 'the <em>lid</em>'")
    assert visitor.page.locator(".card em").count() == 0


def test_two_tabs_lose_nothing_of_each_other(visitor: Visitor) -> None:
    other = visitor.tab()
    visitor.settle(other)
    visitor.page.bring_to_front()
    visitor.keep()
    other.bring_to_front()
    other.wait_for_selector(".card")
    other.click("#keep")
    visitor.until("() => document.querySelectorAll('.card').length === 2")
    visitor.page.bring_to_front()
    visitor.word("joint.kind").click()
    visitor.page.click("[role=option]:has-text('butt')")
    visitor.says("A butt corner")
    visitor.page.wait_for_timeout(300)
    other.reload()
    visitor.settle(other)
    assert "A finger corner" in other.inner_text(".sentence-line")


def test_a_full_storage_and_one_of_another_version_are_said(visitor: Visitor) -> None:
    visitor.page.evaluate(
        """() => {
            for (let [size, count] = [1 << 20, 0]; size >= 256; count += 1) {
                try {
                    localStorage.setItem(`filler ${count}`, 'x'.repeat(size));
                } catch {
                    size /= 2;
                }
            }
        }"""
    )
    visitor.page.click("#keep")
    visitor.page.locator("#kept [role=alert]:has-text('no room left')").wait_for()
    visitor.page.evaluate(
        "localStorage.clear(); localStorage.setItem('glueline kept corners', '{\"version\": 99}')"
    )
    visitor.page.reload()
    visitor.page.locator("#kept [role=alert]:has-text('another version')").wait_for()
    visitor.settle()
    visitor.page.click("#keep")
    assert visitor.page.evaluate("localStorage.getItem('glueline kept corners')") == '{"version": 99}'


def test_a_kept_corner_stands_beside_another_under_the_same_force(visitor: Visitor) -> None:
    visitor.keep()
    visitor.word("boards.thickness").click()
    visitor.page.fill(".amount", "9.5 mm")
    visitor.page.keyboard.press("Enter")
    visitor.loads("950 N")
    visitor.page.click("[data-act=Compare]")
    visitor.until("() => document.querySelector('#other-headline .band')?.textContent")
    assert visitor.page.inner_text("#other-headline .break-load") == "1900 N"
    left, right = (visitor.page.locator(each).bounding_box() for each in ("#drawing", "#other-drawing"))
    assert right["x"] > left["x"] + left["width"] - 1
    assert abs(right["y"] - left["y"]) < 12
    visitor.page.click("#other-open")
    visitor.loads("1900 N")
    assert not visitor.page.locator("#other").is_visible()


@pytest.mark.parametrize(
    ("text", "name"), [("Specimen file", "toml"), ("Slide for", "png"), ("Report page", "html")]
)
def test_files_are_saved(text: str, name: str, visitor: Visitor, server: FakeServer) -> None:
    visitor.page.click("#save summary")
    with visitor.page.expect_download() as download:
        visitor.page.click(f"#save >> text={text}")
    assert download.value.suggested_filename == f"corner.{name}"
    what, fields = server.saved[-1]
    assert (what, fields["units"]) == ({"png": "slide", "html": "report"}.get(name, name), "metric")
    assert fields["corner"]["joint"]["fingers"] == "9"
    visitor.page.locator(f"#said:has-text('Saved as corner.{name}')").wait_for()


def test_a_file_that_cannot_be_made_is_said(visitor: Visitor, server: FakeServer) -> None:
    server.save_fails = visitor.may_complain = True
    visitor.page.click("#save summary")
    visitor.page.click("#save >> text=Slide")
    visitor.page.locator("#said:has-text('Not saved: the slide could not be drawn')").wait_for()


def test_the_command_line_is_copied_or_shown(visitor: Visitor) -> None:
    wanted = "glueline predict finger.toml --set joint.kind=finger --units metric"
    visitor.context.grant_permissions(["clipboard-read", "clipboard-write"])
    visitor.page.click("#save summary")
    visitor.page.click("#copy")
    visitor.page.locator("#said:has-text('Copied')").wait_for()
    assert visitor.page.evaluate("navigator.clipboard.readText()") == wanted
    visitor.context.clear_permissions()
    visitor.page.evaluate("() => { navigator.clipboard.writeText = () => Promise.reject(new Error('no')); }")
    visitor.page.click("#save summary")
    visitor.page.click("#copy")
    visitor.until("wanted => document.querySelector('#command').value === wanted", wanted)
    assert visitor.page.evaluate("getSelection().toString()") == wanted
