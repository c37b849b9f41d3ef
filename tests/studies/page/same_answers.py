"""Answers on the page beside those of the command line, for random corners of every kind.

    python -m tests.studies.page.same_answers [--corners 20] [--seed 1] [--write]

Run by hand (about 2 minutes for 20 corners with bands); ``--write`` puts the table into same_answers.txt.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import random
import sys
import tempfile
from pathlib import Path
from typing import Any

from glueline.geometries import JOINTS
from glueline.studies.commands import main
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.new_corner import usual_corner
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_tables import toml_text
from tests.studies.page.program import Asker, Served

WOODS = ("hard maple", "red oak", "black cherry", "eastern white pine", "yellow poplar")
KEPT = Path(__file__).with_name("same_answers.txt")


def random_corner(kind: str, draws: random.Random) -> dict[str, Any]:
    """A corner of a kind that can be read: usual measures on boards somewhat off the usual."""
    while True:
        lay = draws.choice(JOINTS[kind].lays)
        tables = usual_corner(JOINTS[kind], draws.choice(("metric", "imperial")), lay)
        tables["boards"]["thickness"] = f"{draws.randint(14, 26)} mm"
        tables["boards"]["width"] = f"{draws.randint(45, 110)} mm"
        tables["boards"]["leg"] = f"{draws.randint(180, 420)} mm"
        tables["boards"]["wood"] = draws.choice(WOODS)
        tables["load"]["arrangement"] = draws.choice(tuple(ARRANGEMENTS))
        tables["glue"]["quality"] = f"{draws.randint(60, 110)} %"
        try:
            specimen_of("corner.toml", tables)
        except InputError:
            continue
        return tables


def printed(corner: dict[str, Any], folder: Path) -> dict[str, Any] | str:
    """What `glueline predict --json` says of a corner, or its complaint."""
    file = folder / "corner.toml"
    file.write_text(toml_text(corner), encoding="utf-8")
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(["predict", str(file), "--json"])
    return json.loads(out.getvalue()) if status == 0 else err.getvalue().strip()


def on_the_page(asker: Asker, corner: dict[str, Any]) -> dict[str, Any] | str:
    """What the page says of it once band and ranges are there, or its complaint."""
    last = asker.answers(asker.ask("path", corner=corner, units="metric"), ("band",))[-1]
    return last["headline"]["answer"] if last["answer"] == "band" else last["message"]


def compare(corners: int, seed: int) -> tuple[list[str], int]:
    """A line for each corner, and how many differ."""
    draws, wrong, lines = random.Random(seed), 0, []
    kinds = list(JOINTS)
    served = Served()
    with tempfile.TemporaryDirectory() as folder:
        asker = Asker(served.address)
        for number in range(corners):
            kind = kinds[number % len(kinds)]
            corner = random_corner(kind, draws)
            mine, theirs = printed(corner, Path(folder)), on_the_page(asker, corner)
            if isinstance(mine, dict) and isinstance(theirs, dict):
                unlike = [key for key in mine if mine[key] != theirs.get(key)]
                said = f"{mine['break_load_N']:9.2f} N  " + (", ".join(unlike) if unlike else "equal")
            else:
                unlike = [] if isinstance(mine, str) and isinstance(theirs, str) else ["one fails"]
                said = f"{mine if isinstance(mine, str) else theirs}"[:90]
            wrong += bool(unlike)
            lines.append(f"{number:3}  {kind:18} {corner['load']['arrangement']:21} {said}")
            print(lines[-1], flush=True)
        asker.close()
    status = served.end()
    lines.append(f"{corners} corners, {wrong} differ; the server ended with status {status}")
    print(lines[-1])
    return lines, wrong


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--corners", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    found, differing = compare(asked.corners, asked.seed)
    if asked.write:
        heading = f"python -m tests.studies.page.same_answers --corners {asked.corners} --seed {asked.seed}"
        KEPT.write_text("\n".join([heading, "", *found]) + "\n", encoding="utf-8")
    sys.exit(bool(differing))
