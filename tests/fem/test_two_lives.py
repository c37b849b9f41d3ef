"""Glue, then what outlives it, as one path: against closed forms, and on a screwed corner."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pytest
import scipy.sparse as sparse

from glueline.fem.bond import BondedSurface
from glueline.fem.equilibrium import TiedBodies
from glueline.fem.guide import Guide
from glueline.fem.line_law import LineLaw
from glueline.fem.path import PathResult
from glueline.fem.path_control import PathControl
from glueline.fem.traction_law import evaluate, spent_energy
from glueline.fem.two_lives import BEGINNING, KnownLives, follow_two_lives, lives_of, toughness_left
from glueline.studies.predict.dead_weight import drops
from tests.fem.test_screwed_corner import ScrewedCorner


@dataclass(frozen=True)
class GripBesideGlue:
    """A rigid block pulled straight off a film of glue that peaks at 100 N, beside a grip of 200 N/mm.

    The glue takes up 0.3 N/mm over 20 mm2, 6 N mm in all, times ``glue``; the grip holds up to ``grip`` N.
    """

    grip: float
    softening: str = "linear"
    glue: float = 1.0

    @cached_property
    def surfaces(self) -> tuple[BondedSurface, BondedSurface]:
        """Glue and grip, a point each."""
        first, second = (
            BondedSurface(
                name=name,
                minus="ground",
                plus="block",
                points=np.zeros((1, 2)),
                weight=np.array([area]),
                axes=np.array([np.eye(2)]),
                jump=sparse.csr_matrix(np.eye(2)),
                stiffness=np.array([np.diag([stiffness, stiffness])]),
            )
            for name, area, stiffness in (("glue", 20.0, 8000.0), ("grip", 10.0, 20.0))
        )
        return first, second

    @property
    def laws(self) -> tuple[LineLaw, LineLaw]:
        """Of glue and grip; the grip softens over four times the way to its strength."""
        glue, grip = self.surfaces
        most = self.grip / 10.0
        tough = 0.5 * most * 4.0 * most / 20.0
        glued = tuple(self.glue * each for each in (5.0, 9.0, 0.3, 0.8))
        numbers = glued, (most, most, tough, tough)
        first, second = (
            LineLaw(each.stiffness, *(np.array([n]) for n in own), softening=self.softening)
            for each, own in zip((glue, grip), numbers, strict=True)
        )
        return first, second

    def path(self, control: PathControl | None = None, known: KnownLives | None = None) -> PathResult:
        """Glue, then grip."""
        tied = TiedBodies(sparse.csr_matrix((2, 2)), self.surfaces, np.array([0]))
        return follow_two_lives(tied, self.laws, np.array([0.0, 1.0]), ["glue"], control, known=known)


def known_lives(path: PathResult) -> KnownLives:
    """What to go along beside both lives of a path."""
    first, second = lives_of(path)
    return KnownLives(replace(Guide.along(first, (first.highest,)), down=True), second)


@pytest.mark.parametrize("softening", ["linear", "bridging"])
def test_the_second_life_is_the_grip_alone_with_all_the_toughness_of_the_glue_spent(softening: str) -> None:
    """P = k u up to the grip's strength, and stored and spent 6 N mm + k u^2 / 2: closed forms."""
    path = GripBesideGlue(250.0, softening).path()
    assert path.second_from is not None
    second = slice(path.second_from, path.second_from + BEGINNING + 1)  # to where the grip is at its strength
    load, u = path.load[second], path.displacement[second]
    assert load == pytest.approx(np.linspace(0.0, 250.0, BEGINNING + 2)[1:])
    moved = [path.displacements(state)[1] for state in range(second.start, second.stop)]
    assert moved == pytest.approx(u)
    assert u == pytest.approx(load / 200.0)
    assert (path.stored + path.spent)[second] == pytest.approx(6.0 + 100.0 * u**2, rel=1e-6)
    assert path.work[second] == pytest.approx((path.stored + path.spent)[second])
    assert path.first_peak is not None
    assert path.first_peak < path.second_from
    assert path.load[path.first_peak] == pytest.approx(100.0, rel=0.01)
    assert path.audit < 0.005


@pytest.mark.parametrize(("grip", "is_held"), [(250.0, True), (110.0, False)])
def test_dead_weight_goes_from_one_life_into_the_other_by_the_energy_rule(grip: float, is_held: bool) -> None:
    """The jump from P1 at u1, with E1 taken up there, ends at P1 (u - u1) = 6 + k u^2 / 2 - E1.

    At the larger root of that some 187 N are on the grip, which one of 110 N, softening, never comes to.
    """
    path = GripBesideGlue(grip).path()
    passed = drops(path.load, path.displacement, path.stored + path.spent)
    assert (passed[0].stops is not None) == is_held
    first = path.first_peak
    assert first is not None
    weight, u, taken = (
        float(each[first]) for each in (path.load, path.displacement, path.stored + path.spent)
    )
    root = (weight + np.sqrt(weight**2 - 400.0 * (6.0 - taken + weight * u))) / 200.0
    assert 200.0 * root == pytest.approx(187.0, rel=0.01)
    if passed[0].stops is not None:
        stop = float(np.interp(passed[0].stops, np.arange(len(path.load)), path.load))
        assert stop == pytest.approx(200.0 * root, rel=2e-3)  # energy goes straight between two states
        assert passed[-1].load == pytest.approx(250.0, rel=1e-3)


