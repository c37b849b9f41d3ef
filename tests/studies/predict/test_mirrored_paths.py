"""Half of a corner that is its own mirror image gives what the whole gives; other corners are not halved.

The whole corner is the outside to check against: it knows nothing of the mirror.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.equilibrium import TiedBodies
from glueline.fem.loads import equilibrated, pinned_unknowns, settle
from glueline.fem.mirror import find_mirror
from glueline.fem.path import PathResult, follow_tied
from glueline.fem.path_control import PathControl
from glueline.fem.traction_law import TractionLaw
from glueline.geometries import BOARD_B, FingerJoint
from glueline.materials import find_wood
from glueline.studies.corner.arrangements import APEX_PRESS
from glueline.studies.corner.connections import laws_of
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.corner_follower import CornerFollower
from tests.studies.corners import specimen

SYMMETRIC = ("diagonal compression", "diagonal tension", "apex press")


def fits(corner: CornerModel, laws: dict[str, TractionLaw] | None = None) -> bool:
    """Whether half of the corner would be followed."""
    mirror = find_mirror(corner.model, bulk_stiffness(corner.model), corner.surfaces)
    if mirror is None:
        return False
    laws = laws or dict(laws_of(corner.connections))
    load = equilibrated(corner.model, corner.loading)
    return mirror.fits([laws[surface.name] for surface in corner.surfaces], load)


FINE = PathControl(step=0.1, residual=1e-8, peak=1e-5)


def whole_path(corner: CornerModel, crushing: bool = True) -> PathResult:
    tied = TiedBodies(bulk_stiffness(corner.model), corner.surfaces, pinned_unknowns(corner.model))
    load = equilibrated(corner.model, corner.loading)
    laws = laws_of(corner.connections, crushing=crushing)
    return follow_tied(tied, [laws[surface.name] for surface in corner.surfaces], load, FINE)


@pytest.mark.parametrize("arrangement", SYMMETRIC)
@pytest.mark.parametrize("kind", ["mitre", "splined mitre", "finger"])
def test_half_is_as_good_as_the_whole(kind: str, arrangement: str) -> None:
    """The highest load to 1e-5 and the linear state to 1e-7; energies in balance.

    The load is flat at its top, so the states that are nearest to it may differ more. Fingers in an even
    number: each board has as many as the other.
    """
    joint = FingerJoint(8) if kind == "finger" else None
    corner = build_corner(specimen(kind, arrangement, joint=joint))
    assert fits(corner)
    half, whole = CornerFollower(corner).follow(laws_of(corner.connections), FINE), whole_path(corner)
    assert half.basis is not None
    assert len(half._kept[0]) < 0.6 * len(whole._kept[0])
    assert half.load[half.highest] == pytest.approx(whole.load[whole.highest], rel=1e-5)
    assert half.displacement[half.highest] == pytest.approx(whole.displacement[whole.highest], rel=1e-3)
    assert half.spent[half.highest] == pytest.approx(whole.spent[whole.highest], rel=1e-2)
    assert half.audit < 0.005
    own = corner.loading
    moved, other = (settle(corner.model, own, path.displacements(1)) for path in (half, whole))
    assert np.abs(moved - other).max() < 1e-7 * np.abs(other).max()
    assert list(half.damage) == list(whole.damage)
    for name, damage in whole.damage.items():
        assert half.damage[name].shape[1] == damage.shape[1]
        gap = np.abs(half.damage[name][half.highest] - damage[whole.highest])
        print(f"{kind}, {arrangement}, {name}: damage differs by {gap.max():.1e}")
        assert gap.max() < 0.01


@pytest.mark.parametrize("arrangement", ["cantilever in", "cantilever out"])
def test_one_sided_loads_are_not_halved(arrangement: str) -> None:
    corner = build_corner(specimen("mitre", arrangement))
    assert not fits(corner)
    assert CornerFollower(corner).follow(laws_of(corner.connections)).basis is None


def _with(**changes: object) -> Specimen:
    return replace(specimen("splined mitre"), **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "unlike",
    [
        pytest.param(
            lambda: _with(woods={**specimen("splined mitre").woods, BOARD_B: find_wood("hard maple")}),
            id="two woods",
        ),
        pytest.param(lambda: _with(arrangement=APEX_PRESS, load_off_line=1.0), id="load off its line"),
        pytest.param(lambda: specimen("finger"), id="nine fingers"),
        pytest.param(lambda: specimen("butt"), id="butt"),
    ],
)
def test_unlike_sides_are_not_halved(unlike: object) -> None:
    """What differs between the sides is followed whole."""
    assert callable(unlike)
    corner = build_corner(unlike())
    assert not fits(corner)
    assert CornerFollower(corner).follow(laws_of(corner.connections)).basis is None


def test_unlike_glue_is_not_halved() -> None:
    """A corner glued less well on one side only is not its own image, whatever its bodies are."""
    corner = build_corner(specimen("splined mitre"))
    plain = laws_of(corner.connections, crushing=False)
    laws = dict(plain)
    weak = "slot floors in board B"
    laws[weak] = replace(laws[weak], opening_strength=0.5 * laws[weak].opening_strength)  # type: ignore
    assert fits(corner)
    assert not fits(corner, laws)
    whole, weaker = (
        CornerFollower(corner).follow(plain, FINE),
        CornerFollower(corner).follow(laws, FINE),
    )
    assert weaker.basis is None
    other = "slot floors in board A"
    assert weaker.damage[weak][2].max() > weaker.damage[other][2].max() + 0.1
    assert weaker.load.max() < whole.load.max()


def test_crushing_on_one_side_is_not_halved() -> None:
    """Faces that crush on one side only make the sides unlike."""
    corner = build_corner(specimen("splined mitre"))
    laws = dict(laws_of(corner.connections, crushing=False))
    crushing = laws_of(corner.connections, crushing=True)
    assert fits(corner, dict(crushing))
    laws["slot floors in board A"] = crushing["slot floors in board A"]
    assert not fits(corner, laws)


def test_crushing_is_halved_too() -> None:
    """Closing that crushes: the highest load and what is crushed there are the whole's, side by side."""
    corner = build_corner(specimen("splined mitre", "diagonal compression"))
    laws = laws_of(corner.connections, crushing=True)
    half = CornerFollower(corner).follow(laws, FINE)
    assert half.basis is not None
    whole = whole_path(corner, crushing=True)
    assert half.load[half.highest] == pytest.approx(whole.load[whole.highest], rel=1e-6)
    assert max(values[half.highest].max() for values in half.crushed.values()) > 0.001
    for name, crushed in whole.crushed.items():
        assert half.crushed[name][half.highest] == pytest.approx(crushed[whole.highest], rel=1e-3, abs=1e-6)
