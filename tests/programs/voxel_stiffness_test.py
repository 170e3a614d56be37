#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Stiffness of the primitive network, density 0.3, against voxels of trilinear hexahedra.

An independent way to the tensor of `cellgrade stiffness`: cos x + cos y + cos z below a level, cubes
whose middle is inside, average-energy homogenisation (Guedes and Kikuchi 1990, from memory), numpy
alone.

Tolerance: 3 %. From 24 to 48 voxels an edge C11, C12 and C44 of the stairs go up and down by 1.5 %;
the tetrahedra change by 0.3 % from 8 to 26 cubes. Skipped (77) without numpy.
"""
import json
import sys

try:
    import numpy as np
except ImportError:
    print("skipped: the comparison needs the Debian package python3-numpy")
    sys.exit(77)

from program import ProgramCase, main

POISSON, DENSITY, EDGE = 0.3, 0.3, 32
CORNERS = np.array([[-1, -1, -1], [1, -1, -1], [1, 1, -1], [-1, 1, -1],
                    [-1, -1, 1], [1, -1, 1], [1, 1, 1], [-1, 1, 1]], float)


def strain_matrix(at, h):
    """Strain (xx yy zz yz xz xy, engineering) of the 24 displacements of a cube of edge h."""
    B = np.zeros((6, 24))
    for a, sign in enumerate(CORNERS):
        N = (1.0 + sign * at) / 2.0
        x, y, z = [sign[k] / h * np.prod(np.delete(N, k)) for k in range(3)]
        B[:, 3 * a:3 * a + 3] = [[x, 0, 0], [0, y, 0], [0, 0, z], [0, z, y], [z, 0, x], [y, x, 0]]
    return B


def voxel_stiffness(inside):
    """C of unit Young's modulus, columns xx and yz."""
    n_edge = len(inside)
    lame = POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
    D = np.diag([1.0 / (1 + POISSON)] * 3 + [0.5 / (1 + POISSON)] * 3)
    D[:3, :3] += lame
    h = 1.0 / n_edge
    B = [strain_matrix(sign / np.sqrt(3.0), h) for sign in CORNERS]
    K = sum(b.T @ D @ b for b in B) * h**3 / 8
    load = sum(b.T @ D for b in B) * h**3 / 8
    corners = (np.argwhere(inside)[:, None, :] + ((CORNERS + 1) / 2).astype(int)) % n_edge
    used, nodes = np.unique(corners @ [n_edge**2, n_edge, 1], return_inverse=True)
    free = (3 * nodes.reshape(-1, 8)[:, :, None] + np.arange(3)).reshape(-1, 24)
    size = 3 * len(used)

    def gather(values):
        return np.bincount(free.ravel(), values.ravel(), size)

    diagonal = gather(np.tile(np.diag(K), (len(free), 1)))
    C = inside.mean() * D
    for column in (0, 3):
        r = gather(np.tile(-load[:, column], (len(free), 1)))
        stop, u = 1e-7 * np.linalg.norm(r), np.zeros(size)
        z = r / diagonal
        p, rz = z.copy(), r @ z
        while np.linalg.norm(r) > stop:
            q = gather(p[free] @ K)
            step = rz / (p @ q)
            u, r = u + step * p, r - step * q
            z = r / diagonal
            p, rz = z + (r @ z) / rz * p, r @ z
        C[:, column] += load.T @ u[free].sum(axis=0)
    return C


class VoxelStiffness(ProgramCase):
    def test_primitive_network(self):
        angle = (np.arange(EDGE) + 0.5) / EDGE * 2 * np.pi
        x, y, z = np.meshgrid(angle, angle, angle, indexing="ij")
        level = np.cos(x) + np.cos(y) + np.cos(z)
        want = voxel_stiffness(level <= np.quantile(level, DENSITY))
        told = self.run_program("stiffness", "schwarz_primitive_skeletal", "--density", str(DENSITY),
                                "--element-length-mm", "1.0", "--youngs-MPa", "1", "--poisson",
                                str(POISSON), "--json")
        self.assert_exit(told, 0)
        C = json.loads(told.stdout)["stiffness_MPa"]
        for name, row, column in (("C11", 0, 0), ("C12", 1, 0), ("C44", 3, 3)):
            print(f"{name}: tetrahedra {C[row][column]:.5f}, voxels {want[row, column]:.5f}")
            self.assertLess(abs(C[row][column] / want[row, column] - 1.0), 0.03)


main()
