"""One writer at a time in a directory: a lock of the system, which ends with its process however that ends.

The lock is on an empty file of our own, which goes when its holder has finished. A kill leaves the file but
not the lock, and the next writer takes that file over.
"""

from __future__ import annotations

import contextlib
import os
import stat
import sys
from collections.abc import Iterator
from pathlib import Path

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.plain_files import WITHOUT_WAITING, printable

HOLD_FILE = ".glueline.lock"
BUSY = "another glueline is writing into this directory: wait until it has ended, or give another directory"
NOT_OURS = f"its {HOLD_FILE} is none that glueline made: give another directory, or move that file"
TRIES = 100
"""How often a holder may end between the opening of its file and the look at it, until that is no chance."""

NO_LINKS = getattr(os, "O_NOFOLLOW", 0)

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        """Raises BlockingIOError where another process has it."""
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError as error:
            raise BlockingIOError(*error.args) from None

else:
    import fcntl

    def _lock(handle: int) -> None:
        """Raises BlockingIOError where another process has it."""
        # On file systems that know no locks two writers at once are the user's to avoid.
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise
        except OSError:
            return


@contextlib.contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold a directory that is there, for this process alone, as long as the work inside takes.

    Raises InputError where another process holds it, or somebody else's file stands in the lock's place.
    """
    path = folder / HOLD_FILE
    handle = _taken(folder, path)
    try:
        yield
    finally:
        if sys.platform == "win32":  # an open file cannot be removed; one that is opened meanwhile stays
            os.close(handle)
            with contextlib.suppress(OSError):
                path.unlink()
        else:
            if _is_at(handle, path):
                with contextlib.suppress(OSError):
                    path.unlink()
            os.close(handle)


def refuse_held(folder: str | os.PathLike[str]) -> None:
    """Raises InputError where another writer holds the directory at this moment; it need not exist."""
    try:
        handle = os.open(Path(folder) / HOLD_FILE, os.O_RDWR | NO_LINKS | WITHOUT_WAITING)
    except (OSError, ValueError):  # none there, or none of ours, which ``held`` refuses
        return
    try:
        if _is_ours(handle):
            _lock(handle)
    except BlockingIOError:
        raise _refused(folder, BUSY) from None
    finally:
        os.close(handle)


def _taken(folder: Path, path: Path) -> int:
    """The lock's file, open and locked."""
    for _ in range(TRIES):
        try:
            handle = os.open(path, os.O_RDWR | os.O_CREAT | NO_LINKS | WITHOUT_WAITING, 0o666)
        except OSError:
            if os.path.lexists(path):
                raise _refused(folder, NOT_OURS) from None
            raise
        try:
            if not _is_ours(handle):
                raise _refused(folder, NOT_OURS)
            _lock(handle)
        except BlockingIOError:
            os.close(handle)
            raise _refused(folder, BUSY) from None
        except BaseException:
            os.close(handle)
            raise
        if _is_at(handle, path):
            return handle
        os.close(handle)  # its holder was just ending and took it away
    raise _refused(folder, BUSY)


def _is_ours(handle: int) -> bool:
    """Whether an open file is as ours are: plain and empty."""
    found = os.fstat(handle)
    return stat.S_ISREG(found.st_mode) and found.st_size == 0


def _is_at(handle: int, path: Path) -> bool:
    """Whether an open file is the one at that path."""
    try:
        return os.path.samestat(os.fstat(handle), os.lstat(path))
    except OSError:
        return False


def _refused(folder: str | os.PathLike[str], message: str) -> InputError:
    return InputError((InputProblem("command line", "--out", printable(os.fspath(folder), 300), message),))
