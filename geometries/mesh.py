"""One conforming mesh of six-node triangles for a whole layout, by gmsh.

The cells of a layout share their edges once every corner of one is made a corner of its neighbours, so
every glue line and outline is a chain of element edges and no geometry has to be intersected. Where the
outlines are symmetric about the diagonal only the half below it is meshed and the rest is its mirror image.
"""

from __future__ import annotations

import importlib
import signal
import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.geometries.joinings import Point
from glueline.geometries.layout import Layout

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

GROWTH = 0.4  # element size gained per mm away from a glue line
SPLIT_SHARE = (
    2.0  # element size where a split begins over that along glue lines: wood softens over longer zones
)
FINE_SHARE = 0.35  # element size at glue-line ends and re-entrant corners over that along glue lines
SHARE_OF_DEPTH, CROWDED_SHARE, MOST_UNCROWDED = 1 / 10, 1 / 7, 4  # the last is a number of glue lines
SMALLEST, LARGEST, LARGEST_ON_CHEEKS = 0.4, 4.0, 12.0  # mm
LEAST_SHARE, LEAST_SHARE_ON_CHEEKS = 1 / 40, 1 / 20
CURVE_ACCURACY = 1e-7  # of numbers of elements along edges; with 1e-9 a mesh takes more than twice as long
COARSEST = 5.0  # largest element size over that along glue lines
NEAR = 1e-6  # mm: closer than this is the same place


class MeshFailure(RuntimeError):
    """The mesh could not be made; the message says what to try."""


class GmshMissing(MeshFailure):
    """There is no gmsh to mesh with: it is not installed, or its system libraries are not."""


@dataclass(frozen=True)
class LayoutMesh:
    """Six-node triangles of a layout.

    ``nodes`` (n, 2) in mm; ``triangles`` (c, 6) corners anticlockwise, then middles; ``cell_of`` (c,) the
    layout cell of every triangle; ``element_size`` in mm along glue lines.
    """

    nodes: Array
    triangles: Integers
    cell_of: Integers
    element_size: float

    def edges_on(self, start: Point, end: Point) -> Integers:
        """Element edges (e, 3) as (start, end, middle) on a segment, in order and directed along it.

        Raises MeshFailure where the edges do not cover the segment.
        """
        origin, direction = np.array(start), np.array(end) - np.array(start)
        length = float(np.hypot(*direction))
        unit = direction / length
        away = self.nodes - origin
        along, across = away @ unit, away @ np.array([-unit[1], unit[0]])
        on = (np.abs(across) < NEAR) & (along > -NEAR) & (along < length + NEAR)
        edges = self.triangles[:, [[0, 1, 3], [1, 2, 4], [2, 0, 5]]].reshape(-1, 3)
        edges = edges[on[edges].all(axis=1)]
        swap = along[edges[:, 0]] > along[edges[:, 1]]
        edges[swap, :2] = edges[swap, 1::-1]
        edges = edges[np.unique(edges[:, 2], return_index=True)[1]]  # no two edges share their middle
        edges = edges[np.argsort(along[edges[:, 0]])]
        covered = float((along[edges[:, 1]] - along[edges[:, 0]]).sum()) if len(edges) else 0.0
        if abs(covered - length) > 1e-6 * length:
            raise MeshFailure(f"the mesh does not follow the line from {start} to {end}")
        return np.asarray(edges)


def default_element_size(layout: Layout) -> float:
    """Element size in mm along glue lines: a tenth of the depth in the plane, between 0.4 and 4 mm.

    A seventh of the depth where glue lines crowd, as round loose tenons: they leave no room in which
    elements could grow. Up to 12 mm where cheeks carry the load instead: their glue spreads over all of the
    corner, and their many points are what a path spends its time on. Nowhere under a fortieth of the depth,
    with cheeks a twentieth: how much that moves a break load stands in ``studies/predict/README.md``.
    """
    depth = min(layout.boards.depth_a, layout.boards.depth_b)
    lines = sum(len(joining.edges) for joining in layout.joinings if not joining.cells)
    if lines > MOST_UNCROWDED:
        return max(min(CROWDED_SHARE * depth, LARGEST), LEAST_SHARE * depth, SMALLEST)
    if any(joining.cells for joining in layout.joinings):
        size = min(SHARE_OF_DEPTH * depth, LARGEST_ON_CHEEKS)
        return max(size, LEAST_SHARE_ON_CHEEKS * depth, SMALLEST)
    return max(min(SHARE_OF_DEPTH * depth, LARGEST), LEAST_SHARE * depth, SMALLEST)


