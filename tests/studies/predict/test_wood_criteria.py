"""Wood judged by criteria of a name: uniform stress, bent boards, slopes of grain, and the four corners."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import scipy.sparse as sparse
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from glueline import predict
from glueline.fem.path_control import PathControl
from glueline.fem.stress import GrainRows
from glueline.geometries import Boards, FingerJoint
from glueline.materials import (
    CRITERIA,
    DEFAULT_CRITERION,
    Wood,
    find_criterion,
    find_wood,
    plane_strengths,
    wood_names,
)
from glueline.materials.grain_angle import hankinson
from glueline.studies.corner.critical_length import CriticalLengths
from glueline.studies.corner.limit import in_order
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.wood_limits import (
    WoodSample,
    sample_wood,
    shares_at_states,
    shares_of_strength,
    wood_limits,
)
from glueline.studies.predict.wood_on_path import wood_at
from tests.studies.corners import JOINTS, specimen

Array = NDArray[np.float64]
OAK = find_wood("white oak")
NAMES = tuple(CRITERIA)
ROWS, COLUMNS = 11, 41
BEND = "fibre bending on the pressed side"


def sample(wood: Wood = OAK) -> WoodSample:
    """A strip of ROWS x COLUMNS places, 2 mm apart, whose displacements are its stresses."""
    count = ROWS * COLUMNS
    rows = GrainRows(
        body="strip",
        inside=np.ones((ROWS, COLUMNS), dtype=bool),
        points=np.stack([np.tile(np.arange(COLUMNS), ROWS), np.repeat(np.arange(ROWS), COLUMNS)], axis=1)
        * 2.0,
        operator=sparse.identity(3 * count, format="csr"),
        spacing=2.0,
        thickness=np.ones(count),
    )
    return WoodSample("strip", wood, rows, np.ones(count, dtype=bool), CriticalLengths(12.0, 60.0))


def uniform(along: float, across: float, shear: float) -> Array:
    """The same stress at every place of the strip."""
    return np.tile([along, across, shear], ROWS * COLUMNS)


def off_axis(wood: Wood, angles: Array, criterion: str) -> Array:
    """Strength in MPa of a bar pulled at ``angles`` (rad) to its grain, as the wood of a corner is judged."""
    found = []
    for angle in angles:
        c, s = np.cos(angle), np.sin(angle)
        used = shares_of_strength(sample(wood), uniform(c * c, s * s, c * s), criterion=criterion)
        found.append(1 / used.worst.max())
    return np.array(found)


stress = st.floats(-80.0, 80.0)


@pytest.mark.parametrize("name", NAMES)
@given(along=stress, across=stress, shear=stress)
@settings(max_examples=40, deadline=None)
def test_uniform_stress_meets_the_criterion_itself(
    name: str, along: float, across: float, shear: float
) -> None:
    """Means of a uniform stress are that stress, so the worst mode is the criterion, or the fibres' own."""
    used = shares_of_strength(sample(), uniform(along, across, shear), criterion=name)
    one = (np.array([along]), np.array([max(across, 0.0)]), np.array([shear]))
    index = float(CRITERIA[name].index(*one, plane_strengths(OAK))[0])
    expected = max(index, abs(along) / OAK.bending_strength)
    assert used.worst.max() == pytest.approx(expected, rel=1e-9, abs=1e-12)
    assert used.worst.min() == pytest.approx(expected, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
@given(along=stress, across=stress, shear=stress, load=st.floats(0.1, 10.0))
@settings(max_examples=25, deadline=None)
def test_every_mode_is_linear_in_the_load(
    name: str, along: float, across: float, shear: float, load: float
) -> None:
    """So that 1 / share is the load at the limit."""
    once = shares_of_strength(sample(), uniform(along, across, shear), criterion=name)
    more = shares_of_strength(sample(), load * uniform(along, across, shear), criterion=name)
    assert more.worst.max() == pytest.approx(load * once.worst.max(), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_states_judged_together_are_as_each_by_itself(name: str) -> None:
    random = np.random.default_rng(5)
    states = random.normal(0.0, 8.0, (3 * ROWS * COLUMNS, 4))
    for state, used in enumerate(shares_at_states(sample(), states, name)):
        alone = shares_of_strength(sample(), states[:, state], name)
        for mode, share in used.modes.items():
            assert share == pytest.approx(alone.modes[mode], rel=1e-12)
        assert used.length == pytest.approx(alone.length, rel=1e-12)
        assert used.shear_share == pytest.approx(alone.shear_share, rel=1e-12)
        assert used.fibre_length == pytest.approx(alone.fibre_length, rel=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_a_bent_board_breaks_in_its_fibres_at_its_modulus_of_rupture(name: str) -> None:
    """No criterion moves the one figure that the handbook's bending test measured (Table 5-3a, 105 MPa)."""
    bending = np.zeros((ROWS, COLUMNS, 3))
    bending[:, :, 0] = np.linspace(-1.0, 1.0, ROWS)[:, None]
    used = shares_of_strength(sample(), bending.ravel(), criterion=name)
    shares = {mode: float(used.modes[mode].max()) for mode in used.modes if WOOD_MODES[mode].breaks}
    assert shares["fibre tension"] == pytest.approx(1 / 105.0, rel=1e-12)
    assert shares[BEND] == pytest.approx(1 / 105.0, rel=1e-12)
    assert shares["splitting"] == shares["shear along the grain"] == 0.0


@pytest.mark.parametrize("name", NAMES)
def test_pressure_across_the_grain_breaks_nothing(name: str) -> None:
    """Crushing is no break: neither alone nor as help or harm to shear."""
    alone = shares_of_strength(sample(), uniform(0.0, -40.0, 0.0), criterion=name)
    assert alone.worst.max() == 0.0
    pressed, free = (shares_of_strength(sample(), uniform(0.0, s, 5.0), criterion=name) for s in (-40.0, 0.0))
    assert pressed.worst.max() == free.worst.max() == pytest.approx(5.0 / OAK.shear_strength)


@pytest.mark.parametrize("name", [name for name in NAMES if CRITERIA[name].counts_along])
def test_the_larger_part_names_the_mode(name: str) -> None:
    """Fibres where they use more of their strength than splitting and shear together; else as by default."""
    for field, mode in (
        ((90.0, 0.5, 1.0), "fibre tension"),
        ((-90.0, 0.5, 1.0), BEND),
        ((10.0, 4.0, 1.0), "splitting"),
        ((10.0, 0.5, 9.0), "shear along the grain"),
    ):
        used = shares_of_strength(sample(), uniform(*field), criterion=name)
        shares = {each: float(used.modes[each].max()) for each in used.modes if WOOD_MODES[each].breaks}
        assert max(shares, key=lambda each: shares[each]) == mode


def test_unknown_names_are_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="norris interaction"):
        find_criterion("my own")
    with pytest.raises(ValueError, match="my own"):
        shares_of_strength(sample(), uniform(1.0, 1.0, 1.0), criterion="my own")


# Woods whose off-axis strength leaves the handbook's band, by criterion; known, kept as they are.
OUTSIDE = {
    "separate modes": {
        "White oak", "Sugar (hard) maple", "Red (soft) maple", "Black cherry", "American beech",
        "Mahogany (African)", "Teak", "Western redcedar", "Scots pine",
    },
    "quadratic": set(),
    "norris interaction": {
        "Sugar (hard) maple", "Red (soft) maple", "Black cherry", "Mahogany (African)",
        "Western redcedar", "Scots pine",
    },
    "hoffman": set(),
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_off_axis_tension_against_hankinsons_band(name: str) -> None:
    """Wood Handbook ch. 5: tension off the grain by Hankinson's formula with n from 1.5 to 2 (recalled).

    10 to 75 degrees, 5 % to spare; ends at bending strength and tension across.
    """
    angles = np.radians(np.linspace(10.0, 75.0, 14))
    outside = set()
    for wood in map(find_wood, wood_names()):
        ends = (wood.bending_strength, wood.tension_across)
        strength = off_axis(wood, angles, name)
        low, high = (hankinson(*ends, angles, exponent) for exponent in (1.5, 2.0))
        if not ((0.95 * low <= strength) & (strength <= 1.05 * high)).all():
            outside.add(wood.name)
    assert outside == OUTSIDE[name]


SLOPES = (25, 20, 15, 10, 5)
HANDBOOK_SLOPES = (0.96, 0.93, 0.89, 0.81, 0.55)
"""Modulus of rupture at slopes of grain over that of straight grain: Wood Handbook, FPL-GTR-190, ch. 5, as
printed in a trade paper's answer on table legs; the table's number 5-12 is recalled."""


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("separate modes", (1.00, 1.00, 1.00, 0.99, 0.54)),
        ("quadratic", (0.94, 0.92, 0.87, 0.75, 0.48)),
        ("norris interaction", (0.96, 0.94, 0.90, 0.81, 0.53)),
        ("hoffman", (0.94, 0.91, 0.86, 0.74, 0.47)),
    ],
)
def test_slopes_of_grain(name: str, expected: tuple[float, ...]) -> None:
    """Means of 25 woods; with a part for the stress along the grain they stay within 9 points of the book."""
    angles = np.arctan(1 / np.array(SLOPES))
    found = np.mean(
        [off_axis(wood, angles, name) / wood.bending_strength for wood in map(find_wood, wood_names())],
        axis=0,
    )
    assert found == pytest.approx(expected, abs=0.01)
    away = np.abs(found - HANDBOOK_SLOPES).max()
    assert away < (0.09 if CRITERIA[name].counts_along else 0.19)


EVERY = [
    pytest.param(kind, arrangement, marks=() if arrangement.startswith("diagonal") else pytest.mark.slow)
    for kind in JOINTS
    for arrangement in (
        "diagonal compression", "diagonal tension", "apex press", "cantilever in", "cantilever out",
    )
]  # fmt: skip
# Lowest and highest wood load over that of the default, all corners and arrangements, white oak in a box.
SPREAD = {"quadratic": (0.9, 1.0), "norris interaction": (0.91, 1.15), "hoffman": (0.89, 1.0)}


@pytest.mark.parametrize(("kind", "arrangement"), EVERY)
def test_what_the_choice_is_worth_in_a_corner(kind: str, arrangement: str) -> None:
    """The prediction is the default's, and no criterion moves the wood load by more than SPREAD."""
    answer = predict(specimen(kind, arrangement), method="elastic")
    load = {}
    for name in NAMES:
        limits = wood_limits(answer.corner, answer.samples, answer.u, criterion=name)
        load[name] = min((limit for limit in limits if limit.breaks), key=in_order).load
        assert all(np.isfinite(limit.load) and limit.load > 0 and limit.length > 0 for limit in limits)
    assert load[DEFAULT_CRITERION] == answer.wood_load
    print(f"{kind}, {arrangement}: " + ", ".join(f"{name} {value:.0f} N" for name, value in load.items()))
    for name, (low, high) in SPREAD.items():
        assert low <= load[name] / load["separate modes"] <= high * (1 + 1e-12)


@pytest.mark.parametrize(("wood", "sawn"), [("yellow birch", "flat"), ("hard maple", "quarter")])
def test_wood_load_changes_smoothly_with_thickness(wood: str, sawn: str) -> None:
    """Under a butt's glued face wood is pulled on one half, pressed on the other, within its critical length.

    Whether that much opening counts must not hang on a hair: from one thickness to the next (0.5 mm) the load
    at which wood splits there changes by less than a tenth.
    """
    loads = []
    for thickness in np.arange(15.0, 21.1, 0.5):
        boards = Boards(float(thickness), 90.0, 150.0)
        corner = replace(specimen("butt", boards=boards, wood=wood), sawn=sawn)
        loads.append(predict(corner, method="elastic").wood_load)
    steps = np.abs(np.diff(np.log(loads)))
    print(f"{wood}, {sawn} sawn, 15 to 21 mm: " + ", ".join(f"{load:.0f}" for load in loads) + " N")
    assert steps.max() < 0.1


PAST_PEAK = PathControl(stop=0.9)


@pytest.mark.slow
def test_tension_in_a_spline_does_not_hang_on_where_rows_fall() -> None:
    """Stress falls steeply from where judging begins beside a slot floor: over several meshes within 4 %.

    Without a row just there it was 10 %. Judged at the highest load of the glue, for splits end the corner
    before it.
    """
    loads = []
    for size in (1.9, 1.6, 1.3, 1.1):
        corner = specimen("splined mitre", "diagonal tension")
        found = follow_break(corner, element_size=size, control=PAST_PEAK)
        limits = wood_at(found.corner, found.path, found.laws, sample_wood(found.corner), found.path.highest)
        (own,) = [each for each in limits if (each.part, each.mode) == ("splines", "fibre tension")]
        loads.append(own.load)
    print("fibre tension in the splines: " + ", ".join(f"{load:.0f}" for load in loads) + " N")
    assert max(loads) < 1.04 * min(loads)


def test_wood_load_stands_under_half_the_elements() -> None:
    """Thin fingers, where wood gives first: within 2 %, the aim for break loads."""
    loads = [
        follow_break(specimen("finger", joint=FingerJoint(25)), element_size=size).wood_load
        for size in (1.9, 0.95)
    ]
    assert loads[1] == pytest.approx(loads[0], rel=0.02)
