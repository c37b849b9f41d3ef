"""How quickly the page answers, in a real browser: slider to picture, path, memory.

    python -m tests.benchmarks.page [--moves 1000] [--write]

Run by hand on an idle machine; with ``--write`` the table goes into page.txt. Needs chromium and playwright.
"""

from __future__ import annotations

import argparse
import statistics
import time
from pathlib import Path
from typing import Any

from glueline.geometries import JOINTS
from tests.studies.page.program import Served

KEPT = Path(__file__).with_suffix(".txt")
BROWSER = "/usr/bin/chromium"
MOVES_EACH = 15

MOVE = """
async ([key, share]) => {
  // One move of the slider at an open word; resolves with ms until the second frame after its picture.
  const slider = document.querySelector('.word-panel input[type=range]');
  const room = document.getElementById('drawing');
  const begun = performance.now();
  const drawn = new Promise((settled) => window.addEventListener('glueline:scene', settled, { once: true }));
  const most = Number(slider.max);
  let value = Math.round(share * most);
  if (String(value) === slider.value) value = value ? value - 1 : 1;
  slider.value = String(value);
  slider.dispatchEvent(new Event('input', { bubbles: true }));
  await drawn;
  await new Promise((settled) => requestAnimationFrame(() => requestAnimationFrame(settled)));
  return performance.now() - begun;
}
"""

REST = """
async () => {
  // The last word is changed; resolves with ms to the first steps of the curve and to the break load.
  const begun = performance.now();
  const at = (name) => new Promise((settled) =>
    window.addEventListener(name, () => settled(performance.now() - begun), { once: true }));
  const both = Promise.all([at('glueline:steps'), at('glueline:path')]);
  const slider = document.querySelector('.word-panel input[type=range]');
  slider.value = String(Number(slider.value) > 1 ? Number(slider.value) - 1 : Number(slider.value) + 1);
  slider.dispatchEvent(new Event('input', { bubbles: true }));
  return both;
}
"""


def open_word(page: Any, key: str) -> None:
    """The panel of a word with its slider there."""
    page.locator(f".word[data-key='{key}']").click()
    page.locator(".word-panel input[type=range]").wait_for(state="visible", timeout=30_000)


def choose_kind(page: Any, kind: str) -> None:
    """Another kind of joint, by its name in the list."""
    page.locator(".word[data-key='joint.kind']").click()
    page.locator(".word-panel .filter").fill(kind)
    page.locator(".word-panel li", has_text=kind).first.click()


def settled(page: Any) -> None:
    """Until the path is there."""
    page.locator("#keep:not([disabled])").wait_for(timeout=90_000)


def measure(moves: int) -> list[str]:
    """The table."""
    from playwright.sync_api import sync_playwright

    lines = ["ms, medians; largest in brackets", ""]
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 720}, bypass_csp=True)
        begun = time.perf_counter()
        served = Served()
        page.goto(served.address)
        page.locator(".break-load").wait_for()
        lines.append(f"first painted answer after the command {1000 * (time.perf_counter() - begun):.0f}")
        lines += ["", "kind                slider to second frame   curve begins   break load"]
        draws = [(7 * step % 11) / 10 for step in range(MOVES_EACH)]
        for kind in JOINTS:
            choose_kind(page, kind)
            settled(page)
            open_word(page, "boards.thickness")
            times = [page.evaluate(MOVE, ["boards.thickness", 0.2 + 0.2 * share]) for share in draws]
            settled(page)
            rests = []
            for _ in range(3):
                rests.append(page.evaluate(REST))
                settled(page)
            page.keyboard.press("Escape")
            steps, breaks = (statistics.median(each[which] for each in rests) for which in (0, 1))
            lines.append(
                f"{kind:20}{statistics.median(times):8.0f} ({max(times):.0f}){steps:18.0f}{breaks:14.0f}"
            )
            print(lines[-1], flush=True)
        lines += ["", *memory(page, served, moves)]
        browser.close()
        served.end()
    return lines


def memory(page: Any, served: Served, moves: int) -> list[str]:
    """Memory of server, workers and page after a hundred moves and after all."""
    choose_kind(page, "finger")
    settled(page)
    open_word(page, "boards.thickness")
    session = page.context.new_cdp_session(page)
    found = {}
    for number in range(1, moves + 1):
        page.evaluate(MOVE, ["boards.thickness", (37 * number % 101) / 400])
        if number in (100, moves):
            session.send("HeapProfiler.collectGarbage")
            used = session.send("Runtime.getHeapUsage")["usedSize"]
            found[number] = (_resident(served.process.pid), used / 1e6)
            print(f"after {number} moves {found[number]}", flush=True)
    first, last = found[min(100, moves)], found[moves]
    return [
        f"memory after 100 and after {moves} moves: program {first[0]:.0f} and {last[0]:.0f} MB, "
        f"page {first[1]:.1f} and {last[1]:.1f} MB"
    ]


def _resident(pid: int) -> float:
    """MB that a process and those below it hold."""
    total, queue = 0.0, [pid]
    while queue:
        each = queue.pop()
        total += int(Path(f"/proc/{each}/statm").read_text().split()[1]) * 4096 / 1e6
        for task in Path(f"/proc/{each}/task").glob("*/children"):
            queue += [int(child) for child in task.read_text().split()]
    return total


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--moves", type=int, default=1000)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    table = measure(asked.moves)
    print("\n".join(table))
    if asked.write:
        heading = f"python -m tests.benchmarks.page --moves {asked.moves}"
        KEPT.write_text("\n".join([heading, "", *table]) + "\n", encoding="utf-8")