def is_large(layout: Layout) -> bool:
    """Whether a corner is so large that its usual elements are larger than the glue would have them.

    >>> from glueline.geometries import JOINTS, Boards, Butt
    >>> [is_large(JOINTS["butt"].layout(Butt(), Boards(19.0, w, 900.0, "frame"))) for w in (90.0, 300.0)]
    [False, True]
    """
    cheeks = any(joining.cells for joining in layout.joinings)
    return default_element_size(layout) > (LARGEST_ON_CHEEKS if cheeks else LARGEST)


def mesh_layout(layout: Layout, element_size: float | None = None) -> LayoutMesh:
    """Mesh a layout with ``element_size`` mm along its glue lines; the same input gives the same mesh.

    Raises MeshFailure where gmsh is missing its system libraries or gives up.
    """
    size = default_element_size(layout) if element_size is None else element_size
    extra = [
        *layout.fine_points,
        *(line.origin for line in layout.splits),
        *(end for _, end in layout.boards.apex_patches),
    ]
    polygons = [cell.polygon for cell in layout.cells]
    if layout.mirrored:
        polygons = [_below_diagonal(polygon) for polygon in polygons]
    corners = [point for polygon in polygons for point in polygon] + extra
    outlines = [_with_points(polygon, corners) if polygon else () for polygon in polygons]
    lines = [edge for joining in layout.joinings for edge in joining.edges]
    nodes, triangles, cell_of = _run_gmsh(layout, outlines, lines, size)
    if layout.mirrored:
        nodes, triangles, cell_of = _mirrored(layout, nodes, triangles, cell_of)
    nodes, six = _with_middles(nodes, triangles)
    return LayoutMesh(nodes, six, cell_of, size)


def _below_diagonal(polygon: Sequence[Point]) -> tuple[Point, ...]:
    """Clip a convex polygon to y <= x (Sutherland and Hodgman 1974); empty where nothing is left."""
    kept: list[Point] = []
    for index, (x, y) in enumerate(polygon):
        before_x, before_y = polygon[index - 1]
        here, before = x - y, before_x - before_y
        if (here > NEAR and before < -NEAR) or (here < -NEAR and before > NEAR):
            share = before / (before - here)
            value = before_x + share * (x - before_x)
            kept.append((value, value))
        if here >= -NEAR:
            kept.append((x, y))
    area = sum(kept[i - 1][0] * kept[i][1] - kept[i][0] * kept[i - 1][1] for i in range(len(kept)))
    return tuple(kept) if len(kept) >= 3 and area > NEAR else ()


def _with_points(polygon: Sequence[Point], points: Iterable[Point]) -> tuple[Point, ...]:
    """The polygon with every one of ``points`` that lies on its outline made a corner."""
    places = list(dict.fromkeys(points))
    outline: list[Point] = []
    for index, start in enumerate(polygon):
        end = polygon[(index + 1) % len(polygon)]
        length = hypot(end[0] - start[0], end[1] - start[1])
        ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        between = {0.0: start}
        for x, y in places:
            along = (x - start[0]) * ux + (y - start[1]) * uy
            across = -(x - start[0]) * uy + (y - start[1]) * ux
            if abs(across) < NEAR and NEAR < along < length - NEAR:
                between.setdefault(round(along, 5), (x, y))
        outline += [between[key] for key in sorted(between)]
    return tuple(outline)


def _gmsh() -> Any:
    try:
        gmsh = importlib.import_module("gmsh")
    except (ImportError, OSError) as error:
        raise GmshMissing(
            f"gmsh cannot be loaded ({error}); on Debian: apt install libgl1 libglu1-mesa libxcursor1 "
            "libxft2 libxinerama1 libgomp1"
        ) from error
    if not gmsh.isInitialized():
        with _own_signals():
            gmsh.initialize(interruptible=False)
        for option, value in {
            "General.Terminal": 0,
            "General.NumThreads": 1,
            "Mesh.Algorithm": 6,
            "Mesh.MeshSizeExtendFromBoundary": 0,
            "Mesh.MeshSizeFromPoints": 0,
            "Mesh.MeshSizeFromCurvature": 0,
            "Mesh.LcIntegrationPrecision": CURVE_ACCURACY,
        }.items():
            gmsh.option.setNumber(option, value)
    return gmsh


