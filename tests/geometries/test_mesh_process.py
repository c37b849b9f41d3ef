"""What meshing does to the process in which it runs."""

from __future__ import annotations

import subprocess
import sys

import pytest

WRITES_TO_NOBODY = """
import os
from glueline.geometries import JOINTS, Boards, Butt
from glueline.geometries.mesh import mesh_layout

mesh_layout(JOINTS["butt"].layout(Butt(), Boards(19.0, 90.0, 150.0)), 3.0)
reader, writer = os.pipe()
os.close(reader)
try:
    os.write(writer, b"anything")
except BrokenPipeError:
    print("raised")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_a_pipe_without_a_reader_raises_after_meshing() -> None:
    """gmsh would let it end the process, and with it a whole sweep by the loss of one worker."""
    done = subprocess.run(
        [sys.executable, "-c", WRITES_TO_NOBODY], capture_output=True, text=True, check=False
    )
    assert (done.stdout, done.stderr, done.returncode) == ("raised\n", "", 0)
