// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/chebyshev_smoother.hpp"
#include "solver/elements/node_matrix.hpp"
#include "solver/elements/rigid_patches.hpp"

#include <Eigen/SparseCholesky>

namespace cellgrade {

/// Approximate inverse on displacements linear between corners: smoothing, a direct solution on the
/// rigid motions of patches, smoothing. Symmetric and positive. Inside `solver/elements` only.
class CornerCycle {
public:
    /// Keeps a reference to A. @throws Error (Run) when a part of the solid can move freely
    CornerCycle(const NodeMatrix& A, RigidPatches patches);

    /// y = M^-1 r; r is used up. The direct solution is serial.
    template <int W>
    void apply(NodeRows<W>& r, NodeRows<W>& y) const;

private:
    const NodeMatrix& A_;
    RigidPatches patches_;
    ChebyshevSmoother smoother_;
    Eigen::SimplicialLLT<Eigen::SparseMatrix<double>> direct_;
};

} // namespace cellgrade
