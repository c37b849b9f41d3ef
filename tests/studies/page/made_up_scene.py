"""Messages of a made-up butt corner, as the page's server would send them: every number invented."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.studies.page.messages import packed
from glueline.studies.show.strength_colours import STEPS, signed_colours, strength_colours

Array = NDArray[np.float64]

DEPTH, LEG = 19.0, 150.0
FRAMES, BREAK_AT = 12, 8
BOARD_A = (0.0, 0.0, LEG, DEPTH)
BOARD_B = (0.0, DEPTH, DEPTH, LEG)
MAGNIFICATION, BREAK_LOAD = 40.0, 467.0
GLUED = np.linspace(0.0, DEPTH, 21)


def colours() -> dict[str, list[list[int]]]:
    """The scale and its counterpart, each [[red, green, blue], ...] from 0 to 255."""
    strength = strength_colours()(np.arange(STEPS))[:, :3]
    signed = signed_colours()(np.arange(2 * STEPS))[:STEPS, :3][::-1]
    return {
        name: np.round(255 * part).astype(int).tolist()
        for name, part in (("scale", strength), ("signed", signed))
    }


def scene_message(shift: float = 0.0, cells: int = 3000) -> bytes:
    """A loaded corner of about ``cells`` triangles; ``shift`` changes what is coloured."""
    header, arrays = _scene(shift, cells)
    return packed({**header, "answer": "scene", "number": 1}, arrays)


def path_message(cells: int = 3000) -> bytes:
    """The same corner along a path to its break, and its pieces."""
    header, arrays = _scene(0.0, cells)
    body, piece, edges, grain = (arrays[name] for name in ("places", "piece", "edges", "grain"))
    line = arrays["glue"]
    steps = [_step(frame) for frame in range(FRAMES)]
    in_b = np.repeat(piece, 3).astype(bool)
    edge_of_b, grain_of_b = (each.mean(axis=1)[:, 1] > DEPTH for each in (edges, grain))
    edge_of_b[len(edges) // 2 :] = True
    arrays |= {
        "body": body,
        "body_piece": piece,
        "body_moved": np.stack([_moved(body, in_b, *step) for step in steps]),
        "body_edges": edges,
        "body_edges_moved": np.stack([_moved(edges, edge_of_b[:, None], *step) for step in steps]),
        "grain_moved": np.stack([_moved(grain, grain_of_b[:, None], *step) for step in steps]),
        "line": line,
        "line_moved": np.stack(
            [0.5 * (_moved(line, True, *step) + _moved(line, False, *step)) for step in steps]
        ),
        "line_gone": np.stack([_gone(line.mean(axis=1)[:, 0], frame) for frame in range(FRAMES)]),
        "cheek": np.empty((0, 2)),
        "cheek_moved": np.empty((FRAMES, 0, 2)),
        "cheek_gone": np.empty((FRAMES, 0)),
        "rod": _segments(_dowel()),
        "rod_moved": np.stack([_moved(_segments(_dowel()), True, *step) for step in steps]),
    }
    return packed({**header, "answer": "path", "number": 2, **_of_path()}, arrays)


def steps_message(again: bool = False) -> dict[str, Any]:
    """Places of the curve as they stream in."""
    return {
        "answer": "steps",
        "again": again,
        "displacement": [0.0, 0.1, 0.2],
        "load": [0.0, 150.0, 300.0],
        "load_unit": "N",
        "load_factor": 1.0,
    }


def _of_path() -> dict[str, Any]:
    load = [BREAK_LOAD * _step(frame)[0] for frame in range(FRAMES)]
    displacement = [0.06 * frame for frame in range(FRAMES)]
    return {
        "frames": FRAMES,
        "load": load,
        "displacement": displacement,
        "break_at": BREAK_AT,
        "crack_at": BREAK_AT - 1,
        "load_text": [f"{each:.0f} N" for each in load],
        "magnification": MAGNIFICATION,
        "stops": [f"{BREAK_LOAD * share / 100:.0f} N" for share in range(101)],
        "marks": [
            {"share": 0.93, "name": "first crack", "text": "434 N"},
            {"share": 1.0, "name": "break", "text": "467 N"},
        ],
        "stand_clear": {"share": 0.6, "text": "stand clear from 280 N"},
        "force_words": "force on the joint",
        "broken": _broken(),
        "curve": {
            "displacement": displacement,
            "load": load,
            "x_label": "tips closer by (mm)",
            "y_label": "load (N)",
        },
    }


def _broken() -> list[dict[str, Any]]:
    """Board B comes off board A, its end bare, a part of A's face torn; B splits at a crack."""
    face = [[0.0, DEPTH], [DEPTH, DEPTH]]
    teeth = [[DEPTH, 70.0], [14.0, 71.5], [9.0, 68.8], [4.0, 71.0], [0.0, 69.0]]
    lower = [[0.0, DEPTH], [DEPTH, DEPTH], *teeth]
    upper = [*teeth[::-1], [DEPTH, LEG], [0.0, LEG]]
    outline_a = [[0.0, 0.0], [LEG, 0.0], [LEG, DEPTH], [0.0, DEPTH]]
    rounds = [[*one, one[0]] for one in (outline_a, lower, upper)]
    return [
        {
            "move": [0.0, 0.0],
            "fills": [{"piece": "board A", "outline": outline_a}],
            "lines": [rounds[0]],
            "faces": [{"torn": True, "line": face}],
        },
        {
            "move": [0.0, 9.0],
            "fills": [{"piece": "board B", "outline": lower}, {"piece": "dowel", "outline": _dowel()}],
            "lines": [rounds[1]],
            "faces": [{"torn": False, "line": face}],
        },
        {
            "move": [6.0, 20.0],
            "fills": [{"piece": "board B", "outline": upper}],
            "lines": [rounds[2]],
            "faces": [],
        },
    ]


