"""The same input makes the same bytes, whatever the clock and whatever a user has set for other programs."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from glueline.studies.examples import example_path
from glueline.studies.sweeps.rows import FinishedPoint, csv_bytes, table
from tests.studies.command_lines import ENVIRONMENT
from tests.studies.made_up_answers import made_up
from tests.studies.results_folders import files_in
from tests.studies.sweeps.fake_lanes import rows_in

SETTINGS = """
backend: svg
figure.dpi: 40
savefig.dpi: 40
savefig.facecolor: red
axes.facecolor: yellow
axes.grid: True
axes.linewidth: 5
lines.linewidth: 7
font.size: 22
font.family: monospace
image.cmap: prism
text.color: green
"""

SCRIPT = """
import sys
from glueline.studies.commands import main
butt, finger, out = sys.argv[1:]
asked = ["--method", "elastic", "--element-size", "6 mm"]
words = [
    ["predict", finger, "--no-band"],
    ["rank", butt, finger, *asked],
    ["sweep", finger, "--vary", "joint.fingers=5,7,99", "--workers", "1", *asked],
    ["influence", butt, "--workers", "1", *asked],
]
for each in words:
    assert main([*each, "--out", f"{out}/{each[0]}"]) == 0, each
for each in ("predict", "rank", "sweep"):
    assert main(["report", f"{out}/{each}", "--out", f"{out}/{each}.html"]) == 0, each
"""


def written(out: Path, **environment: str) -> dict[str, bytes]:
    """What the commands write in a process with these settings, by path."""
    subprocess.run(
        [sys.executable, "-c", SCRIPT, str(example_path("butt")), str(example_path("finger")), str(out)],
        env={**ENVIRONMENT, **environment},
        check=True,
        stdout=subprocess.DEVNULL,
        timeout=300,
    )
    return files_in(out)


@pytest.fixture(scope="module")
def twice(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The same work as it comes, and under odd settings, another hash seed and another time zone."""
    folder = tmp_path_factory.mktemp("twice")
    (folder / "matplotlibrc").write_text(SETTINGS, encoding="utf-8")
    plain = written(folder / "plain", PYTHONHASHSEED="1")
    odd = written(
        folder / "odd",
        MATPLOTLIBRC=str(folder / "matplotlibrc"),
        MPLBACKEND="a backend of long ago",
        PYTHONHASHSEED="2",
        TZ="Asia/Kathmandu",
    )
    return plain, odd


def test_settings_of_other_programs_change_no_byte(twice: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    plain, odd = twice
    assert len(plain) > 25
    assert {name for name in plain if plain[name] != odd.get(name)} == set()
    assert set(plain) == set(odd)


def test_nothing_written_tells_a_time(twice: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    """No key of a time, no date; pictures name no software either, whose version would change them."""
    plain, _ = twice
    for name, content in plain.items():
        if name.endswith(".png"):
            assert content.startswith(b"\x89PNG")
            assert not re.search(rb"tEXt|iTXt|zTXt|tIME", content[:400]), name
        elif name.endswith((".json", ".jsonl", ".csv", ".html", ".toml")):
            assert not re.search(rb"\b20\d\d-\d\d-\d\d[T ]\d|\bseconds\b|timestamp|elapsed", content), name
    manifest = json.loads(plain["predict/predict.manifest.json"])
    assert set(manifest["files"]) == {
        name.partition("/")[2] for name in plain if name.startswith("predict/") and "manifest" not in name
    }


def test_no_text_of_a_sweep_is_taken_for_a_formula() -> None:
    """Varied values, their keys, and words of an answer; numbers stay numbers."""
    texts = ("=HYPERLINK(1)", "+1", "-1 mm", "@x")
    answer = made_up(where="=1+1", compliance=-0.5)
    points = [
        FinishedPoint(number=number, values={"boards.wood": text}, status="ok", error="", answer=answer)
        for number, text in enumerate(texts)
    ]
    rows = rows_in(csv_bytes(*table(["boards.wood"], points)).decode())
    assert [row["boards.wood"] for row in rows] == [f"'{text}" for text in texts]
    assert {row["where"] for row in rows} == {"'=1+1"}
    assert {row["compliance_mm_per_N"] for row in rows} == {"-0.5"}
