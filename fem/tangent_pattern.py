"""Where the entries of a tangent matrix stand: its pattern, a good order, and where every bond enters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import scipy.sparse as sparse
import scipy.sparse.linalg

from glueline.fem.model import Integers


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
    counts = np.diff(jump.indptr)
    entries = (counts.reshape(-1, 2, 1) * counts.reshape(-1, 1, 2)).ravel()
    starts = np.append(0, np.cumsum(entries))
    products, value_places = np.empty(starts[-1]), np.empty(starts[-1], dtype=np.int32)
    for i in (0, 1):
        for j in (0, 1):
            for width, chosen in _by_widths(counts[i::2], counts[j::2]):
                if 0 in width:
                    continue
                first = jump.indptr[2 * chosen + i][:, None] + np.arange(width[0])
                second = jump.indptr[2 * chosen + j][:, None] + np.arange(width[1])
                at = starts[4 * chosen + 2 * i + j][:, None] + np.arange(width[0] * width[1])
                product = jump.data[first][:, :, None] * jump.data[second][:, None, :]
                products[at] = product.reshape(at.shape)
                found = _places_of_products(jump.indices[first], jump.indices[second], places)
                value_places[at] = found.reshape(at.shape)
    by_tangent = sparse.csr_matrix((products, value_places, starts), shape=(len(entries), values))
    return by_tangent.T.tocsr()


def _places_of_products(first: Integers, second: Integers, places: Places) -> Integers:
    """Places (p, a, b) of the entries in rows ``first`` (p, a) and columns ``second`` (p, b).

    Points of one element follow each other and have the same unknowns, so they are looked for once.
    """
    new = np.ones(len(first), dtype=bool)
    new[1:] = (first[1:] != first[:-1]).any(axis=1) | (second[1:] != second[:-1]).any(axis=1)
    rows, columns = np.broadcast_arrays(first[new][:, :, None], second[new][:, None, :])
    return np.asarray(places[rows, columns][np.cumsum(new) - 1])


def _by_widths(first: Integers, second: Integers) -> list[tuple[tuple[int, int], Integers]]:
    """Points grouped by how many unknowns enter their two jumps, which is the same over most surfaces."""
    pairs, group = np.unique(np.stack([first, second], axis=1), axis=0, return_inverse=True)
    flat = group.ravel()
    return [((int(a), int(b)), np.flatnonzero(flat == index)) for index, (a, b) in enumerate(pairs)]
