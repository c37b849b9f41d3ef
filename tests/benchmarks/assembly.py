"""Assembly of the stiffness at about 100 000 unknowns, ours against scikit-fem's on the same mesh, in one
process.

Run ``python -m tests.benchmarks.assembly [unknowns] [repeats]``. Both sides have their mesh and numbering
ready; timed is what turns
them and the elastic constants into a matrix. Ours is timed with the pattern found anew, as a first assembly
needs it,
and with the pattern kept. scikit-fem gets its vector elements and a form written out by components, with
the same three-point rule.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from typing import Any

import numpy as np
import scipy.sparse as sparse
import skfem

from glueline.fem.bulk import bulk_pattern, bulk_stiffness
from glueline.fem.model import Integers, Model
from glueline.fem.orthotropy import plane_stiffness
from tests.fem import meshes


@dataclass(frozen=True)
class Case:
    """One mesh as both codes see it; ``ours`` gives our unknown for every unknown of theirs."""

    model: Model
    basis: Any
    d: meshes.Array
    thickness: float
    ours: Integers


def prepare(unknowns: int) -> Case:
    """A distorted board with turned grain and about ``unknowns`` unknowns."""
    count = round((np.sqrt(unknowns / 2) - 1) / 2)
    mesh = meshes.grid(np.linspace(0, 300, count + 1), np.linspace(0, 90, count + 1), 0.3)
    d = plane_stiffness(meshes.MAPLE, 0.5, 0.4)
    model = Model(mesh, (meshes.body("board", mesh, d, thickness=19.0),))
    corners = mesh.triangles[:, :3].max() + 1
    other = skfem.MeshTri(mesh.nodes[:corners].T.copy(), mesh.triangles[:, :3].T.copy())
    basis = skfem.Basis(other, skfem.ElementVector(skfem.ElementTriP2()), intorder=2)
    ours = np.full(basis.N, -1, dtype=np.int64)
    # Corners keep their number; middles are matched by the two corners of their edge.
    ours[basis.nodal_dofs] = 2 * np.arange(corners) + np.array([[0], [1]])
    pairs = mesh.triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    key = np.sort(pairs, axis=1) @ [corners, 1]
    middles = mesh.triangles[:, 3:].ravel()
    order = np.argsort(key)
    wanted = np.sort(other.facets, axis=0).T @ [corners, 1]
    found = middles[order][np.searchsorted(key[order], wanted)]
    ours[basis.facet_dofs] = 2 * found + np.array([[0], [1]])
    return Case(model, basis, d, 19.0, ours)


def theirs(case: Case) -> sparse.csr_matrix:
    """Stiffness by scikit-fem, in its numbering."""
    d, t = case.d * case.thickness, case.thickness
    assert t > 0

    @skfem.BilinearForm
    def form(u: Any, v: Any, w: Any) -> Any:
        e = (u.grad[0, 0], u.grad[1, 1], u.grad[0, 1] + u.grad[1, 0])
        f = (v.grad[0, 0], v.grad[1, 1], v.grad[0, 1] + v.grad[1, 0])
        s = [d[i, 0] * e[0] + d[i, 1] * e[1] + d[i, 2] * e[2] for i in range(3)]
        return s[0] * f[0] + s[1] * f[1] + s[2] * f[2]

    return form.assemble(case.basis).tocsr()


def difference(case: Case) -> float:
    """Largest difference between the two matrices over the largest entry."""
    other = theirs(case)
    mine = bulk_stiffness(case.model)[case.ours][:, case.ours]
    return float(abs(mine - other).max() / abs(other).max())


def timed(work: Callable[[], Any], repeats: int) -> list[float]:
    """Seconds of every repeat after one that is not counted."""
    work()
    seconds = []
    for _ in range(repeats):
        gc.collect()
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return seconds


def main(unknowns: int = 100_000, repeats: int = 9) -> None:
    """Print the table."""
    case = prepare(unknowns)
    pattern = bulk_pattern(case.model)
    works: dict[str, Callable[[], Any]] = {
        "scikit-fem": lambda: theirs(case),
        "fem.bulk, pattern anew": lambda: bulk_stiffness(case.model),
        "fem.bulk, pattern kept": lambda: bulk_stiffness(case.model, pattern),
    }
    seconds = {name: timed(work, repeats) for name, work in works.items()}
    base = median(seconds["scikit-fem"])
    print(f"{case.model.unknowns} unknowns, {len(case.model.mesh.triangles)} cells, {repeats} repeats")
    print(f"python {sys.version.split()[0]}, numpy {np.__version__}, scikit-fem {skfem.__version__}")
    print(f"largest difference of the matrices {difference(case):.1e} of the largest entry")
    print(f"{'':24}{'median s':>10}{'least s':>10}{'times as fast':>16}")
    for name, each in seconds.items():
        print(f"{name:24}{median(each):10.3f}{min(each):10.3f}{base / median(each):16.2f}")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]))
