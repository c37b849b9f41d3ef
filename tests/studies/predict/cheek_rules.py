"""How the wood beside a cheek gives: rules against solids, kept in a table.

By hand, a minute: python -m tests.studies.predict.cheek_rules

Splines: six figures of a cracked splined mitre (``CUTS`` of its mitre absent, everything else elastic) from
an own 3D calculation with equal lands, and by how much three splines raise the load at which it cracks.
Fingers: corners that only their cheeks hold, against the solid of ``solid_corner``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from math import sqrt
from pathlib import Path
from unittest import mock

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.solve import ElasticSystem
from glueline.geometries import BOARD_A, Boards, Cheek, Face, Layout, SplinedMitre, finger, splined_mitre
from glueline.geometries.mesh import LayoutMesh, mesh_layout
from glueline.geometries.splined_mitre import SPLINES
from glueline.materials import find_wood
from glueline.studies.corner.connections import cheek
from glueline.studies.corner.connections.cheek import GluedCheek
from glueline.studies.corner.connections.glue_line import GluedLine
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.piece import PieceWood
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.corner_follower import follow_break
from tests.studies.corners import BOX, specimen, woods_of

Array = NDArray[np.float64]
Deepest = Callable[[float], float]
Shares = Callable[[PieceWood, float, float], Array]

KEPT = Path(__file__).with_suffix(".txt")
CUTS = (0.0, 14.9, 21.2)  # mm along the diagonal from the outer corner
SOLID = np.array([[1.763, 1.06], [2.158, 2.92], [2.665, 5.39]])
"""Own 3D calculation: compliance in 1e-3 mm/N and N in the splines per N of load, a row for every cut."""
FINGERS = ((3, 30.0), (3, 60.0), (9, 10.0))  # number and width in mm
SPLINE_DEPTH = 21.0  # mm
SIZE = 1.0  # mm, of elements along the glue


@dataclass(frozen=True)
class Candidate:
    """A rule by name: C = I / k_s + sum c R diag(shares / G) R^T, c at most ``deepest`` of a face's area.

    ``shares`` (2,) along and across the grain follow from a piece, its longest fibre under the cheek and c.
    """

    name: str
    shares: Shares
    deepest: Deepest

    def stiffness(self, joining: Cheek, sides: tuple[PieceWood, PieceWood], glue: float) -> Array:
        """In place of ``cheek_stiffness``."""
        total = np.zeros((2, 2))
        for face in joining.faces:
            compliance = np.eye(2) / glue
            away = (face.to_no_shear_minus, face.to_no_shear_plus)
            for piece, reach in zip(sides, away, strict=True):
                turn = np.stack([piece.along, piece.across], axis=1)
                own = piece.constants
                moduli = np.array([own.shear_along_across, own.shear_transverse_across])
                shares = self.shares(piece, longest_fibre(joining, piece), reach)
                compliance += turn @ np.diag(shares * reach / moduli) @ turn.T
            total += np.linalg.inv(compliance)
        return np.asarray(total / len(joining.faces))


def longest_fibre(joining: Cheek, piece: PieceWood) -> float:
    """In mm under the cheeks of this table's corners: fingers as long as a board is thick, splines."""
    if joining.plus != SPLINES:
        return BOX.thickness
    return SPLINE_DEPTH * (1.0 if piece.name == SPLINES else sqrt(2))


def splined(arrangement: str = "diagonal compression") -> Specimen:
    """The corner of the 3D calculation: white oak, three splines of black walnut."""
    joint = SplinedMitre(3, 3.2, SPLINE_DEPTH, "black walnut")
    woods = woods_of("splined mitre", find_wood("white oak"), find_wood("black walnut"))
    return replace(specimen("splined mitre", arrangement, joint=joint), woods=woods)


def even(along: float, across: float) -> Shares:
    """The same shares of c whatever the piece."""
    return lambda piece, fibre, reach: np.array([along, across])


def lagging(quarters: float, across: bool = True) -> Shares:
    """Shear lag along the cheek; ``across`` the grain too, or c / 3.

    A strip c thick with E u_xx + G u_zz = 0, sheared on its face in a wave with so many ``quarters`` of its
    length in the longest fibre, runs ahead of its mean by the share (coth x - 1 / x) / x of c / G, where
    x = c pi quarters / (2 l) sqrt(E / G). Across the grain the shear modulus in the plane stands for E.
    """

    def shares(piece: PieceWood, fibre: float, reach: float) -> Array:
        own = piece.constants
        stiff = np.array([own.solid.modulus_1, own.solid.shear_modulus_12])
        soft = np.array([own.shear_along_across, own.shear_transverse_across])
        x = reach * quarters * np.pi / (2 * fibre) * np.sqrt(stiff / soft)
        found = (1 / np.tanh(x) - 1 / x) / x
        return found if across else np.array([found[0], 1 / 3])

    return shares


