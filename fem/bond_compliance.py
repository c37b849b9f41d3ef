"""How far a round rod slips in its hole per force: what a model in the plane cannot know by itself.

A rod that pulls f N on every mm of its length shears the wood around it. A model in the plane has that shear
as an even one over the width s that belongs to a rod: beside it, displacement falls by f / (2 G_x s) a mm.
In truth the force comes in at the rod's rim and only spreads to that width. The difference, with the film
and the rod's own shear, is the compliance C of a bond that ties the rod to its line in the plane:

    C = 1 / (pi d k_s) + 1 / (8 pi G_d) + field,
    field = [ln(2 s / (pi d (1 + kappa))) - sum_i ln(1 - exp(-2 pi a_i kappa / s))] / (2 pi sqrt(G_x G_z)).

Own derivation. Around the rod, G_x w_xx + G_z w_zz = -f delta; with x stretched by kappa = sqrt(G_z / G_x)
that is Laplace's equation, and a row of rods s apart makes

    w = -f ln |2 sinh(pi (kappa |x| + i z) / s)| / (2 pi sqrt(G_x G_z)),

whose mean over z is -f |x| / (2 G_x s), exactly what the plane has. The rim of radius r is an ellipse of half
axes kappa r and r there, which acts like a circle of their mean, r (1 + kappa) / 2, and that gives the first
term. A free face at p from the axis is a mirror: a row at a = 2 p, of which the plane has the mean and the
sum the rest; two faces repeat each other. An even shear stress on the rim that the rod's whole section takes
up leaves its mean f / (8 pi G_d) behind its rim.
"""

from __future__ import annotations

from itertools import count
from math import exp, inf, log, log1p, pi, sqrt

NEGLIGIBLE = 1e-12


def image_distances(*to_free_faces: float, farthest: float) -> list[float]:
    """Distances from a rod to its mirror images in one or two free faces beside it, up to ``farthest`` mm.

    ``to_free_faces`` are the distances from the axis to each, in x; infinite ones have no images. Between two
    faces the images repeat without end.

    >>> image_distances(9.0, 10.0, farthest=60.0)
    [18.0, 20.0, 38.0, 38.0, 56.0, 58.0]
    """
    if not all(distance > 0 for distance in to_free_faces) or len(to_free_faces) > 2:
        raise ValueError("one or two free faces, both away from the axis")
    near = [2.0 * distance for distance in to_free_faces]
    if len(near) < 2 or inf in near:
        return [distance for distance in near if distance <= farthest]
    period = sum(near)
    images: list[float] = []
    for turn in count():
        ring = [turn * period + distance for distance in near] + [(turn + 1) * period] * 2
        images += [distance for distance in ring if distance <= farthest]
        if ring[0] > farthest:
            return sorted(images)
    raise AssertionError


def spreading(
    diameter: float,
    spacing: float,
    shear_moduli: tuple[float, float],
    to_free_faces: tuple[float, ...] = (),
) -> float:
    """Compliance (mm2/N) of the wood around a rod beyond that of its plane model, not below zero.

    ``diameter`` and ``spacing`` (width of board a rod) in mm, ``shear_moduli`` (G_x, G_z) in MPa on the
    planes that hold the axis, with x in the plane and with z across it. Where a rod is so thick that the
    formula falls below zero the plane has all of it. Raises ValueError for numbers not above zero.

    >>> round(1e3 * spreading(8.0, 45.0, (1160.0, 250.0)), 4)
    0.2643
    """
    if not min(diameter, spacing, *shear_moduli) > 0:
        raise ValueError("diameter, spacing and shear moduli must be above zero")
    beside, across = shear_moduli
    stretch = sqrt(across / beside)
    total = log(2.0 * spacing / (pi * diameter * (1.0 + stretch)))
    if to_free_faces:
        farthest = -log(NEGLIGIBLE) * spacing / (2.0 * pi * stretch)
        for distance in image_distances(*to_free_faces, farthest=farthest):
            total -= log1p(-exp(-2.0 * pi * distance * stretch / spacing))
    return max(total, 0.0) / (2.0 * pi * sqrt(beside * across))


def two_lines(diameter: float, spacing: float, shear_modulus: float) -> float:
    """Compliance (mm2/N) that a force on two lines at r / sqrt(2) from the axis lacks beside one on the axis.

    Between the lines displacement is even, where beside one line it falls by f / (2 G_x s) a mm.
    """
    return 0.5 * diameter / (2.0 * sqrt(2.0) * shear_modulus * spacing)


def bond_compliance(
    diameter: float,
    spacing: float,
    film_stiffness: float,
    rod_shear_modulus: float,
    shear_moduli: tuple[float, float],
    to_free_faces: tuple[float, ...] = (),
    share_of_spreading: float = 1.0,
) -> float:
    """Slip a force a mm of length, C in mm2/N, of a round rod tied to two lines beside its axis.

    ``film_stiffness`` k_s in N/mm3 of slip between rod and hole, ``rod_shear_modulus`` G_d in MPa; the rest
    as for ``spreading``. ``share_of_spreading`` is 1 where the force goes on past the rod's end and about a
    half where it turns back at the face that the rod comes through: there it does not spread to the full
    width (0.2 to 0.4 of the term in 3D pull-outs, a corner whose face has opened about a half).
    """
    own = 1.0 / (pi * diameter * film_stiffness) + 1.0 / (8.0 * pi * rod_shear_modulus)
    around = share_of_spreading * spreading(diameter, spacing, shear_moduli, to_free_faces)
    return own + around + two_lines(diameter, spacing, shear_moduli[0])