@contextmanager
def _own_signals() -> Iterator[None]:
    """Whatever happens inside, a pipe whose reader is gone raises afterwards as before.

    gmsh lets it end the process instead, so a lost worker would take the process that started it along.
    """
    number = getattr(signal, "SIGPIPE", None)
    before = None if number is None else signal.getsignal(number)
    yield
    if number is not None and before is not None and threading.current_thread() is threading.main_thread():
        signal.signal(number, before)


def _run_gmsh(
    layout: Layout, outlines: Sequence[Sequence[Point]], lines: Sequence[tuple[Point, Point]], size: float
) -> tuple[Array, Integers, Integers]:
    gmsh = _gmsh()
    gmsh.clear()
    gmsh.model.add("corner")
    try:
        surfaces, curves, points = _draw(gmsh.model.geo, outlines)
        gmsh.model.geo.synchronize()
        _set_sizes(gmsh.model.mesh.field, layout, curves, points, lines, size)
        gmsh.model.mesh.generate(2)
        return _collect(gmsh.model.mesh, surfaces)
    except (MeshFailure, MemoryError):
        raise
    except Exception as error:
        if "bad_alloc" in str(error):  # what C++ says of memory that is not there
            raise MemoryError("gmsh had not enough memory") from error
        raise MeshFailure(f"gmsh gave up: {error}; try another element size") from error
    finally:
        gmsh.clear()


def _draw(
    geo: Any, outlines: Sequence[Sequence[Point]]
) -> tuple[list[tuple[int, int]], dict[int, tuple[Point, Point]], dict[int, Point]]:
    """Points, lines and surfaces shared between cells; returns (cell, surface), curves and points by tag."""
    point_tags: dict[tuple[float, float], int] = {}
    line_tags: dict[tuple[int, int], int] = {}
    places: dict[int, Point] = {}
    curves: dict[int, tuple[Point, Point]] = {}
    surfaces = []
    for cell, outline in enumerate(outlines):
        if not outline:
            continue
        tags = []
        for x, y in outline:
            key = (round(x, 5), round(y, 5))
            if key not in point_tags:
                point_tags[key] = geo.addPoint(x, y, 0.0)
                places[point_tags[key]] = (x, y)
            tags.append(point_tags[key])
        loop = []
        for start, end in zip(tags, tags[1:] + tags[:1], strict=True):
            if (end, start) in line_tags:
                loop.append(-line_tags[end, start])
                continue
            if (start, end) not in line_tags:
                line_tags[start, end] = geo.addLine(start, end)
                curves[line_tags[start, end]] = (places[start], places[end])
            loop.append(line_tags[start, end])
        surfaces.append((cell, geo.addPlaneSurface([geo.addCurveLoop(loop)])))
    return surfaces, curves, places


def _on_segment(point: Point, segment: tuple[Point, Point]) -> bool:
    (x0, y0), (x1, y1) = segment
    length = hypot(x1 - x0, y1 - y0)
    along = ((point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)) / length
    across = (-(point[0] - x0) * (y1 - y0) + (point[1] - y0) * (x1 - x0)) / length
    return abs(across) < NEAR and -NEAR < along < length + NEAR


def _set_sizes(
    field: Any,
    layout: Layout,
    curves: dict[int, tuple[Point, Point]],
    points: dict[int, Point],
    lines: Sequence[tuple[Point, Point]],
    size: float,
) -> None:
    coarsest = max(size, min(COARSEST * size, min(layout.boards.depth_a, layout.boards.depth_b) / 2.5))
    glued = [
        tag for tag, ends in curves.items() if any(all(_on_segment(p, line) for p in ends) for line in lines)
    ]
    fine = _tags_at(layout.fine_points, points)
    origins = _tags_at([line.origin for line in layout.splits], points)
    longest = max(hypot(a[0] - b[0], a[1] - b[1]) for a, b in curves.values())
    sampling = min(2000, int(4 * longest / size) + 10)
    limits = [
        _growing(field, "CurvesList", glued, size, coarsest, sampling),
        _growing(field, "PointsList", fine, FINE_SHARE * size, coarsest, sampling),
    ]
    if origins:
        limits.append(_growing(field, "PointsList", origins, SPLIT_SHARE * size, coarsest, sampling))
    overlaps = [cell for joining in layout.joinings for cell in joining.cells]
    if overlaps:
        limits.append(_cap_in_cells(field, layout, overlaps, 2.5 * size, coarsest))
    least = field.add("Min")
    field.setNumbers(least, "FieldsList", limits)
    field.setAsBackgroundMesh(least)


