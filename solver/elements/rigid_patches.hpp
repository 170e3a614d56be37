// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/node_matrix.hpp"

#include <Eigen/SparseCore>

#include <vector>

namespace cellgrade {

/// Nodes gathered into small patches, each with an orthonormal basis of its rigid motions: the
/// smooth displacements that a mesh of points alone can tell of. Inside `solver/elements` only.
/// Source: aggregation with rigid-body modes, Vanek, Mandel & Brezina (1996), Computing 56:179.
struct RigidPatches {
    using Basis = Eigen::Matrix<double, 3, 6>;
    std::vector<Index> patch_of;           ///< one a node
    std::vector<std::vector<Index>> nodes; ///< of each patch
    std::vector<Basis> basis;              ///< one a node; zero columns where a motion is missing

    [[nodiscard]] Index count() const { return static_cast<Index>(nodes.size()); }
};

/// @param x     node positions [m]
/// @param box   periods [m], infinite along axes without one
/// @param held  3 a node: components that take no part
[[nodiscard]] RigidPatches rigid_patches(const NodeMatrix& A,
                                         const std::vector<Vec3>& x,
                                         const Vec3& box,
                                         const std::vector<char>& held);

/// B^T A B over the patches, lower triangle; 1 on the diagonal where a motion is missing.
[[nodiscard]] std::vector<Eigen::Triplet<double>> patch_matrix(const NodeMatrix& A,
                                                               const RigidPatches& patches);

} // namespace cellgrade
