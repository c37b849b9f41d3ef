"""What a prediction writes: pictures that are opened, fields that open elsewhere, JSON as agreed."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import meshio
import numpy as np
import pytest
from PIL import Image

from glueline import predict
from glueline.studies.files.json_text import json_text
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.body_stresses import body_stresses
from glueline.studies.show.canvas import panels_of
from glueline.studies.show.face_view import draw_face_view
from glueline.studies.show.fields import fields_vtu
from glueline.studies.show.load_curve import draw_load_curve
from glueline.studies.show.parts import draw_parts
from glueline.studies.show.pictures import PICTURES, Wanted, pictures
from glueline.studies.show.share_of_strength_map import draw_share_of_strength
from glueline.studies.show.stress_map import draw_stress
from glueline.studies.show.traction_plots import draw_tractions
from glueline.studies.show.traction_table import traction_csv
from tests.studies.colours import colours_in
from tests.studies.corners import JOINTS, specimen


@pytest.fixture(scope="module", params=["butt", "splined mitre"])
def answer(request: pytest.FixtureRequest) -> Prediction:
    return predict(specimen(request.param), seed=3)


def test_pictures_have_content(answer: Prediction) -> None:
    """Every picture opens, is large enough to show a class, and is neither blank nor one flat colour."""
    found = dict(pictures(answer, wanted=Wanted(every=True)))
    assert tuple(found) == PICTURES
    for name, content in found.items():
        image = Image.open(io.BytesIO(content)).convert("RGB")
        assert image.width >= 700, name
        assert image.height >= 450, name
        pixels = np.asarray(image).reshape(-1, 3)
        marked = (pixels != 255).any(axis=1).mean()
        assert 0.01 < marked < 0.9, name
        assert len(colours_in(pixels[::7])) > 20, name
        # Nothing is cut off: the outermost rim of the sheet stays empty.
        whole = np.asarray(image)
        rim = np.concatenate([whole[0], whole[-1], whole[:, 0], whole[:, -1]])
        assert (rim == 255).all(), name


def test_labels_do_not_overlap(answer: Prediction) -> None:
    """Titles, headings and labels of every picture keep clear of each other."""
    stresses = body_stresses(answer)
    sheets = [
        draw_parts(answer, "metric"),
        draw_face_view(answer.corner, "metric"),
        draw_stress(answer, "stress_along", "imperial", stresses),
        draw_share_of_strength(answer, "metric"),
        draw_tractions(answer, "imperial"),
        draw_load_curve(answer, "metric"),
    ]
    for sheet in sheets:
        sheet.canvas.draw()
        renderer = sheet.canvas.get_renderer()  # type: ignore[attr-defined]
        texts = [axes.title for axes in sheet.axes] + [axes.xaxis.label for axes in sheet.axes]
        if sheet._suptitle is not None:  # type: ignore[attr-defined]
            texts.append(sheet._suptitle)  # type: ignore[attr-defined]
        boxes = [text.get_window_extent(renderer) for text in texts if text.get_text()]
        for index, first in enumerate(boxes):
            for second in boxes[index + 1 :]:
                assert not first.overlaps(second)


def test_units_reach_every_picture(answer: Prediction) -> None:
    stresses = body_stresses(answer)
    for units, stress, length in (("metric", "MPa", "mm"), ("imperial", "psi", "in")):
        sheet = draw_stress(answer, "stress_shear", units, stresses)  # type: ignore[arg-type]
        assert stress in sheet.axes[-1].get_ylabel()
        curve = draw_load_curve(answer, units).axes[0]  # type: ignore[arg-type]
        assert length in curve.get_xlabel().split()


def test_overlapping_pieces_get_panels_of_their_own() -> None:
    count = {kind: len(panels_of(predict(specimen(kind), method="elastic").corner)) for kind in JOINTS}
    assert count == {"butt": 1, "mitre": 1, "finger": 2, "splined mitre": 2}


def test_fields_open_elsewhere(answer: Prediction, tmp_path: Path) -> None:
    """Read back by meshio: the pieces' volume by hand, the displacement and stress of the prediction."""
    path = tmp_path / "fields.vtu"
    path.write_bytes(fields_vtu(answer))
    grid = meshio.read(path)
    assert [block.type for block in grid.cells] == ["triangle6"]
    model = answer.corner.model
    assert len(grid.points) == model.unknowns // 2
    moved = grid.point_data["displacement_mm"][:, :2]
    assert np.allclose(moved.ravel(), answer.u_at_break)
    a, b, c = (grid.points[grid.cells[0].data[:, i], :2] for i in range(3))
    area = 0.5 * ((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))
    volume = float(area @ grid.cell_data["thickness_mm"][0])
    assert volume == pytest.approx((2 * 150 * 19 - 19**2) * 90, rel=1e-9)
    for name in ("stress_along_grain_MPa", "stress_across_grain_MPa", "shear_stress_MPa"):
        assert np.isfinite(grid.point_data[name]).all()
        assert np.abs(grid.point_data[name]).max() > 0.1


def test_json_holds_what_was_agreed(answer: Prediction) -> None:
    found = json.loads(json_text(answer.answer))
    assert set(found["glue_area_mm2"]) == {"side_to_side", "side_to_end", "end_to_end", "grain_45"}
    assert set(found["mesh"]) == {"nodes", "elements", "unknowns"}
    assert "seconds" not in found
    worst = max(mode["share_of_strength_at_break"] for mode in found["modes"] if mode["counts_as_break"])
    assert worst == pytest.approx(1.0)
    assert found["breaks_in"] in ("glue", "wood", "fastener")
    assert found["method"] == "progressive"
    assert found["displacement_at_break_mm"] > 0
    assert found["energy_at_break_J"] > 0
    low, high = found["band_N"]
    assert 0 < low < found["break_load_N"] < high
    assert found["scatter"]["seed"] == 3
    rows = {"butt": ["end_grain"], "splined mitre": ["side_grain", "grain_45", "crossed"]}
    assert list(found["ranges"]) == rows[answer.specimen.kind]
    for weak, strong in found["ranges"].values():
        assert weak <= found["break_load_N"] <= strong


def test_tractions_table_carries_the_moment(answer: Prediction) -> None:
    """Summed from the table by hand, the tractions on board A carry the moment that the JSON shares out."""
    rows = list(csv.DictReader(io.StringIO(traction_csv(answer))))
    assert {row["surface"] for row in rows} == {surface.name for surface in answer.corner.surfaces}
    # About where the faces press on board A: the points weighted by what presses there.
    pressed, place = 0.0, np.zeros(2)
    for row in rows:
        if row["surface"] in answer.moment_share and row["opening_MPa"]:
            force = max(-float(row["opening_MPa"]), 0.0) * float(row["area_mm2"])
            pressed += force
            place += force * np.array([float(row["x_mm"]), float(row["y_mm"])])
    centre = place / pressed
    moment = {}
    for row in rows:
        x, y = float(row["x_mm"]) - centre[0], float(row["y_mm"]) - centre[1]
        force = [float(row[f"traction_{axis}_MPa"]) * float(row["area_mm2"]) for axis in "xy"]
        moment[row["surface"]] = moment.get(row["surface"], 0.0) + x * force[1] - y * force[0]
    on_a = {name: moment[name] for name in answer.moment_share}
    for name, share in answer.moment_share.items():
        assert on_a[name] / sum(on_a.values()) == pytest.approx(share, abs=1e-4)
