"""Where results go: a directory that can be written to, and files that appear whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

from glueline.studies.files.failures import InputError, InputProblem


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
    """The directory for results, as ``prepare_output_directory`` makes it.

    Where the work inside ends by an exception, directories made for it that are empty are taken away.
    """
    try:
        made = [each for each in (Path(path), *Path(path).parents) if not each.exists()]
    except (OSError, ValueError):  # no name that a directory can have, as preparing it says
        made = []
    try:
        yield prepare_output_directory(path)
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

    Raises OSError; nothing is left then.
    """
    target = Path(path)
    handle, draft = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(draft, 0o666 & ~_umask())
        os.replace(draft, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(draft)
        raise


def remove_others(folder: Path, own: Collection[str], written: Collection[str]) -> None:
    """Remove files of earlier results: those of the names ``own`` that are not among ``written``.

    Nothing else in ``folder`` is touched, no directory either. Raises OSError.
    """
    for name in own:
        path = folder / name
        if name not in written and (path.is_file() or path.is_symlink()):
            path.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
