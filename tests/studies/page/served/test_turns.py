"""Questions that overtake each other: what is void is not answered, and tabs do not wait for each other."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import httpx
import pytest

from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.report import is_report_page
from tests.studies.page.served.page_server import PATIENCE, PageServer, TestTab, tab, with_fingers


def test_only_the_newest_of_a_kind_is_answered(page: TestTab, corner: Any) -> None:
    """Five elastic questions at once: the last is answered, and of the others no more than the first."""
    for fingers in range(3, 8):
        page.send("elastic", corner=with_fingers(corner, fingers), units="metric")
    heard = [page.hear()]
    while heard[-1]["number"] != page.number:
        heard.append(page.hear())
    assert [each["number"] for each in heard] in ([page.number], [1, page.number])


def test_a_path_is_ended_within_a_step_and_the_next_is_whole(page: TestTab, corner: Any) -> None:
    """Of the path that became void nothing comes any more; the next one streams in and is that of predict."""
    page.send("path", corner=with_fingers(corner, 5), units="metric")
    assert page.hear()["again"] is True
    newest = page.send("path", corner=with_fingers(corner, 3), units="metric")
    heard = page.hear_all("path", "failed")
    own = [each for each in heard if each["number"] == newest]
    assert heard[-1] is own[-1]
    assert all(each["number"] == newest for each in heard[heard.index(own[0]) :])
    load: list[float] = []
    for each in own[:-1]:
        load = [*([] if each["again"] else load), *each["load"]]
    assert load == own[-1]["headline"]["answer"]["path"]["load_N"]
    page.send("stop", what="path")  # its band


def test_many_corners_come_one_by_one_and_give_way(page: TestTab, server: PageServer, corner: Any) -> None:
    """A point that fits no corner has its reason; another tab's path need not wait for all points."""
    number = page.send("many", corner=corner, units="imperial", key="joint.fingers", stops=["3", "400", "4"])
    with tab(server) as other:
        other.send("path", corner=with_fingers(corner, 3), units="metric")
        between = other.hear_all("path", "failed")[-1]
        assert between["answer"] == "path"
    points = page.hear_all("done")
    assert {each["number"] for each in points} == {number}
    assert [each["answer"] for each in points] == ["point", "point", "point", "done"]
    assert [each["at"] for each in points[:3]] == [0, 1, 2]
    assert points[0]["load_text"].endswith("lbf")
    assert points[1]["load_N"] is None
    assert "at most 45" in points[1]["wrong"]
    assert points[2]["wrong"] is None
    assert points[3]["count"] == 3


def test_stopped_corners_are_not_computed(page: TestTab, corner: Any) -> None:
    stops = [str(fingers) for fingers in range(3, 26)]
    page.send("many", corner=corner, units="metric", key="joint.fingers", stops=stops)
    page.send("stop", what="many")
    page.send("elastic", corner=corner, units="metric")
    assert page.hear()["answer"] == "scene"


def saved(server: PageServer, kind: str, corner: Any) -> httpx.Response:
    return httpx.post(
        f"{server.address}save/{kind}",
        json={"corner": corner, "units": "metric", "name": "A corner"},
        headers={"Origin": f"http://{server.host}"},
        timeout=PATIENCE,
    )


def test_a_saved_specimen_file_reads_back(server: PageServer, corner: Any, tmp_path: Path) -> None:
    file = saved(server, "toml", with_fingers(corner, 3))
    assert file.headers["content-disposition"] == 'attachment; filename="a_corner.toml"'
    (tmp_path / "saved.toml").write_bytes(file.content)
    assert read_specimen(tmp_path / "saved.toml").joint.fingers == 3


def test_the_band_comes_after_the_path_and_a_slide_has_both(
    page: TestTab, server: PageServer, corner: Any
) -> None:
    butt = {**corner, "joint": {"kind": "butt"}}
    page.send("path", corner=butt, units="imperial")
    path, band = page.hear_all("band", "failed")[-2:]
    assert path["answer"] == "path"
    assert path["headline"]["answer"]["band_N"] is None
    low, high = band["headline"]["answer"]["band_N"]
    assert low < path["headline"]["answer"]["break_load_N"] < high
    assert band["stand_clear"]["text"].endswith("lbf")
    assert saved(server, "slide", butt).content.startswith(b"\x89PNG")


@pytest.mark.slow
def test_a_saved_report_is_the_page_of_glueline_report(server: PageServer, corner: Any) -> None:
    page = saved(server, "report", {**corner, "joint": {"kind": "butt"}})
    assert page.headers["content-type"].startswith("text/html")
    assert is_report_page(page.content)


def test_a_corner_that_does_not_fit_is_not_saved(server: PageServer, corner: Any) -> None:
    refused = saved(server, "report", {**corner, "boards": {}})
    assert refused.status_code == 400
    assert "boards.thickness" in refused.json()["message"]
