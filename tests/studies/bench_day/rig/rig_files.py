"""Rig files written for tests."""

from __future__ import annotations

from pathlib import Path

PLATFORM = """
[rig]
kind = "hinged platform"
arrangement = "diagonal compression"
specimen_at = "400 mm"
weights_at = "800 mm"
centre_at = "450 mm"
own_weight = "6 kg"
position_error = "0 mm"
weight_error = "0 %"
"""


def write(folder: Path, text: str) -> str:
    path = folder / "rig.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def checks(*pairs: tuple[float, float]) -> str:
    return "".join(f'[[check]]\nstacked = "{stacked} kg"\nscale = "{scale} kg"\n' for stacked, scale in pairs)
