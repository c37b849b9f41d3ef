"""The page as it is really served, in a real browser: what a maker does with it, from first look to files."""

from __future__ import annotations

import json
import shlex
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from glueline.studies.commands import main
from glueline.studies.examples import example_path
from glueline.studies.files.display import format_force
from tests.studies.page.program import Asker, Served, corner_tables
from tests.studies.page.visitor import Visitor

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    started = Served(str(example_path("butt")))
    yield started
    if started.process.poll() is None:
        assert started.end() == 0


@pytest.fixture
def maker(browser: Any, served: Served) -> Iterator[Visitor]:
    """Before the page with the butt corner, whose band has come."""
    visitor = Visitor(browser, served)  # type: ignore[arg-type]
    visitor.settle()
    yield visitor
    visitor.leave()


def printed(words: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """What a command line prints as JSON."""
    assert main(words) == 0
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)
    return answer


def test_a_saturday_on_the_page(
    maker: Visitor, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Words edited in every way, weight, three corners kept, files that read back with the same load."""
    page = maker.page
    maker.context.grant_permissions(["clipboard-read", "clipboard-write"])
    monkeypatch.chdir(tmp_path)
    assert maker.load() == format_force(
        printed(["predict", str(example_path("butt")), "--json"], capsys)["break_load_N"], "metric"
    )
    page.locator("#keep").click()
    maker.word("boards.thickness").click()
    page.locator(".word-panel .amount").fill("7/8 in")
    page.keyboard.press("Enter")
    maker.says("22.23 mm thick")
    maker.word("boards.wood").click()
    page.locator(".word-panel .filter").fill("red oak")
    page.keyboard.press("Enter")
    maker.says("red oak")
    maker.settle()
    page.locator("#keep").click()
    maker.word("boards.width").click()
    slider = page.locator(".word-panel input[type=range]")
    slider.focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Escape")
    maker.settle()
    page.locator("#keep").click()
    maker.until("document.querySelectorAll('.card').length === 3")
    maker.until(
        """() => {
            const cards = [...document.querySelectorAll('.card-load strong')];
            const loads = cards.map((card) => parseFloat(card.textContent));
            return loads.length === 3 && loads[0] >= loads[1] && loads[1] >= loads[2];
        }"""
    )

    weight = page.locator("#weight input[type=range]")
    weight.focus()
    page.keyboard.press("End")
    shown = float(weight.get_attribute("aria-valuetext").split()[0])
    assert shown == pytest.approx(float(maker.load().split()[0]), rel=0.005)  # three digits
    assert "force on the joint" in page.locator("#weight").inner_text()

    files = {}
    for kind in ("toml", "slide", "report"):
        page.locator("#save summary").click()
        with page.expect_download(timeout=60_000) as waiting:
            page.locator(f"[data-save={kind}]").click()
        files[kind] = tmp_path / waiting.value.suggested_filename
        waiting.value.save_as(files[kind])
        if page.locator("#save[open]").count():
            page.locator("#save summary").click()
    read_back = printed(["predict", str(files["toml"]), "--json"], capsys)
    assert format_force(read_back["break_load_N"], "metric") == maker.load()
    assert files["slide"].read_bytes().startswith(b"\x89PNG")
    assert maker.load() in files["report"].read_text(encoding="utf-8")

    page.locator("#save summary").click()
    page.locator("#copy").click()
    typed = (
        page.locator("#command").input_value()
        if page.locator("#command").is_visible()
        else page.evaluate("navigator.clipboard.readText()")
    )
    for command in typed.split("&&"):
        words = shlex.split(command)
        assert words[0] == "glueline"
        last = [*words[1:], "--json"] if words[1] == "predict" else words[1:]
        assert main(last) == 0
    assert json.loads(capsys.readouterr().out)["break_load_N"] == read_back["break_load_N"]

    page.reload()
    maker.settle()
    maker.says("22.23 mm thick")
    assert page.locator(".card").count() == 3
    assert format_force(read_back["break_load_N"], "metric") == maker.load()


def test_wrong_values_keep_the_corner_and_inches_reach_everything(maker: Visitor) -> None:
    page, before = maker.page, maker.load()
    maker.word("boards.leg").click()
    page.locator(".word-panel .amount").fill("20 mm")
    page.keyboard.press("Enter")
    maker.until("document.querySelector('.word.is-wrong')?.dataset.key === 'boards.leg'")
    assert "at least" in page.locator(".word-room .wrong:not(:empty)").first.inner_text()
    assert maker.load() == before
    page.locator(".word-panel .amount").fill("150 mm")
    page.keyboard.press("Enter")
    maker.until("!document.querySelector('.word.is-wrong')")
    page.locator("#units [value=imperial]").check(force=True)
    maker.until("document.querySelector('#headline .break-load')?.textContent.includes('lbf')")
    maker.settle()
    assert " in thick" in page.locator(".sentence-line").inner_text()
    assert "lbf" in page.locator("#weight").inner_text()


def test_a_killed_program_is_missed_and_found_again(maker: Visitor, served: Served) -> None:
    maker.may_complain = True  # a browser says itself that a connection failed
    served.end(signal.SIGKILL)
    maker.until("!document.getElementById('connection').hidden")
    assert "not running" in maker.page.locator("#connection").inner_text()
    served.start()
    maker.until("document.getElementById('connection').hidden")
    maker.settle()
    assert maker.load()


def test_cautions_stand_beside_the_load_on_a_telephone(browser: Any, served: Served) -> None:
    visitor = Visitor(browser, served, 390, 844)  # type: ignore[arg-type]
    visitor.settle()
    page = visitor.page
    caution = page.locator("#caution").bounding_box()
    slider = page.locator(".weight input[type=range]").bounding_box()
    assert slider["y"] + slider["height"] <= caution["y"]  # the weight can be moved without scrolling
    page.locator(".break-load").scroll_into_view_if_needed()
    caution = page.locator("#caution").bounding_box()
    load = page.locator(".break-load").bounding_box()
    assert 0 <= caution["y"] < 844
    assert 0 <= load["y"] < 844
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert "safe" not in page.locator("body").inner_text().lower()
    visitor.leave()


def test_answers_are_those_of_the_command_line(served: Served, capsys: pytest.CaptureFixture[str]) -> None:
    """Elastic and followed; for random corners of all kinds: python -m tests.studies.page.same_answers."""
    asker = Asker(served.address)
    for kind, ask, last, words in (
        ("pocket_screw", "elastic", "scene", ["--method", "elastic"]),
        ("mitre", "path", "path", ["--no-band"]),
    ):
        corner = corner_tables(example_path(kind))
        found = asker.answers(asker.ask(ask, corner=corner, units="metric"), (last,))
        expected = printed(["predict", str(example_path(kind)), "--json", *words], capsys)
        assert found[-1]["headline"]["answer"] == expected
        if ask == "path":
            loads = [load for each in found if each["answer"] == "steps" for load in each["load"]]
            assert max(loads) == pytest.approx(expected["highest_load_N"], rel=1e-6)
    asker.close()
