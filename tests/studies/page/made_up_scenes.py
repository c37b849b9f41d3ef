"""Scenes and paths in the page's messages, made up: an L of two boards, no mechanics behind it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.studies.page.messages import packed

Array = NDArray[np.float64]
FRAMES = 7
CAUTION = (
    "An estimate for clear, straight-grained wood; knots, cracks and poor gluing lower it. It never says "
    "that a joint is fit for use. A loaded joint stores energy: eye protection on, catch blocks under it, "
    "keep clear."
)


def scene(number: int, headline: dict[str, Any], thickness: float, leg: float) -> bytes:
    """A message with one corner, its shares growing toward the inside of the corner."""
    header, arrays = _corner(headline, thickness, leg)
    return packed({"answer": "scene", "number": number, **header}, arrays)


def path(number: int, headline: dict[str, Any], thickness: float, leg: float, load: float) -> bytes:
    """The same with a path in seven frames to the break and one after it."""
    header, arrays = _corner(headline, thickness, leg)
    loads = load * np.array([0, 0.2, 0.4, 0.6, 0.8, 1.0, 0.7])
    gives = np.linspace(0, 3, FRAMES)
    body = arrays["places"]
    moved = np.stack([0.3 * step * body[:, ::-1] / leg * [-1, -1] for step in gives])
    edges, line, grain = arrays["edges"], arrays["glue"], arrays["grain"]
    still = np.zeros
    header |= {
        "frames": FRAMES,
        "load": loads.tolist(),
        "load_text": [f"{each:.0f} N" for each in loads],
        "displacement": gives.tolist(),
        "break_at": 5,
        "crack_at": 4,
        "magnification": 5.0,
        "stops": [f"{load * share / 100:.0f} N" for share in range(101)],
        "marks": [
            {"share": 0.8, "name": "first crack", "text": f"{0.8 * load:.0f} N"},
            {"share": 1.0, "name": "break", "text": f"{load:.0f} N"},
        ],
        "stand_clear": {"share": 0.7, "text": f"stand clear from {0.7 * load:.0f} N"},
        "force_words": "force on the joint",
        "broken": [
            {
                "move": [0, -12],
                "fills": [{"piece": 0, "outline": _box(0, 0, leg, thickness)}],
                "lines": [],
                "faces": [],
            },
            {
                "move": [-6, 8],
                "fills": [{"piece": 1, "outline": _box(0, thickness, thickness, leg)}],
                "lines": [],
                "faces": [{"torn": True, "line": [[0, thickness], [thickness, thickness]]}],
            },
        ],
        "curve": {
            "displacement": gives.tolist(),
            "load": loads.tolist(),
            "x_label": "give, mm",
            "y_label": "load, N",
        },
    }
    arrays |= {
        "body": body,
        "body_piece": arrays["piece"],
        "body_moved": moved,
        "body_edges": edges,
        "body_edges_moved": still((FRAMES, *edges.shape)),
        "line": line,
        "line_moved": still((FRAMES, *line.shape)),
        "line_gone": np.linspace(0, 1, FRAMES)[:, None] * np.ones(len(line)),
        "cheek": still((0, 2)),
        "cheek_moved": still((FRAMES, 0, 2)),
        "cheek_gone": still((FRAMES, 0)),
        "rod": still((0, 2, 2)),
        "rod_moved": still((FRAMES, 0, 2, 2)),
        "grain_moved": still((FRAMES, *grain.shape)),
    }
    return packed({"answer": "path", "number": number, **header}, arrays)


def _corner(headline: dict[str, Any], thickness: float, leg: float) -> tuple[dict[str, Any], dict[str, Any]]:
    boards = [_triangles(0, 0, leg, thickness), _triangles(0, thickness, thickness, leg)]
    places = np.concatenate(boards)
    away = np.hypot(places[:, 0] - thickness, places[:, 1] - thickness)
    share = np.clip(1 - away / (0.5 * leg), 0, 1) ** 2
    glue = np.array([[[x, thickness], [x + thickness / 8, thickness]] for x in np.arange(8) * thickness / 8])
    header = {
        "pieces": ["board A", "board B"],
        "holds": [{"name": "face", "said": "the glued face"}],
        "rods": [],
        "arrows": [{"at": [leg, thickness / 2], "toward": [leg - 20, thickness / 2 + 20], "pulls": False}],
        "supports": [{"at": [thickness / 2, leg], "outward": [0, 1], "clamps": False}],
        "whole": {"low": [-8, -8], "high": [leg + 25, leg + 25]},
        "close": {"low": [-3, -3], "high": [3 * thickness, 3 * thickness]},
        "depth": 90.0,
        "ring": [thickness, thickness],
        "headline": headline,
        "carried": [{"name": "the glued face", "share": 1.0, "text": "100 %"}],
        "stress_unit": "MPa",
    }
    counts = [len(board) // 3 for board in boards]
    arrays = {
        "places": places,
        "share": share,
        "piece": np.repeat([0, 1], counts),
        "along": 40 * share,
        "across": -4 * share,
        "shear": 6 * share,
        "edges": np.array(
            [*_edges(0, 0, leg, thickness), *_edges(0, thickness, thickness, leg)], dtype=float
        ),
        "glue": glue,
        "glue_share": np.linspace(0.1, 0.9, len(glue)),
        "glue_hold": np.zeros(len(glue), int),
        "splits": np.zeros((0, 2, 2)),
        "split_share": np.zeros(0),
        "spots": np.zeros((0, 2)),
        "spot_share": np.zeros(0),
        "spot_hold": np.zeros(0, int),
        "grain": np.array([[[20.0, y], [leg - 5, y]] for y in (5.0, 10.0)]),
    }
    return header, arrays


def _triangles(left: float, low: float, right: float, high: float) -> Array:
    long, short = np.linspace(0, 1, 25), np.linspace(0, 1, 4)
    across, up = (long, short) if right - left > high - low else (short, long)
    xs, ys = left + (right - left) * across, low + (high - low) * up
    cells = []
    for i in range(len(xs) - 1):
        for j in range(len(ys) - 1):
            a, b, c, d = (xs[i], ys[j]), (xs[i + 1], ys[j]), (xs[i + 1], ys[j + 1]), (xs[i], ys[j + 1])
            cells += [a, b, c, a, c, d]
    return np.array(cells)


def _box(left: float, low: float, right: float, high: float) -> list[list[float]]:
    return [[left, low], [right, low], [right, high], [left, high]]


def _edges(left: float, low: float, right: float, high: float) -> list[list[list[float]]]:
    box = _box(left, low, right, high)
    return [[box[k], box[(k + 1) % 4]] for k in range(4)]
