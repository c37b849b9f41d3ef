"""Woods and glues that a specimen file names: those of the tables by name, a maker's own by their paths."""

from __future__ import annotations

import os
from dataclasses import dataclass, field

from glueline.materials import Glue, Wood, find_glue, find_wood
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.own_files import by_name, is_path, read_glue_file, read_wood_file
from glueline.studies.files.toml_tables import NAME_RIGHT, Problems, Table, is_text, printable

DEFAULT_GLUE = "pva"


@dataclass
class NamedMaterials:
    """Those that one ``file`` names; ``paths`` collects absolute paths of their files by table and key.

    ``problems`` takes what is wrong with the file itself, ``further`` what is wrong with a file it names.
    """

    file: str
    problems: Problems
    further: list[InputProblem] = field(default_factory=list)
    paths: dict[tuple[str, str], str] = field(default_factory=dict)
    woods: dict[str, Wood | None] = field(default_factory=dict)

    def resolve(self, table: Table, key: str, name: str) -> str | None:
        """The absolute path of a wood or glue file: beside the specimen file, or here if typed on --set."""
        dotted = table.key(key)
        folder = os.getcwd() if dotted in self.problems.typed else os.path.dirname(os.path.abspath(self.file))
        path = os.path.normpath(os.path.join(folder, os.path.expanduser(name)))
        if not is_text(path):
            table.wrong(key, f"lies at a path that no record can hold, {printable(path)}: {NAME_RIGHT}")
            return None
        if not os.path.isfile(path):
            reason = "is a directory" if os.path.isdir(path) else "no such file"
            table.wrong(key, f"{reason}: {printable(path)}; paths are relative to the file that names them")
            return None
        self.paths[table.name, key] = path
        return path

    def wood(self, table: Table, key: str, *, required: bool = False) -> Wood | None:
        """The wood named at ``key``, by name or by path."""
        name = table.text(key, '"hard maple"', required=required)
        if name is None:
            return None
        if not is_path(name):
            return by_name(table, key, name, find_wood, "wood")
        path = self.resolve(table, key, name)
        if path is None:
            return None
        if path not in self.woods:
            self.woods[path] = None
            try:
                self.woods[path] = read_wood_file(path)
            except InputError as error:
                self.further += error.problems
        return self.woods[path]

    def glue(self, table: Table) -> Glue | None:
        """The glue, by name or by path; PVA where none is named."""
        name = table.text("kind", '"pva"') if table.has("kind") else DEFAULT_GLUE
        if name is None:
            return None
        if not is_path(name):
            return by_name(table, "kind", name, find_glue, "glue")
        path = self.resolve(table, "kind", name)
        if path is None:
            return None
        try:
            return read_glue_file(path)
        except InputError as error:
            self.further += error.problems
            return None
