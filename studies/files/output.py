"""Where results go: a directory that can be written to, and files that appear whole or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NoReturn

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.folder_hold import held
from glueline.studies.files.plain_files import holds


def prepare_output_directory(path: str | os.PathLike[str]) -> Path:
    """The directory for results, made if it is not there. Raises InputError if it cannot be written to."""
    folder = Path(path)

    def refuse(message: str) -> InputError:
        return InputError((InputProblem("command line", "--out", os.fspath(path), message),))

    if not os.fspath(path).strip():
        raise refuse("is empty; give the name of a directory")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except (FileExistsError, NotADirectoryError):
        raise refuse("is a file, or lies in one; give the name of a directory") from None
    except PermissionError:
        raise refuse("cannot be written to: no permission; give another directory") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refuse(f"cannot be written to: {reason}; give another directory") from None
    return folder


@contextlib.contextmanager
def directory_for_results(path: str | os.PathLike[str]) -> Iterator[Path]:
    """The directory for results, as ``prepare_output_directory`` makes it, held against other writers.

    Raises InputError also where another glueline is writing into it. Where the work inside ends by an
    exception, directories made for it that are empty are taken away.
    """
    try:
        made = [each for each in (Path(path), *Path(path).parents) if not each.exists()]
    except (OSError, ValueError):  # no name that a directory can have, as preparing it says
        made = []
    try:
        folder = prepare_output_directory(path)
        with held(folder):
            yield folder
    except BaseException:
        for each in made:
            with contextlib.suppress(OSError):
                each.rmdir()
        raise


@contextlib.contextmanager
def optional_directory_for_results(path: str | os.PathLike[str] | None) -> Iterator[Path | None]:
    """The same where --out may have been left out: None for None."""
    if path is None:
        yield None
        return
    with directory_for_results(path) as folder:
        yield folder


def refuse_overwriting(
    path: str | os.PathLike[str], names: Iterable[str], read: Iterable[str | os.PathLike[str]]
) -> None:
    """Raises InputError where a file ``names`` in directory ``path`` would take the place of one ``read``."""
    sources = list(dict.fromkeys(read))
    for name in names:
        target = Path(path) / name
        for source in sources:
            with contextlib.suppress(OSError, ValueError):
                if os.path.samefile(target, source):
                    message = f"would write {name} over the file that is read: give another directory"
                    raise InputError((InputProblem("command line", "--out", os.fspath(path), message),))


def write_atomically(path: str | os.PathLike[str], content: bytes) -> None:
    """Write a file beside its place and move it there at once, so that no half of it is ever seen.

    Raises OSError, which names the file; nothing is left then. A kill leaves a draft, which the same write
    takes away when it comes again.
    """
    target = Path(path)
    mark = hashlib.sha256(content).hexdigest()[:16]
    draft_path(target, mark).unlink(missing_ok=True)
    draft = write_draft(target, content, mark)
    try:
        move_draft(draft, target)
    except FileNotFoundError:
        # Another process that writes the same has moved this draft: all is as it should be.
        if not _holds(target, content):
            raise


def _holds(target: Path, content: bytes) -> bool:
    try:
        return holds(target, content, "what was written")
    except (OSError, InputError):
        return False


def write_in_parts(path: str | os.PathLike[str], content: Iterable[bytes], mark: str) -> None:
    """The same for what is too long to be held at once; the draft goes by ``mark``, for one writer only."""
    target = Path(path)
    draft_path(target, mark).unlink(missing_ok=True)
    move_draft(write_draft(target, content, mark), target)


def draft_path(target: Path, mark: str) -> Path:
    """Where the draft of a file lies until it is moved: hidden, beside its place."""
    return target.parent / f".{target.name}.{mark}.part"


def write_draft(target: Path, content: bytes | Iterable[bytes], mark: str) -> Path:
    """A draft of a file, whole and forced to the disk, beside its place under a name that holds ``mark``.

    Raises OSError, which names the file that it was for; nothing is left then.
    """
    draft = draft_path(target, mark)
    try:
        with draft.open("xb") as file:
            file.writelines([content] if isinstance(content, bytes) else content)
            file.flush()
            os.fsync(file.fileno())
    except BaseException as error:
        _discard(draft)
        raise_naming(target, error)
    return draft


def move_draft(draft: Path, target: Path) -> None:
    """Move a draft to its place at once. Raises OSError, which names the file; the draft is gone then."""
    try:
        os.replace(draft, target)
    except BaseException as error:
        _discard(draft)
        raise_naming(target, error)


def raise_naming(target: Path, error: BaseException) -> NoReturn:
    """Raise ``error`` again; one of the system names the file that was to be written."""
    if isinstance(error, OSError) and error.errno is not None:
        raise OSError(error.errno, error.strerror, os.fspath(target)) from error
    raise error


def _discard(draft: Path) -> None:
    with contextlib.suppress(OSError, ValueError):
        draft.unlink()
