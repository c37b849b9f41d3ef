"""The readers of Glueline with files to begin from: each call reads one random input, in this process."""

from __future__ import annotations

import argparse
import random
import shutil
from collections.abc import Callable
from pathlib import Path

from glueline.studies.bench_day.log.filled_log import refuse_filled
from glueline.studies.bench_day.log.log_file import read_log
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.commands.arguments import parsed_changes
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.examples import EXAMPLES, bench_day_path, example_path
from glueline.studies.files.key_changes import known_keys
from glueline.studies.files.own_files import read_glue_file, read_wood_file
from glueline.studies.predict.request import Request
from glueline.studies.report import read_directory, report_page
from glueline.studies.sweeps.points import cross
from glueline.studies.sweeps.store import open_store
from glueline.studies.sweeps.sweep import described
from glueline.studies.sweeps.vary import parse_varied
from tests.fuzz.mutations import AWKWARD, mutated

WOOD = b"""like = "white oak"
name = "my oak"
density = "740 kg/m3"
[sag]
span = "900 mm"
weight = "5 kg"
sag = "4 mm"
thickness = "19 mm"
width = "90 mm"
"""
GLUE = b"""like = "pva"
name = "ours"
quality = 0.9
softening = "linear"
[side_grain]
shear_strength = 11.0
[sources.side_grain]
source = "our own"
mark = "measured"
[crossed]
low = 0.3
"""
LIKELY = (
    "joint.kind=butt",
    "joint.kind=finger",
    "joint.fingers=5",
    "boards.thickness=21 mm",
    "boards.thickness=3/4 in,1 in",
    "boards.width=80 mm:100 mm:10 mm",
    "boards.leg=240 mm",
    "boards.wood=red oak",
    "boards.wood=red oak,black walnut",
    "boards.moisture=10 %",
    "glue.kind=epoxy",
    "glue.quality=80 %",
    "glue.quality=60 %:100 %:20 %",
    "glue.coverage=70 %",
    "load.arrangement=cantilever in",
)
"""Changes that many corners bear, so that what is wrong beside them is read to its end."""

RARE = 10
"""One in so many inputs goes to a reader that is slow."""


