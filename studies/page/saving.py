"""A corner of the page as files to keep: its specimen file, a slide, the report page."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from glueline.studies.files.units import Units
from glueline.studies.predict.request import Request

if TYPE_CHECKING:
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.prediction import Prediction

KINDS = {"toml": ("toml", "application/toml"), "slide": ("png", "image/png"), "report": ("html", "text/html")}
"""What can be saved: the ending of its file and its media type."""

LONGEST_NAME = 60


def file_name(name: str, kind: str) -> str:
    """The name of a file for a corner that goes by ``name``.

    >>> file_name("Finger, 9 of hard maple", "slide"), file_name("../..", "toml")
    ('finger_9_of_hard_maple.png', 'corner.toml')
    """
    plain = re.sub(r"[^a-z0-9]+", "_", name.casefold())[:LONGEST_NAME].strip("_")
    return f"{plain or 'corner'}.{KINDS[kind][0]}"


def specimen_file(specimen: Specimen) -> bytes:
    """The specimen file: it reads back to the same corner."""
    from glueline.studies.corner.specimen_file import specimen_toml

    return specimen_toml(specimen).encode()


def slide(prediction: Prediction, units: Units) -> bytes:
    """The slide for a projector, as PNG."""
    from glueline.studies.show.canvas import drawn
    from glueline.studies.show.slide import draw_slide

    return drawn(draw_slide, prediction, units)


def report(
    prediction: Prediction,
    units: Units,
    request: Request,
    folder: Path,
    progress: Callable[[str], None] = lambda _: None,
) -> bytes:
    """The report page, as ``glueline report`` makes it of what ``glueline predict --out`` writes.

    ``folder``, which is empty, is written to and left to whoever made it; ``progress`` is told of every file
    and may raise to end it.
    """
    from glueline.studies.report import read_directory, report_page
    from glueline.studies.show.write_results import write_results

    write_results(prediction, folder, units, request, progress)
    return report_page(read_directory(folder))