def fitted(piece: PieceWood, fibre: float, reach: float) -> Array:
    """Two shares of the boards' c near the best for the six figures, while splines keep c / 3."""
    return np.array([1 / 3, 1 / 3]) if piece.name == SPLINES else np.array([0.08, 0.36])


def thickness(area: float) -> float:
    """c is at most the boards' thickness."""
    return BOX.thickness


def no_limit(area: float) -> float:
    """c is what is glued, however thick."""
    return np.inf


def half_a_face(area: float) -> float:
    """c is at most half the side of a square as large: what is fed in over a small face dies out over it."""
    return sqrt(area) / 2


CHOSEN = Candidate("along 0.02 c, across 0.44", even(0.02, 0.44), thickness)
CANDIDATES = (
    Candidate("c/3, c at most t", even(1 / 3, 1 / 3), thickness),
    Candidate("c/3, c without limit", even(1 / 3, 1 / 3), no_limit),
    Candidate("c/3, at most half a face", even(1 / 3, 1 / 3), half_a_face),
    Candidate("c/3, at most all of a face", even(1 / 3, 1 / 3), lambda area: sqrt(area)),
    Candidate("c/3, at most a third of it", even(1 / 3, 1 / 3), lambda area: sqrt(area) / 3),
    Candidate("0.28 c, c at most t", even(0.28, 0.28), thickness),
    Candidate("c/2, c at most t", even(0.5, 0.5), thickness),
    Candidate("c, c at most t", even(1.0, 1.0), thickness),
    Candidate("c/2, at most half a face", even(0.5, 0.5), half_a_face),
    Candidate("along 0, across c/3", even(0.0, 1 / 3), no_limit),
    Candidate("fit: along 0.08 c, across 0.36", fitted, thickness),
    Candidate("along 0.08 c, across 0.36", even(0.08, 0.36), thickness),
    Candidate("along 0.08 c, across 0.39", even(0.08, 0.39), thickness),
    CHOSEN,
    Candidate("lag along, across c/3", lagging(1.0, across=False), no_limit),
    Candidate("lag, half a wave a fibre", lagging(2.0), no_limit),
    Candidate("lag, a quarter of a wave", lagging(1.0), no_limit),
)


@contextmanager
def in_use(candidate: Candidate) -> Iterator[None]:
    """Corners are built with a candidate's rule."""
    of_fingers, of_splines = finger.cheek_faces, splined_mitre._faces

    def faces_of_fingers(widths: Sequence[float], boards: Boards) -> tuple[Face, ...]:
        deepest = candidate.deepest(boards.depth_a * boards.depth_b)
        return of_fingers(widths, replace(boards, thickness=deepest, thickness_b=None))

    def faces_of_splines(joint: SplinedMitre, land: float, depth: float) -> tuple[Face, ...]:
        # Half of a spline: the floor is twice as long as deep.
        return of_splines(joint, land, candidate.deepest(joint.spline_depth**2))

    with (
        mock.patch.object(cheek, "cheek_stiffness", candidate.stiffness),
        mock.patch.object(finger, "cheek_faces", faces_of_fingers),
        mock.patch.object(splined_mitre, "_faces", faces_of_splines),
    ):
        yield


def with_cuts(layout: Layout, size: float | None) -> LayoutMesh:
    """A mesh in which every cut ends at a node."""
    ends = tuple((cut / sqrt(2), cut / sqrt(2)) for cut in CUTS if cut)
    return mesh_layout(replace(layout, fine_points=layout.fine_points + ends), size)


def six_figures(size: float | None = SIZE) -> Array:
    """The figures of ``SOLID`` by the plane model; in the splines is their tension across the mitre."""
    with mock.patch("glueline.studies.corner.model.mesh_layout", with_cuts):
        corner = build_corner(splined(), size)
    return np.array([_cut(corner, cut) for cut in CUTS])