class Readers:
    """Every reader, and what lies about in a folder for them."""

    def __init__(self, folder: Path) -> None:
        from glueline.studies.commands import main

        self.folder = folder
        self.specimens = [example_path(name).read_bytes() for name in EXAMPLES]
        self.rig, self.log = (
            bench_day_path(name).read_bytes() for name in ("bench_rig.toml", "bench_log.csv")
        )
        self.glues = [GLUE, b'like = "epoxy"\n', b'like = "pva"\nquality = 0.8\ncalibrated = "by us"\n']
        self.woods = [WOOD, b'like = "hard maple"\nstiffness = "12 GPa"\n']
        (folder / "wood.toml").write_bytes(WOOD)
        (folder / "glue.toml").write_bytes(GLUE)
        self.whole = folder / "whole"
        butt, fast = str(example_path("butt")), ["--method", "elastic"]
        vary = ["--vary", "glue.quality=80 %,100 %", "--workers", "1"]
        for words in (
            ["predict", butt, *fast, "--out", str(self.whole / "predict")],
            ["rank", butt, str(example_path("mitre")), *fast, "--out", str(self.whole / "rank")],
            ["sweep", butt, *fast, *vary, "--out", str(self.whole / "sweep")],
        ):
            assert main(words) == 0
        self.results = {
            path: path.read_bytes() for path in self.whole.rglob("*") if path.suffix in (".json", ".jsonl")
        }
        self.everything = [*self.specimens, *self.glues, *self.woods, self.rig, self.log]
        self.keys = known_keys()

    def of(self, chance: random.Random) -> Callable[[random.Random], object]:
        """The reader of the next input."""
        if chance.randrange(RARE) == 0:
            return chance.choice((self.report, self.report, self.carried_on, self.crossed))
        return chance.choice(
            (self.specimen, self.specimen, self.changes, self.own_file, self.log_file, self.rig_file)
        )

    def specimen(self, chance: random.Random) -> object:
        """A specimen file, which reads back as it is written."""
        path = self._write("corner.toml", mutated(chance.choice(self.specimens), self.everything, chance))
        found = read_specimen(path)
        again = read_specimen(self._write("again.toml", specimen_toml(found).encode()))
        assert (again.joint, again.boards, again.moisture) == (found.joint, found.boards, found.moisture)
        return found

    def changes(self, chance: random.Random) -> object:
        """Changes on the command line to a specimen file."""
        path = self._write("corner.toml", chance.choice(self.specimens))
        texts = [self._change(chance) for _ in range(chance.randint(1, 4))]
        return read_specimen(path, parsed_changes(argparse.Namespace(changes=texts)))

    def crossed(self, chance: random.Random) -> object:
        """Keys that are varied."""
        path = self._write("corner.toml", chance.choice(self.specimens))
        texts = [self._change(chance) for _ in range(chance.randint(1, 3))]
        varied = parse_varied(texts)
        count = 1
        for each in varied:
            count *= len(each.values)
        return cross(str(path), [], varied) if count <= 300 else varied

    def own_file(self, chance: random.Random) -> object:
        """A wood or a glue file, alone or named in a specimen."""
        kind, sources, read = chance.choice(
            (("wood", self.woods, read_wood_file), ("glue", self.glues, read_glue_file))
        )
        path = self._write(f"own_{kind}.toml", mutated(chance.choice(sources), self.everything, chance))
        if chance.random() < 0.7:
            return read(str(path))
        key = "boards.wood" if kind == "wood" else "glue.kind"
        return read_specimen(self._write("corner.toml", chance.choice(self.specimens)), [(key, str(path))])

    def log_file(self, chance: random.Random) -> object:
        """The log of a bench day, and a table to fill in that a plan must not lose."""
        for name, content in zip(EXAMPLES, self.specimens, strict=True):
            if not (self.folder / f"{name}.toml").exists():
                self._write(f"{name}.toml", content)
        path = self._write("log.csv", mutated(self.log, self.everything, chance))
        if chance.random() < 0.3:
            return refuse_filled(path, "out")
        rig = read_rig(self._write("rig.toml", self.rig)) if chance.random() < 0.5 else None
        return read_log(path, rig, force=chance.random() < 0.5)

    def rig_file(self, chance: random.Random) -> object:
        """A rig."""
        return read_rig(self._write("rig.toml", mutated(self.rig, self.everything, chance)))

    def report(self, chance: random.Random) -> object:
        """A directory of results with one file changed, as a page."""
        path = chance.choice(sorted(self.results))
        try:
            path.write_bytes(mutated(self.results[path], list(self.results.values()), chance))
            return report_page(read_directory(path.parent))
        finally:
            path.write_bytes(self.results[path])

    def carried_on(self, chance: random.Random) -> object:
        """The directory of a sweep with one file changed, opened to carry it on, and its table."""
        out = self.folder / "carried_on"
        shutil.rmtree(out, ignore_errors=True)
        shutil.copytree(self.whole / "sweep", out)
        name = chance.choice(("points.jsonl", "points.jsonl", "points.jsonl", "sweep.json"))
        source = self.results[self.whole / "sweep" / name]
        (out / name).write_bytes(mutated(source, list(self.results.values()), chance))
        varied = parse_varied(["glue.quality=80 %,100 %"])
        points = cross(str(example_path("butt")), (), varied)
        asked = described(points, varied, Request(method="elastic"))
        with open_store(str(out), asked, [point.values for point in points]) as store:
            store.write_table()
            return dict(store.finished)

    def _change(self, chance: random.Random) -> str:
        if chance.random() < 0.5:
            return chance.choice(LIKELY)
        key = chance.choice(self.keys) if chance.random() < 0.8 else chance.choice((*AWKWARD, *self.keys))
        value = chance.choice(AWKWARD)
        if chance.random() < 0.6:
            unit = chance.choice(("mm", "mm", "in", "%", "deg", "N", "N/mm", ""))
            value = chance.choice(
                (f"{chance.randint(0, 120)} {unit}", f"{chance.randint(0, 9)}", "red oak", "true")
            )
        if chance.random() < 0.3:
            value = f"{value}{chance.choice(':,')}{chance.choice((value, *AWKWARD))}"
        text = f"{key}={value}"
        if chance.random() < 0.3:
            text = mutated(text.encode("utf-8", "replace"), self.everything, chance).decode(
                "utf-8", "replace"
            )
        return text

    def _write(self, name: str, content: bytes) -> Path:
        path = self.folder / name
        path.write_bytes(content)
        return path
