"""A directory of results: one writer for every command.

A command writes all its drafts first, each under a name of its own. Then it takes its old manifest away,
moves the drafts to their places and writes the new manifest last. So a stop at any moment leaves the old
results, the new ones, or files without a manifest, which readers refuse. What a stopped command had begun
stands in its note, by which the next run knows the files that are its own; every other file is somebody
else's and is never touched.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import Path

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.folder_hold import refuse_held
from glueline.studies.files.json_text import Damaged, json_line, json_text
from glueline.studies.files.manifest import (
    Manifest,
    Note,
    digest_of,
    digest_of_bytes,
    manifest_name,
    note_name,
    read_manifest,
    read_note,
    seen_from,
    writer_name,
)
from glueline.studies.files.output import draft_path, move_draft, raise_naming, write_draft
from glueline.studies.files.toml_tables import printable
from glueline.studies.files.words import all_of

MOST_NAMED = 4
"""Files in the way that a message names before it counts the rest."""


def check_place(
    folder: str | os.PathLike[str],
    command: str,
    names: Iterable[str],
    made_from: str | os.PathLike[str] | None = None,
    replace: bool = False,
    judged: Collection[str] = (),
) -> None:
    """Raises InputError where writing ``names`` would touch what ``command`` did not write itself.

    Also where another glueline is writing there, and where the results there were ``made_from`` another
    file, unless they are to be replaced. Names that the command has ``judged`` itself are passed over. The
    directory need not exist.
    """
    if os.fspath(folder).strip():  # else it is no name at all, as preparing it says
        refuse_held(folder)
        ResultsWriter(folder, command, names, made_from, replace, judged)


def write_results_folder(
    folder: str | os.PathLike[str],
    command: str,
    contents: Mapping[str, bytes],
    *,
    may_write: Iterable[str] = (),
    made_from: str | os.PathLike[str] | None = None,
    replace: bool = False,
    judged: Collection[str] = (),
) -> list[Path]:
    """Write all files of a command, and take away those that it wrote earlier and has no more; the paths.

    ``may_write`` names what the command may write besides. Nothing is touched where it all stands there
    already. Raises InputError as ``check_place``, and OSError: before any file has been moved to its place
    all is then as it was.
    """
    names = [*dict.fromkeys([*contents, *may_write])]
    writer = ResultsWriter(folder, command, names, made_from, replace, judged)
    writer.write_all(contents)
    return [writer.folder / name for name in contents]


class ResultsWriter:
    """The one writer of a command's files in ``folder``. Raises InputError as ``check_place``."""

    def __init__(
        self,
        folder: str | os.PathLike[str],
        command: str,
        names: Iterable[str],
        made_from: str | os.PathLike[str] | None = None,
        replace: bool = False,
        judged: Collection[str] = (),
    ) -> None:
        self.folder, self.command = Path(folder), command
        self._given = os.fspath(folder)
        self._made_from = "" if made_from is None else seen_from(folder, made_from)
        self._manifest_path = self.folder / manifest_name(command)
        self._note_path = self.folder / note_name(command)
        self._manifest = self._read_manifest()
        self._note = self._read_note()
        self._judged = frozenset(judged)
        self._begun = False
        self._known: dict[str, set[str]] = {}
        if self._manifest is not None:
            self._known = {name: {digest} for name, digest in self._manifest.files.items()}
        for name, digests in (self._note.files if self._note else {}).items():
            self._known.setdefault(name, set()).update(digests)
        self._is_first = not self._known
        if not replace:
            self._refuse_another_origin()
        self._refuse_foreign(*names)

    def write_all(self, contents: Mapping[str, bytes]) -> None:
        """All files at once: drafts first, so that a full disk is found out before anything is touched."""
        digests = {name: digest_of_bytes(content) for name, content in contents.items()}
        if self._stands_already(digests):
            self._remove_note()
            return
        manifest = self._manifest_text(digests)
        draft = self._write_note({**digests, self._manifest_path.name: digest_of_bytes(manifest)})
        drafts: dict[Path, Path] = {}
        made: list[Path] = []
        moving = False
        try:
            for name, content in contents.items():
                target = self.folder / name
                if not target.parent.exists():
                    target.parent.mkdir(parents=True)
                    made.append(target.parent)
                drafts[target] = write_draft(target, content, draft)
            manifest_draft = write_draft(self._manifest_path, manifest, draft)
            drafts[self._manifest_path] = manifest_draft
            moving = True
            self._remove_manifest()
            for name in contents:
                move_draft(drafts[self.folder / name], self.folder / name)
            self._remove_earlier(contents)
            _sync(self.folder)
            move_draft(manifest_draft, self._manifest_path)
        except BaseException:
            for each in drafts.values():
                each.unlink(missing_ok=True)
            for each in made:
                with contextlib.suppress(OSError):
                    each.rmdir()
            if not moving and (self._manifest is not None or self._is_first):
                self._remove_note()
            raise
        self._remove_note()

    def begin(self) -> None:
        """Take the manifest away, for files that are written one by one with ``put`` until ``finish``."""
        if not self._begun:
            self._write_note({})
            self._remove_manifest()
            self._begun = True

    def put(self, name: str, content: bytes) -> None:
        """Write one file whole, unless it says the same already."""
        digest, there = digest_of_bytes(content), digest_of(self.folder / name)
        known = self._known.get(name, set())
        if there == digest and (digest in known or name in self._judged):
            return
        self._refuse_foreign(name)
        self._known[name] = {each for each in known if each == there}  # those gone by need no more room
        draft = self._write_note({name: digest})
        self._remove_manifest()
        self._begun = True
        target = self.folder / name
        move_draft(write_draft(target, content, draft), target)

    def finish(self, names: Iterable[str]) -> None:
        """Write the manifest of those of ``names`` that are there, unless it stands there already."""
        found = {name: digest_of(self.folder / name) for name in names}
        digests = {name: digest for name, digest in found.items() if digest is not None}
        if not self._stands_already(digests):
            manifest = self._manifest_text(digests)
            draft = self._write_note({**digests, self._manifest_path.name: digest_of_bytes(manifest)})
            _sync(self.folder)
            move_draft(write_draft(self._manifest_path, manifest, draft), self._manifest_path)
        self._remove_note()

    def forget(self) -> None:
        """Nothing is left of what was begun: take the note away."""
        self._remove_note()

    def clear_drafts(self) -> None:
        """Remove the drafts that a run of this command left when it was killed, and no other file."""
        if self._note is None:
            return
        for name in (*self._note.files, self._note_path.name):
            target = self.folder / name
            with contextlib.suppress(OSError):
                draft_path(target, self._note.draft).unlink()

    def _stands_already(self, digests: Mapping[str, str]) -> bool:
        manifest = self._manifest
        return (
            manifest is not None
            and manifest.made_from == self._made_from
            and manifest.files == digests
            and self._manifest_path.is_file()
            and all(digest_of(self.folder / name) == digest for name, digest in digests.items())
        )

    def _manifest_text(self, digests: Mapping[str, str]) -> bytes:
        manifest = Manifest(
            written_by=writer_name(self.command), made_from=self._made_from, files=dict(digests)
        )
        return json_text(manifest).encode()

    def _write_note(self, digests: Mapping[str, str]) -> str:
        """Note digests that files are about to have; the mark of the drafts."""
        self.clear_drafts()
        for name, digest in digests.items():
            self._known.setdefault(name, set()).add(digest)
        draft = self._note.draft if self._note else secrets.token_hex(8)
        note = Note(
            written_by=writer_name(self.command),
            made_from=self._made_from,
            draft=draft,
            files={name: tuple(sorted(each)) for name, each in self._known.items()},
        )
        if self._note is not None:
            move_draft(write_draft(self._note_path, json_line(note), draft), self._note_path)
        else:
            # Written in its place: torn, it tells that nothing had been touched yet.
            try:
                with self._note_path.open("wb") as file:
                    file.write(json_line(note))
                    file.flush()
                    os.fsync(file.fileno())
            except BaseException as error:
                self._note_path.unlink(missing_ok=True)
                raise_naming(self._note_path, error)
        self._note = note
        return draft

    def _remove_note(self) -> None:
        self.clear_drafts()
        self._note_path.unlink(missing_ok=True)
        self._note = None
        self._begun = False

    def _remove_manifest(self) -> None:
        self._manifest_path.unlink(missing_ok=True)

    def _remove_earlier(self, written: Collection[str]) -> None:
        """Remove what this command wrote earlier, has not written now, and nobody has changed since."""
        for name, digests in self._known.items():
            path = self.folder / name
            if name not in (*written, self._manifest_path.name) and digest_of(path) in digests:
                path.unlink(missing_ok=True)

    def _refuse_another_origin(self) -> None:
        earlier = self._manifest or self._note
        if earlier is None or not self._made_from or earlier.made_from == self._made_from:
            return
        shown = printable(os.path.normpath(os.path.join(self._given, earlier.made_from)), 300)
        message = (
            f"holds what glueline {self.command} made from another file, {shown}: give another directory, or "
            f"have it replaced by glueline {self.command} --replace"
        )
        raise self._refused(message)

    def _refuse_foreign(self, *names: str) -> None:
        """Raises InputError where any of these files is not this command's own; it names all that are not."""
        foreign = [name for name in names if self._is_foreign(name)]
        changed = [name for name in foreign if name in self._known and _is_plain_file(self.folder / name)]
        if not foreign:
            return
        several = len(changed or foreign) > 1
        was, has, it = ("were", "have", "them") if several else ("was", "has", "it")
        if changed:
            why = f"{has} been changed since glueline {self.command} wrote {it}"
        else:
            older = "; an older glueline wrote none" if self._is_first else ""
            names_it = f"no {self._manifest_path.name} names {it}{older}"
            why = f"{was} not written by glueline {self.command} ({names_it})"
        move = "those files" if several else "that file"
        raise self._refused(
            f"its {_listed(changed or foreign)} {why}: give another directory, or move {move} away"
        )

    def _is_foreign(self, name: str) -> bool:
        path = self.folder / name
        for inner in Path(name).parents[:-1]:
            if os.path.lexists(self.folder / inner) and not _is_plain_directory(self.folder / inner):
                raise self._refused(f"its {inner} is no directory: give another one, or move that file")
        if name in self._judged or not os.path.lexists(path):
            return False
        return not (_is_plain_file(path) and digest_of(path) in self._known.get(name, ()))

    def _read_manifest(self) -> Manifest | None:
        try:
            return read_manifest(self.folder, self.command)
        except Damaged:
            raise self._refused(self._not_ours(self._manifest_path)) from None

    def _read_note(self) -> Note | None:
        try:
            return read_note(self.folder, self.command)
        except Damaged:
            raise self._refused(self._not_ours(self._note_path)) from None

    def _not_ours(self, path: Path) -> str:
        return f"its {path.name} is none that glueline {self.command} wrote: give another directory"

    def _refused(self, message: str) -> InputError:
        return InputError((InputProblem("command line", "--out", printable(self._given, 300), message),))


def _listed(names: Sequence[str]) -> str:
    """Names of files as a list; of many only the first and how many more there are."""
    if len(names) > MOST_NAMED:
        return f"{', '.join(names[: MOST_NAMED - 1])} and {len(names) - MOST_NAMED + 1} more files"
    return all_of(names)


def _is_plain_file(path: Path) -> bool:
    return path.is_file() and not path.is_symlink()


def _is_plain_directory(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()


def _sync(folder: Path) -> None:
    """Force what was moved in a directory to the disk, where the system can."""
    with contextlib.suppress(OSError, AttributeError):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
