"""Where the entries of a tangent matrix stand: its pattern, a good order, and where every bond enters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import scipy.sparse as sparse
import scipy.sparse.linalg
from numpy.typing import NDArray

from glueline.fem.model import Array, Integers


class Places(Protocol):
    """Where entries of a matrix stand in the list of its values."""

    def __getitem__(self, place: tuple[Integers, Integers], /) -> Integers:
        """Places of the entries in some rows and columns, all of one shape."""
        ...


@dataclass(frozen=True)
class OrderedPlaces:
    """Places in a matrix that is stored column by column, its unknowns in an order of their own.

    ``by_column`` (columns, rows) has the places as its values; ``order`` (n,) is where every unknown stands.
    """

    by_column: sparse.csr_matrix
    order: Integers

    @classmethod
    def of(cls, ordered: sparse.csc_matrix, order: Integers) -> OrderedPlaces:
        """Of an ``ordered`` matrix with sorted columns, whose unknowns were ``order`` (n,) before."""
        place = np.empty(len(order), dtype=np.int64)
        place[order] = np.arange(len(order))
        numbers = np.arange(ordered.nnz, dtype=np.int64)
        return cls(sparse.csr_matrix((numbers, ordered.indices, ordered.indptr), ordered.shape), place)

    def __getitem__(self, place: tuple[Integers, Integers], /) -> Integers:
        rows, columns = (self.order[each] for each in place)
        if not rows.size:
            return rows
        return np.asarray(self.by_column[columns.ravel(), rows.ravel()]).reshape(rows.shape)


def bodies_with_pattern(stiffness: sparse.csr_matrix, jump: sparse.csr_matrix) -> sparse.csr_matrix:
    """The stiffness with every entry that bonds may fill: both jumps of a point go together.

    What the matrix has of the bodies is the real part; the imaginary one is nowhere zero.
    """
    size = len(jump.indptr) - 1
    point = sparse.csr_matrix(
        (np.ones(jump.nnz), jump.indices, jump.indptr[::2]), shape=(size // 2, jump.shape[1])
    )
    ties = (point.T @ point).tocsr()
    ties.data = np.full(ties.nnz, 1j)
    own = stiffness.copy()
    own.data = own.data + 1j
    return (own + ties).tocsr()


def fill_reducing_order(pattern: sparse.csr_matrix) -> Integers:
    """Minimum-degree order of a symmetric pattern.

    It comes with factors of a definite matrix that has the pattern, of which nearly all is dropped: an order
    is found before anything is factored.
    """
    size = pattern.shape[0]
    alike = sparse.csr_matrix((np.full(pattern.nnz, 1e-6), pattern.indices, pattern.indptr), (size, size))
    factor = scipy.sparse.linalg.spilu(
        (alike + sparse.identity(size)).tocsc(),
        drop_tol=1e-2,
        fill_factor=1,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        relax=1,
        panel_size=4,
        options={"SymmetricMode": True},
    )
    return np.argsort(factor.perm_c).astype(np.int64)


def bond_matrix(jump: sparse.csr_matrix, places: Places, values: int) -> sparse.csr_matrix:
    """Entries (values, 4 p) by which the four numbers of every tangent enter the values of a matrix.

    ``jump`` (2 p, n) gives the jumps of the p points.
    """
    counts = np.diff(jump.indptr).reshape(-1, 2)
    starts = np.append(0, np.cumsum(counts[:, :, None] * counts[:, None, :]))
    products, value_places = np.empty(starts[-1]), np.empty(starts[-1], dtype=np.int32)
    # How many unknowns enter the two jumps of a point is the same over most surfaces.
    widths, group = np.unique(counts, axis=0, return_inverse=True)
    for number, width in enumerate(widths):
        chosen = np.flatnonzero(group.ravel() == number)
        own, own_places = _own_entries(jump, chosen, width, places)
        first, last = starts[4 * chosen[0]], starts[4 * chosen[-1] + 4]
        if last - first == own.size:
            products[first:last], value_places[first:last] = own.ravel(), own_places.ravel()
        else:
            at = starts[4 * chosen][:, None] + np.arange(own.shape[1])
            products[at], value_places[at] = own, own_places
    by_tangent = sparse.csr_matrix((products, value_places, starts), shape=(2 * jump.shape[0], values))
    return by_tangent.T.tocsr()


def _own_entries(
    jump: sparse.csr_matrix, chosen: Integers, width: Integers, places: Places
) -> tuple[Array, NDArray[np.int32]]:
    """Products of jumps and their places (p, entries) of ``chosen`` points (p,), by the numbers of a tangent.

    ``width`` (2,) unknowns enter the two jumps of each.
    """
    starts = [jump.indptr[2 * chosen + i][:, None] + np.arange(width[i]) for i in (0, 1)]
    unknowns, factors = [jump.indices[at] for at in starts], [jump.data[at] for at in starts]
    # Points of one element follow each other and have the same unknowns, so they are looked for once.
    new = np.ones(len(chosen), dtype=bool)
    new[1:] = (np.diff(unknowns[0], axis=0) != 0).any(axis=1) | (np.diff(unknowns[1], axis=0) != 0).any(
        axis=1
    )
    element = np.cumsum(new) - 1
    products = np.empty((len(chosen), width.sum() ** 2))
    found = np.empty(products.shape, dtype=np.int32)
    first = 0
    for i in (0, 1):
        for j in (0, 1):
            part, shape = slice(first, first + width[i] * width[j]), (len(chosen), width[i], width[j])
            np.multiply(
                factors[i][:, :, None],
                factors[j][:, None, :],
                out=products[:, part].reshape(shape),
            )
            rows, columns = np.broadcast_arrays(unknowns[i][new][:, :, None], unknowns[j][new][:, None, :])
            found[:, part] = places[rows, columns].reshape(len(rows), width[i] * width[j])[element]
            first = part.stop
    return products, found
