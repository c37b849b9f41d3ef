"""A butt corner with a screw through one board into the end of the other: glue, then the screw alone."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pytest

from glueline.fem.beam import Beam
from glueline.fem.bearing_law import BearingLaw
from glueline.fem.bond import BondedSurface
from glueline.fem.bulk import bulk_stiffness
from glueline.fem.equilibrium import TiedBodies
from glueline.fem.fastener import FastenerBond, FastenerHead, HingeTie, HoleWalls
from glueline.fem.line_law import LineLaw
from glueline.fem.loads import even_load, pinned_unknowns
from glueline.fem.mirror import find_mirror
from glueline.fem.model import Array, Model
from glueline.fem.orthotropy import OrthotropicSolid, plane_stiffness
from glueline.fem.path import PathResult, follow_tied
from glueline.fem.path_control import PathControl
from glueline.fem.ties import BondLine, bonded_surfaces
from glueline.fem.traction_law import TractionLaw
from glueline.fem.two_lives import follow_two_lives
from tests.fem import meshes
from tests.fem.meshes import near

THICK, LEG, WIDTH = 19.0, 150.0, 90.0
OAK = OrthotropicSolid(13530.0, 1000.0, 2000.0, 1090.0, 0.4, 0.4, 0.6)
DIAMETER, THREAD, STEEL = 4.0, 30.0, 210000.0
FILM, PLASTIC = 8000.0, 6600.0


@dataclass(frozen=True)
class ScrewedCorner:
    """``closes`` 1 pushes the tips together, -1 pulls them apart; ``screws`` side by side.

    ``outside`` mm is the screws' distance from the outer face of board B; ``hinged`` lets them yield.
    """

    closes: float
    screws: int = 1
    outside: float = 0.5 * THICK
    hinged: bool = True

    @cached_property
    def screw(self) -> Beam:
        """From its head on the outside of board A, 30 mm of thread in the end of board B."""
        stations = np.concatenate([np.linspace(0, THICK, 11)[:-1], THICK + np.linspace(0, THREAD, 16)])
        return Beam(
            "screw",
            np.array([self.outside, 0.0]),
            np.array([0.0, 1.0]),
            stations,
            STEEL * np.pi * DIAMETER**2 / 4,
            STEEL * np.pi * DIAMETER**4 / 64,
            count=self.screws,
            hinged=self.hinged,
        )

    @cached_property
    def model(self) -> Model:
        """Boards A along x and B along y, glued and screwed."""
        along = np.concatenate(
            [np.linspace(0, THICK, 9), THICK + (LEG - THICK) * np.linspace(0, 1, 13)[1:] ** 1.7]
        )
        mesh = meshes.grid(along, along)
        middle = meshes.centres(mesh)
        in_a, in_b = middle[:, 1] < THICK, (middle[:, 0] < THICK) & (middle[:, 1] > THICK)
        a = meshes.body("A", mesh, plane_stiffness(OAK, 0.0, 0.0), in_a, WIDTH)
        b = meshes.body("B", mesh, plane_stiffness(OAK, 0.0, np.pi / 2), in_b, WIDTH)
        edges = meshes.edges_where(mesh, b.cells, near(1, THICK))
        ties = (
            BondLine("glue", "A", "B", edges, np.full(len(edges), WIDTH), FILM, 2200.0),
            FastenerBond("thread", "B", "screw", THICK, THICK + THREAD, DIAMETER, 20.0),
            HoleWalls("walls in A", "A", "screw", 0.0, THICK, DIAMETER, 200.0),
            HoleWalls("walls in B", "B", "screw", THICK, THICK + THREAD, DIAMETER, 200.0),
            FastenerHead("head", "A", "screw", 0.0, 38.0, 6.0, 1000.0),
            HingeTie("hinges", "screw", DIAMETER / 2),
        )
        return Model(mesh, (a, b), ties if self.hinged else ties[:-1], (self.screw,))

    @cached_property
    def surfaces(self) -> tuple[BondedSurface, ...]:
        """In the order of the ties."""
        return bonded_surfaces(self.model)

    @property
    def laws(self) -> list[TractionLaw]:
        """Of the surfaces, in their order."""
        glue = (np.array([number]) for number in (5.0, 7.0, 0.2, 0.6))
        thread = (np.array([number]) for number in (13.0, 13.0, 10.0, 10.0))
        hinge = HingeTie("hinges", "screw", DIAMETER / 2).stress(PLASTIC)
        laws: list[TractionLaw] = [
            LineLaw(
                self.surfaces[0].stiffness,
                *glue,
                crushing_strength=np.array([7.4]),
                crushing_hardening=np.array([23.4]),
            ),
            LineLaw(self.surfaces[1].stiffness, *thread),
            BearingLaw(np.array([200.0]), np.array([55.0]), 1.0, both_ways=True),
            BearingLaw(np.array([200.0]), np.array([55.0]), 1.0, both_ways=True),
            BearingLaw(np.array([1000.0]), np.array([12.0]), 6.0),
        ]
        if self.hinged:
            stiffness = self.surfaces[5].stiffness[:, 1, 1]
            laws.append(BearingLaw(stiffness, np.array([hinge]), 20.0, both_ways=True))
        return laws

    @property
    def load(self) -> Array:
        """P = 1 N on both tips."""
        a, b = self.model.bodies
        tip_a = meshes.edges_where(self.model.mesh, a.cells, near(0, LEG, LEG))
        tip_b = meshes.edges_where(self.model.mesh, b.cells, near(1, LEG, LEG))
        inward = np.array([-1.0, 1.0])
        load = even_load(self.model, "A", tip_a, inward) - even_load(self.model, "B", tip_b, inward)
        return np.asarray(self.closes * load)

    @cached_property
    def tied(self) -> TiedBodies:
        """Its bodies, condensed."""
        return TiedBodies(bulk_stiffness(self.model), self.surfaces, pinned_unknowns(self.model))

    def follow(self, cracked: bool, control: PathControl) -> PathResult:
        """The path, with the whole face cracked before or none of it."""
        damage = [np.full(len(s.weight), float(cracked and s.name == "glue")) for s in self.surfaces]
        return follow_tied(self.tied, self.laws, self.load, control, damage)

    def follow_lives(self, control: PathControl) -> PathResult:
        """The glue, then the screws."""
        return follow_two_lives(self.tied, self.laws, self.load, ["glue"], control)


@pytest.mark.parametrize("closes", [1.0, -1.0])
@pytest.mark.parametrize("screws", [1, 3])
def test_a_cracked_corner_on_its_screws_goes_on_to_the_end(closes: float, screws: int) -> None:
    """No peak up to 30 mm; and board B is in balance: load, screws and the pressure of the face.

    What pulls on B along the screw at the face: the screws' axial force less the pressure, and P / sqrt 2
    of the load at its tip. Each is worked out on its own.
    """
    corner = ScrewedCorner(closes, screws)
    path = corner.follow(True, PathControl(stop=0.0, stop_first=0.0, farthest=30.0))
    assert path.is_complete
    assert path.displacement[-1] == pytest.approx(30.0, rel=1e-3)
    assert path.audit < 0.005
    u = path.displacements(-1)
    forces = corner.screw.member_forces(u[corner.model.beam_unknowns("screw")])
    at_face = int(np.searchsorted(corner.screw.stations, THICK - 1e-9)) - 1  # the last in A, where it is free
    face = corner.surfaces[0]
    borne = np.minimum(face.jumps(u)[:, 1] + path.crushed["glue"][-1], 0.0)
    pressure = -float(face.weight @ (FILM * borne))
    tip = closes * path.load[-1] / np.sqrt(2)
    print(f"{path.load[-1]:.0f} N: screws {forces[at_face, 0]:.0f}, face {pressure:.0f}, tip {tip:.0f} N")
    assert forces[at_face, 0] > 100.0
    assert forces[at_face, 0] - pressure == pytest.approx(-tip, abs=1e-3 * pressure)
    # No moment beyond the plastic one, up to what hinges harden.
    assert np.abs(forces[:, 2:]).max() < 1.3 * screws * PLASTIC
    assert np.abs(path.crushed["hinges"][-1]).max() > 0


def test_a_glued_and_screwed_corner_lets_go_of_its_glue_first() -> None:
    """Closing: the glue's peak, and past it nothing like it until the screw bears; energy accounted for."""
    corner = ScrewedCorner(1.0)
    path = corner.follow(False, PathControl())
    assert path.is_complete
    assert path.first_peak == path.highest
    assert path.audit < 0.005
    assert path.load[-1] <= 0.5 * path.load.max()
    alone = corner.follow(True, PathControl(stop=0.0, stop_first=0.0, farthest=10.0))
    assert alone.load[1] / alone.displacement[1] < 0.5 * path.load[1] / path.displacement[1]


def test_a_corner_with_a_screw_is_followed_whole() -> None:
    """Mirror images of beams are not looked for."""
    corner = ScrewedCorner(1.0)
    assert find_mirror(corner.model, bulk_stiffness(corner.model), corner.surfaces) is None