def _scene(shift: float, cells: int) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    side = np.sqrt(DEPTH * (2 * LEG - DEPTH) * 2 / cells)
    boards = [_mesh(board, side) for board in (BOARD_A, BOARD_B)]
    places = np.concatenate(boards)
    piece = np.repeat([0, 1], [len(each) // 3 for each in boards])
    near = np.exp(-np.hypot(places[:, 0] - 4.0, places[:, 1] - DEPTH) / 30.0)
    lean = (places[:, 1] - DEPTH / 2) / DEPTH * np.where(np.repeat(piece, 3) == 0, 1.0, 0.0)
    glue = np.stack(
        [
            np.stack([GLUED[:-1], np.full(20, DEPTH)], axis=1),
            np.stack([GLUED[1:], np.full(20, DEPTH)], axis=1),
        ],
        axis=1,
    )
    arrays = {
        "places": places,
        "share": np.clip(0.55 * near + shift, 0.0, 1.0),
        "piece": piece,
        "along": 30.0 * lean * (1 - places[:, 0] / LEG),
        "across": 6.0 * near - 1.0,
        "shear": 8.0 * near * np.sign(lean),
        "edges": np.concatenate([_parted(_segments(_box(board))) for board in (BOARD_A, BOARD_B)]),
        "glue": glue,
        "glue_share": np.linspace(1.0, 0.05, 20),
        "glue_hold": np.zeros(20, dtype=int),
        "splits": np.array([[[30.0, 10.0], [60.0, 10.0]]]),
        "split_share": np.array([0.4]),
        "spots": np.array([[70.0, 9.5], [80.0, 9.5]]),
        "spot_share": np.array([0.2, 0.8]),
        "spot_hold": np.array([1, 1]),
        "grain": _grain(),
    }
    header = {
        "pieces": ["board A", "board B"],
        "holds": [
            {"name": "butt face", "said": "the butt face (glue line)"},
            {"name": "spots", "said": "made-up spots"},
        ],
        "rods": [{"name": "dowel", "outline": _dowel(), "share": 0.15}],
        "arrows": [{"at": [LEG, DEPTH / 2], "toward": [-0.7071, 0.7071], "pulls": False}],
        "supports": [{"at": [DEPTH / 2, LEG], "outward": [-0.7071, 0.7071], "clamps": False}],
        "whole": {"low": [-54.0, -54.0], "high": [204.0, 204.0]},
        "close": {"low": [-6.0, -6.0], "high": [52.0, 52.0]},
        "depth": DEPTH,
        "ring": [0.0, DEPTH],
        "stress_unit": "MPa",
        "headline": {"answer": {"moment_share": {"butt face": 0.9, "dowel": 0.1}}},
        "carried": [
            {"name": "butt face", "share": 0.9, "text": "90 % of the load"},
            {"name": "dowel", "share": 0.1, "text": "10 % of the load"},
        ],
    }
    return header, arrays


def _dowel() -> list[list[float]]:
    return _box((6.0, 8.0, 13.0, 45.0))


def _box(board: tuple[float, float, float, float]) -> list[list[float]]:
    left, low, right, high = board
    return [[left, low], [right, low], [right, high], [left, high]]


def _segments(outline: list[list[float]]) -> Array:
    """Segments (n, 2, 2) round an outline."""
    corners = np.array(outline)
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


def _parted(segments: Array, count: int = 12) -> Array:
    """Every segment as ``count`` shorter ones."""
    at = np.linspace(0.0, 1.0, count + 1)[:, None]
    points = segments[:, None, 0] + at * (segments[:, None, 1] - segments[:, None, 0])
    return np.stack([points[:, :-1], points[:, 1:]], axis=2).reshape(-1, 2, 2)


def _mesh(board: tuple[float, float, float, float], side: float) -> Array:
    """Corners (3m, 2) of triangles on a grid."""
    left, low, right, high = board
    xs = np.linspace(left, right, max(2, round((right - left) / side) + 1))
    ys = np.linspace(low, high, max(2, round((high - low) / side) + 1))
    x, y = np.meshgrid(xs, ys, indexing="ij")
    grid = np.stack([x, y], axis=2)
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    return np.stack([a, b, c, a, c, d], axis=2).reshape(-1, 2)


def _grain() -> Array:
    """Short segments (g, 2, 2) along both boards, so that they can bend."""
    ends = np.linspace(0.0, 1.0, 25)
    lines = []
    for offset in np.linspace(0.0, DEPTH, 9)[1:-1]:
        along_a = np.stack([ends * LEG, np.full(25, offset)], axis=1)
        along_b = np.stack([np.full(25, offset), DEPTH + ends * (LEG - DEPTH)], axis=1)
        lines += [np.stack([one[:-1], one[1:]], axis=1) for one in (along_a, along_b)]
    return np.concatenate(lines)


def _step(frame: int) -> tuple[float, float]:
    """Share of the break load and mm that the joint has opened in a frame."""
    share = frame / BREAK_AT
    after = max(0, frame - BREAK_AT)
    return (share if not after else 0.6 - 0.1 * after), 0.05 * share**3 + 0.06 * after


def _moved(places: Array, in_b: Any, share: float, opened: float) -> Array:
    """How far places move in mm: both boards bend, board B turns about the inside of the joint."""
    x, y = places[..., 0], places[..., 1]
    bend = 0.15 * share
    of_a = np.stack([0 * x, bend * (x / LEG) ** 2], axis=-1)
    turn = opened / DEPTH
    of_b = np.stack([bend * (y / LEG) ** 2 + 0.3 * turn * (y - DEPTH), turn * (DEPTH - x)], axis=-1)
    return np.where(np.broadcast_to(np.asarray(in_b)[..., None], of_a.shape), of_b, of_a)


def _gone(x: Array, frame: int) -> Array:
    return np.clip(1.6 * frame / BREAK_AT - 0.6 - x / DEPTH + 0.4 * max(0, frame - BREAK_AT), 0.0, 1.0)
