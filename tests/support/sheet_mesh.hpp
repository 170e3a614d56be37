// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"

#include <functional>

/// Quadratic faces without tetrahedra, for contact.
namespace cellgrade::test {

using SheetShape = std::function<Vec3(double, double)>;

/// Adds the faces of a sheet of nu x nv squares whose nodes (i, j) are at first + i + j (2 nu + 1).
inline void add_sheet_faces(TetMesh& mesh, Index first, int nu, int nv) {
    const auto at = [&](int i, int j) { return first + i + j * (2 * nu + 1); };
    for (int j = 0; j < 2 * nv; j += 2)
        for (int i = 0; i < 2 * nu; i += 2) {
            mesh.surface.push_back({at(i, j), at(i + 2, j), at(i + 2, j + 2), at(i + 1, j),
                                    at(i + 2, j + 1), at(i + 1, j + 1)});
            mesh.surface.push_back({at(i, j), at(i + 2, j + 2), at(i, j + 2), at(i + 1, j + 1),
                                    at(i + 1, j + 2), at(i, j + 1)});
        }
}

/// Adds nodes and faces of a sheet over (u, v) in [0, 1]^2; returns the first node.
inline Index add_sheet(TetMesh& mesh, int nu, int nv, const SheetShape& shape) {
    const auto first = static_cast<Index>(mesh.nodes.size());
    for (int j = 0; j <= 2 * nv; ++j)
        for (int i = 0; i <= 2 * nu; ++i)
            mesh.nodes.push_back(shape(0.5 * i / nu, 0.5 * j / nv));
    add_sheet_faces(mesh, first, nu, nv);
    return first;
}

} // namespace cellgrade::test
