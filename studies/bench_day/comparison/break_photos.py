"""Photos of the breaks that a log names, small enough for a page, beside the predicted pieces."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PureWindowsPath

from glueline.studies.bench_day.log.log_file import BenchLog, Break
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError, InputError
from glueline.studies.files.plain_files import read_plain
from glueline.studies.files.words import counted
from glueline.studies.predict.request import Request
from glueline.studies.show.page_words import PagePart, PagePicture

LARGEST_PHOTO = 40_000_000  # bytes
MOST_PIXELS = 120_000_000
LONGEST_SIDE = 1200  # px on the page, which a phone and a sheet of paper can show
QUALITY = 80
MOST_PHOTOS = 24  # so that a page can still be sent as a letter


@dataclass(frozen=True)
class ShownBreaks:
    """The parts of a page that show the breaks, and the files of their pictures."""

    parts: tuple[PagePart, ...]
    files: Mapping[str, bytes]


class NoPhoto(ValueError):
    """A photo that cannot be shown; its text says why."""


def shown_breaks(log: BenchLog, specimens: Mapping[str, Specimen], request: Request) -> ShownBreaks:
    """Every photo that the log names, label for label, beside the predicted pieces of its specimen.

    ``specimens`` by path are those that could be predicted; each that has a photo is followed once more,
    without its band, for its pieces.
    """
    files: dict[str, bytes] = {}
    parts = []
    room = MOST_PHOTOS
    for number, (label, rows) in enumerate(log.by_label().items(), start=1):
        named = [row for row in rows if row.photo]
        if not named:
            continue
        photos, missing = _photos(log, named, number, room, files)
        room -= len(photos)
        pieces, why = _pieces(named, specimens, request, number, files) if photos else ([], [])
        parts.append(
            PagePart(
                heading=f"{label}: as it broke",
                sentences=tuple(why),
                pictures=(*pieces, *photos),
                listed=tuple(missing),
            )
        )
    return ShownBreaks(tuple(parts), files)


def _photos(
    log: BenchLog, rows: Sequence[Break], number: int, room: int, files: dict[str, bytes]
) -> tuple[list[PagePicture], list[str]]:
    """The photos of one label, put into ``files``; those that are not shown, with the reason."""
    pictures: list[PagePicture] = []
    missing = []
    for row in rows:
        try:
            if len(pictures) >= room:
                raise NoPhoto(f"left out: a page shows {counted(MOST_PHOTOS, 'photo')} at most")
            day = log.days[row.day] if log.days else log
            content, size = small_photo(Path(os.path.abspath(day.path)).parent, row.photo)
        except NoPhoto as error:
            missing.append(f"{row.photo}: {error}")
            continue
        name = f"photo_{number}_{len(pictures) + 1}.jpg"
        files[name] = content
        failed = f"; failed in {row.failure}" if row.failure else ""
        pictures.append(PagePicture(name, f"{row.photo}: {row.label}, {row.written}{failed}.", size))
    return pictures, missing


def small_photo(folder: Path, name: str) -> tuple[bytes, tuple[int, int]]:
    """A photo beside the log as a small JPEG without what a camera adds, such as the place; and its size.

    Raises NoPhoto for what does not lie in ``folder`` itself, is missing, too large, or no JPEG or PNG.
    """
    from PIL import Image, ImageOps

    if name in (".", "..") or Path(name).name != name or PureWindowsPath(name).name != name:
        raise NoPhoto("is not shown, because a photo must lie beside its log: give the name of a file alone")
    path = folder / name
    try:
        if path.is_symlink():
            raise NoPhoto("is not shown, because it is a link to another file")
        content = read_plain(path, "a photo", LARGEST_PHOTO)
    except FileNotFoundError:
        raise NoPhoto("is not beside the log") from None
    except InputError as error:
        raise NoPhoto(error.problems[0].message) from None
    except (OSError, ValueError) as error:
        if isinstance(error, NoPhoto):
            raise
        raise NoPhoto("cannot be read") from None
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise NoPhoto(f"has more than {MOST_PIXELS // 1_000_000} million points: save it smaller")
            opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    except NoPhoto:
        raise
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise NoPhoto("is no JPEG or PNG that can be opened: save it as JPEG") from None
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    upright.info.clear()
    saved = io.BytesIO()
    upright.save(saved, "JPEG", quality=QUALITY)
    return saved.getvalue(), upright.size


def _pieces(
    rows: Sequence[Break],
    specimens: Mapping[str, Specimen],
    request: Request,
    number: int,
    files: dict[str, bytes],
) -> tuple[list[PagePicture], list[str]]:
    """The predicted pieces of each specimen among ``rows``, put into ``files``; why there are none."""
    pictures: list[PagePicture] = []
    why = []
    for content, reason in _drawn(rows, specimens, request):
        if content is None:
            why.append(reason)
            continue
        name = f"pieces_{number}_{len(pictures) + 1}.png"
        files[name] = content
        caption = "The pieces that it is predicted to fall into, to lay the real ones beside."
        pictures.append(PagePicture(name, caption))
    return pictures, list(dict.fromkeys(why))


def _drawn(
    rows: Sequence[Break], specimens: Mapping[str, Specimen], request: Request
) -> Iterator[tuple[bytes | None, str]]:
    """For each specimen its picture, or None and why there is none."""
    from glueline.studies.predict.predictor import predict_request
    from glueline.studies.show.broken_halves import broken_halves_png

    for path in dict.fromkeys(row.specimen for row in rows):
        if path not in specimens:
            yield None, "Without a prediction there are no predicted pieces to lay beside it."
            continue
        try:
            found = predict_request(specimens[path], replace(request, band=False)).broken
        except ComputationError as error:
            yield None, f"The predicted pieces could not be drawn: {error}"
            continue
        if found is None:
            yield None, "The elastic answer does not follow a break, so it has no predicted pieces."
            continue
        content = broken_halves_png(found)
        yield content, "It is not predicted to come apart, so there are no predicted pieces to show."
