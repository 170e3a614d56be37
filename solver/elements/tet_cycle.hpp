// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/chebyshev_smoother.hpp"
#include "solver/elements/corner_cycle.hpp"
#include "solver/elements/node_matrix.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// Corners first among the unknown nodes, then edge middles, each between two corners.
struct EdgeParents {
    Index n_corners = 0;
    std::vector<std::array<Index, 2>> of; ///< one an edge middle
};

/// Preconditioner of TetSolver, one V cycle: quadratic displacements are smoothed, those linear
/// between corners are left to a CornerCycle. Inside `solver/elements` only.
class TetCycle {
public:
    /// Keeps references to A and to the corners' cycle.
    /// @param held  3 a node: components that stay 0
    TetCycle(const NodeMatrix& A,
             const CornerCycle& corners,
             EdgeParents parents,
             std::vector<char> held);

    /// z = M^-1 r, symmetric and positive; r is used up. Threads inside.
    template <int W>
    void apply(NodeRows<W>& r, NodeRows<W>& z) const;

private:
    template <int W>
    [[nodiscard]] NodeRows<W> to_corners(const NodeRows<W>& r) const;

    const NodeMatrix& A_;
    const CornerCycle& corners_;
    EdgeParents parents_;
    std::vector<char> held_;
    std::vector<std::size_t> first_middle_; ///< of each corner in middles_; one more than corners
    std::vector<Index> middles_;
    ChebyshevSmoother smoother_;
};

} // namespace cellgrade