def _tags_at(wanted: Sequence[Point], points: dict[int, Point]) -> list[int]:
    return [
        tag
        for tag, place in points.items()
        if any(hypot(place[0] - p[0], place[1] - p[1]) < NEAR for p in wanted)
    ]


def _growing(
    field: Any, kind: str, tags: Sequence[int], smallest: float, largest: float, sampling: int
) -> int:
    distance = field.add("Distance")
    field.setNumbers(distance, kind, tags)
    if kind == "CurvesList":
        field.setNumber(distance, "Sampling", sampling)
    threshold = field.add("Threshold")
    field.setNumber(threshold, "InField", distance)
    field.setNumber(threshold, "SizeMin", smallest)
    field.setNumber(threshold, "SizeMax", largest)
    field.setNumber(threshold, "DistMin", 0.0)
    field.setNumber(threshold, "DistMax", max((largest - smallest) / GROWTH, NEAR))
    return int(threshold)


def _cap_in_cells(field: Any, layout: Layout, cells: Sequence[int], inside: float, outside: float) -> int:
    """A box round glued areas in which elements stay small: traction turns quickly over a cheek."""
    places = np.array([p for cell in cells for p in layout.cells[cell].polygon])
    box = field.add("Box")
    low, high = places.min(axis=0), places.max(axis=0)
    values = {"XMin": low[0], "XMax": high[0], "YMin": low[1], "YMax": high[1]}
    for name, value in {**values, "VIn": inside, "VOut": outside}.items():
        field.setNumber(box, name, float(value))
    field.setNumber(box, "Thickness", (outside - inside) / GROWTH)
    return int(box)


def _collect(mesh: Any, surfaces: Sequence[tuple[int, int]]) -> tuple[Array, Integers, Integers]:
    tags, coordinates, _ = mesh.getNodes()
    place = np.full(int(tags.max()) + 1, -1, dtype=np.int64)
    place[tags] = np.arange(len(tags))
    nodes = coordinates.reshape(-1, 3)[:, :2]
    triangles, cell_of = [], []
    for cell, surface in surfaces:
        _, _, node_tags = mesh.getElements(2, surface)
        corners = place[np.asarray(node_tags[0], dtype=np.int64)].reshape(-1, 3)
        triangles.append(corners)
        cell_of.append(np.full(len(corners), cell))
    stacked = np.concatenate(triangles)
    used, renumbered = np.unique(stacked, return_inverse=True)
    nodes, stacked = nodes[used], renumbered.reshape(-1, 3)
    a, b, c = (nodes[stacked[:, i]] for i in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    stacked[area < 0] = stacked[area < 0][:, [0, 2, 1]]
    return nodes, stacked, np.concatenate(cell_of)


def _mirrored(
    layout: Layout, nodes: Array, triangles: Integers, cell_of: Integers
) -> tuple[Array, Integers, Integers]:
    on_diagonal = np.abs(nodes[:, 0] - nodes[:, 1]) < NEAR
    nodes = nodes.copy()
    nodes[on_diagonal] = nodes[on_diagonal].mean(axis=1)[:, None]
    image = np.arange(len(nodes))
    image[~on_diagonal] = len(nodes) + np.arange(int((~on_diagonal).sum()))
    everything = np.concatenate([nodes, nodes[~on_diagonal][:, ::-1]])
    partner = _mirror_cells(layout)
    other = image[triangles][:, [0, 2, 1]]
    return (
        everything,
        np.concatenate([triangles, other]),
        np.concatenate([cell_of, partner[cell_of]]),
    )


def _mirror_cells(layout: Layout) -> Integers:
    """For every cell the one that lies where its mirror image does; itself where it spans the diagonal."""
    middles = np.array([np.mean(cell.polygon, axis=0) for cell in layout.cells])
    distance = np.linalg.norm(middles[:, None] - middles[None, :, ::-1], axis=2)
    return np.asarray(distance.argmin(axis=1), dtype=np.int64)


def _with_middles(nodes: Array, triangles: Integers) -> tuple[Array, Integers]:
    """Add a node in the middle of every edge."""
    pairs = triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    key, inverse = np.unique(
        pairs.min(axis=1) * len(nodes) + pairs.max(axis=1), return_inverse=True
    )  # one number for both
    middles = nodes[np.stack(np.divmod(key, len(nodes)), axis=1)].mean(axis=1)
    return (
        np.concatenate([nodes, middles]),
        np.concatenate([triangles, len(nodes) + inverse.reshape(-1, 3)], axis=1),
    )
