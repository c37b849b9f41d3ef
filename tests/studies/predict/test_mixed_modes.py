"""A glue's mixing of opening and sliding, from its file to the law of a line and the break load."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.fem.line_law import LineLaw
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.corner_follower import follow_break
from tests.studies.corners import specimen


def with_exponent(exponent: float | None, arrangement: str = "diagonal tension") -> Specimen:
    base = specimen("splined mitre", arrangement)
    return replace(base, glue=replace(base.glue, mixing_exponent=exponent))


@pytest.mark.parametrize("exponent", [None, 1.0, 2.0])
def test_toughness_of_a_mixture(exponent: float | None) -> None:
    """Benzeggagh and Kenane 1996: G_c = G_Ic + (G_IIc - G_Ic) (G_II / G)^eta; linear: a sum of inverses."""
    law = build_corner(with_exponent(exponent)).connection("mitre").law()
    assert isinstance(law, LineLaw)
    opening, sliding = law.opening_toughness[0], law.shear_toughness[0]
    share = 0.36
    jump = np.array(
        [[np.sqrt(share / law.shear_stiffness[0]), np.sqrt((1 - share) / law.opening_stiffness[0])]]
    )
    expected = 1 / ((1 - share) / opening + share / sliding)
    if exponent is not None:
        expected = opening + (sliding - opening) * share**exponent
    assert law.measure(jump).toughness[0] == pytest.approx(expected, rel=1e-12)


@given(st.floats(1, 10), st.floats(0.05, 2.0), st.sampled_from(["linear", "bridging"]))
def test_brittle_lines_make_laws_too(exponent: float, quality: float, softening: str) -> None:
    """Whatever the exponent, no mixture stores more at its strength than its law can spend.

    A law that did would be refused when it is made.
    """
    base = with_exponent(exponent)
    weak = replace(base.glue.grain_45, opening_toughness=0.002, shear_toughness=0.3)
    glue = replace(base.glue, grain_45=weak, softening=softening)
    corner = CORNER
    mitre = corner.connection("mitre")
    law = replace(mitre, bond=replace(mitre.bond, **_line(glue, quality))).law()  # type: ignore
    assert isinstance(law, LineLaw)
    assert law.mixing == "benzeggagh-kenane"


def _line(glue: object, quality: float) -> dict[str, object]:
    row = glue.grain_45  # type: ignore[attr-defined]
    numbers = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness")
    found: dict[str, object] = {name: getattr(row, name) * quality for name in numbers}
    found["mixing_exponent"] = glue.mixing_exponent  # type: ignore[attr-defined]
    found["softening"] = glue.softening  # type: ignore[attr-defined]
    return found


CORNER = build_corner(with_exponent(None))


def test_the_break_load_follows() -> None:
    """A path of mixed opening and sliding feels it, and a higher exponent makes no joint tougher.

    Of the glue, for the wood of the splines gives before it.
    """
    loads = [follow_break(with_exponent(exponent)).glue_load for exponent in (1.0, 2.0, 4.0)]
    print("splined mitre pulled open, exponents 1, 2, 4:", *(f"{load:.0f} N" for load in loads))
    assert loads[0] > 1.003 * loads[1]
    assert loads[1] > 1.003 * loads[2]
    assert loads[2] > 0.9 * loads[0]
