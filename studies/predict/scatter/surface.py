"""A quadratic in logarithms through a few runs: the response surface of a load over the glue's factors.

Along each principal axis of the scatter it passes through the nominal run and one on either side
(Box and Wilson 1951, with star points only). There is no product of two axes: in principal axes it is the
smallest part, and brute force shows that it may be left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

REACH = 1.6
"""Where runs are placed, in standard deviations from the nominal: about the 5 and 95 % ends."""

_FLAT = 1e-12


@dataclass(frozen=True)
class StarDesign:
    """Runs in the space of ``k`` logarithms with a given covariance: ``nodes`` (m, k), the first the nominal.

    ``axes`` (k, a) are the principal axes that scatter, each times ``REACH`` standard deviations.
    """

    axes: Array
    nodes: Array

    def along(self, points: Array) -> Array:
        """Where (n, a) ``points`` (n, k) lie along each axis: 0 the nominal run, 1 and -1 the outer ones."""
        return np.asarray(points @ self.axes / np.square(self.axes).sum(axis=0))

    def weights(self, points: Array) -> Array:
        """Weights (n, m) of the nodes' values in the surface at ``points`` (n, k); each row sums to 1."""
        along = self.along(points)
        up, down = 0.5 * along * (along + 1.0), 0.5 * along * (along - 1.0)
        sides = np.stack([up, down], axis=2).reshape(len(points), -1)
        return np.concatenate([1.0 - sides.sum(axis=1, keepdims=True), sides], axis=1)


def star_design(covariance: Array) -> StarDesign:
    """A node on either side of the nominal on every principal axis of ``covariance`` (k, k) that scatters."""
    values, vectors = np.linalg.eigh(covariance)
    scattering = values > _FLAT
    axes = REACH * np.sqrt(values[scattering]) * vectors[:, scattering]
    # eigh leaves the sign of a vector open; fixed here so that nodes come in the same order everywhere.
    axes = axes * np.where(axes.sum(axis=0) < 0, -1.0, 1.0)
    sides = np.stack([axes.T, -axes.T], axis=1).reshape(-1, len(covariance))
    return StarDesign(axes, np.concatenate([np.zeros((1, len(covariance))), sides]))