def _cut(corner: CornerModel, cut: float) -> tuple[float, float]:
    stiffness = bulk_stiffness(corner.model)
    for each in corner.connections:
        local = each.surface.stiffness
        if each.name == "mitre" and isinstance(each, GluedLine):
            local = local * (each.distance >= cut)[:, None, None]
        stiffness = stiffness + each.surface.stiffness_matrix(local)
    solution = ElasticSystem(corner.model, stiffness).solve(corner.loading)
    across = np.array([-1.0, 1.0]) / sqrt(2)
    pull = 0.0
    for each in corner.connections:
        if each.name != "mitre" and each.surface.minus == BOARD_A:
            surface = each.surface
            pull += float((surface.forces_on_minus(surface.tractions(solution.u)) @ across).sum())
    return 1e3 * solution.compliance, pull


def rise() -> float:
    """Load at which the mitre cracks with three splines over that of a plain mitre, less 1; no crushing."""
    loads = []
    for own in (splined(), specimen("mitre")):
        path = follow_break(own, crushing=False).path
        if path.first_peak is None:
            raise RuntimeError(f"a {own.kind} does not crack")
        loads.append(float(path.load[path.first_peak]))
    return loads[0] / loads[1] - 1


def held_by_cheeks(own: Specimen) -> float:
    """Compliance in mm/N of a finger corner by the plane model, its notch floors absent."""
    corner = build_corner(own)
    stiffness = bulk_stiffness(corner.model)
    for each in corner.connections:
        if isinstance(each, GluedCheek):
            stiffness = stiffness + each.surface.stiffness_matrix()
    return ElasticSystem(corner.model, stiffness).solve(corner.loading).compliance


def main() -> None:
    """Compute, print and keep."""
    from tests.studies.predict.solid_corner import Grid, fingers, plane_compliance_of, solid_compliance

    lines = [
        f"The house's rule: {CHOSEN.name}, c at most t. c is the distance to the plane of no shear;",
        'a limit of half a face is half the side of a square as large. In the row "fit" splines keep c/3.',
        "",
        "White oak, 19 mm thick, box, leg 150 mm, plain PVA; diagonal compression, nothing crushes.",
        "Three splines of 3.2 x 21 mm, black walnut, mitre cut from outside over 0, 14.9, 21.2 mm of the",
        "diagonal: compliance in 1e-3 mm/N, N in the splines per N of load; errors against own 3D in %.",
        "rise: load at which the mitre cracks, over a plain mitre, %; own 3D 1 %.",
        "",
        f"{'':30s}" + f"{'compliance':>21s}{'in the splines':>21s}"
        f"{'errors of either, %':>42s}{'worst':>8s}{'rise':>6s}",
        _row("own 3D calculation", SOLID),
    ]
    print("\n".join(lines), flush=True)
    for candidate in CANDIDATES:
        with in_use(candidate):
            found, more = six_figures(), rise()
        lines.append(_row(candidate.name, found, more))
        print(lines[-1], flush=True)
    solids = []
    for count, width in FINGERS:
        own = fingers(count, Boards(BOX.thickness, count * width, BOX.leg))
        grid = Grid(8, 12, 4) if count == 3 else Grid(6, 10, 2)
        solids.append(
            (own, solid_compliance(own, grid).compliance, solid_compliance(own, grid, True).compliance)
        )
    begin = len(lines)
    lines += [
        "",
        "Finger corners: compliance of the plane model over that of a solid, whole and held by cheeks alone.",
        f"{'':30s}" + "".join(f"{f'{count} of {width:g} mm':>22s}" for count, width in FINGERS),
        f"{'':30s}" + f"{'whole':>11s}{'cheeks':>11s}" * len(FINGERS) + f"{'worst, %':>11s}",
    ]
    for candidate in CANDIDATES:
        ratios = []
        with in_use(candidate):
            for own, whole, cheeks in solids:
                ratios += [plane_compliance_of(own) / whole, held_by_cheeks(own) / cheeks]
        lines.append(f"{candidate.name:30s}" + "".join(f"{ratio:11.3f}" for ratio in ratios))
        lines[-1] += f"{100 * max(abs(ratio - 1) for ratio in ratios):11.1f}"
    print("\n".join(lines[begin:]))
    KEPT.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _row(name: str, found: Array, more: float | None = None) -> str:
    """One line of the table of splines."""
    error = 100 * (found / SOLID - 1)
    text = f"{name:30s}" + "".join(f"{value:7.3f}" for value in found.T.ravel())
    if more is None:
        return text
    errors = "".join(f"{value:7.1f}" for value in error.T.ravel())
    return text + errors + f"{np.abs(error).max():8.1f}{100 * more:6.1f}"


if __name__ == "__main__":
    main()