def test_what_is_left_of_a_toughness_is_what_has_not_been_spent() -> None:
    """At every opening, to the last."""
    glue = GripBesideGlue(200.0).laws[0]
    last = 2 * 0.3 / 5.0  # mm: where nothing is left
    for jump in (0.01, 0.05, 0.11, last):
        at = np.array([[0.0, jump]])
        damage = evaluate(glue, at, np.zeros(1)).damage
        spent = spent_energy(glue, np.zeros((1, 2)), np.zeros(1), at, damage)
        assert toughness_left(glue, at, damage)[0] == pytest.approx(0.3 - spent[0], abs=1e-12)


def test_a_path_to_the_farthest_displacement_has_no_second_life() -> None:
    """Nor has one whose grip takes over before it has fallen; a surface that is not there is refused."""
    block = GripBesideGlue(200.0)
    whole = block.path(PathControl(stop_first=0.1))
    assert whole.second_from is None
    assert whole.load.max() == pytest.approx(200.0, rel=1e-3)
    assert block.path(PathControl(farthest=0.01)).second_from is None
    tied = TiedBodies(sparse.csr_matrix((2, 2)), block.surfaces, np.array([0]))
    with pytest.raises(ValueError, match="nails"):
        follow_two_lives(tied, block.laws, np.array([0.0, 1.0]), ["nails"])


def test_lives_are_those_that_were_set_one_after_the_other() -> None:
    """The second begins unloaded with its glue cracked; alone it has spent nothing of the glue."""
    path = GripBesideGlue(250.0).path()
    first, second = lives_of(path)
    assert second is not None
    assert path.second_from is not None
    assert first.load.tolist() == path.load[: path.second_from].tolist()
    assert (second.load[0], second.displacement[0], second.work[0], second.stored[0]) == (0.0, 0.0, 0.0, 0.0)
    assert second.load[1:].tolist() == path.load[path.second_from + BEGINNING :].tolist()
    assert second.damage["glue"].min() == 1.0
    assert second.spent[1] == pytest.approx(0.0, abs=1e-9)
    assert second.work[1] == pytest.approx(0.5 * 250.0**2 / 200.0)


@pytest.mark.parametrize(("grip", "glue"), [(250.0, 1.3), (400.0, 1.0), (180.0, 0.8)])
def test_lives_beside_known_ones_are_those_followed_from_rest(grip: float, glue: float) -> None:
    """Other glue, a stronger grip, both weaker: the peak of the grip and what the glue spends by hand."""
    known = known_lives(GripBesideGlue(250.0).path())
    block = GripBesideGlue(grip, glue=glue)
    beside, whole = block.path(known=known), block.path()
    start, own = beside.second_from, whole.second_from
    assert start is not None
    assert own is not None
    assert beside.load[:start].max() == pytest.approx(whole.load[:own].max(), rel=1e-3)
    assert beside.load[start:].max() == pytest.approx(grip, rel=1e-3)
    assert beside.spent[start] == pytest.approx(6.0 * glue, rel=1e-3)


def test_a_life_that_is_not_wanted_is_left_out() -> None:
    """Then the path ends with the glue."""
    known = replace(known_lives(GripBesideGlue(250.0).path()), wanted=False)
    path = GripBesideGlue(250.0, glue=1.2).path(known=known)
    assert path.second_from is None
    assert path.load[-1] < path.load.max() < 150.0


@pytest.mark.parametrize("closes", [1.0, -1.0])
def test_a_screwed_corner_snaps_back_and_rises_on_its_screw(closes: float) -> None:
    """Glue's peak first, as of its own path; then the path of the cracked corner, with energy accounted for.

    By then the face has taken up between its opening and its shear toughness, or more where wood was crushed.
    """
    corner = ScrewedCorner(closes)
    control = PathControl(farthest=16.0)
    path = corner.follow_lives(control)
    alone = corner.follow(True, control)
    assert path.second_from is not None
    first, second = path.load[: path.second_from], path.load[path.second_from :]
    assert path.load[path.first_peak or 0] == pytest.approx(first.max())
    assert second[-1] == pytest.approx(alone.load[-1])
    assert path.displacement[-1] == pytest.approx(16.0, rel=1e-3)
    assert path.audit < 0.005
    area = 19.0 * 90.0
    assert 0.2 * area < path.spent[path.second_from] < 0.6 * area
    for state in (path.second_from, path.second_from + 10, len(path.load) - 1):
        held = abs(float(corner.load @ path.displacements(state)))
        assert held == pytest.approx(float(path.displacement[state]), abs=1e-6)
