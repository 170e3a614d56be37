// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/node_matrix.hpp"

#include <vector>

namespace cellgrade {

/// Chebyshev polynomial in D^-1 A, D the diagonal blocks, that damps the part of the spectrum above
/// a share of its largest eigenvalue; the same from both sides, so that a cycle stays symmetric.
/// Source: Adams, Brezina, Hu & Tuminaro (2003), J. Comput. Phys. 188:593; recurrence from Saad
/// (2003), Iterative Methods for Sparse Linear Systems, algorithm 12.1. Inside `solver/elements`
/// only.
class ChebyshevSmoother {
public:
    /// @param terms  of the polynomial, so many products with A
    /// @param span   largest eigenvalue over the least that is damped
    ChebyshevSmoother(const NodeMatrix& A, int terms, double span);

    /// Improves x and brings its residual r = b - A x along. Threads inside.
    template <int W>
    void smooth(NodeRows<W>& x, NodeRows<W>& r) const;

private:
    const NodeMatrix& A_;
    std::vector<NodeMatrix::Block> inverse_;
    int terms_ = 0;
    double low_ = 0.0, high_ = 0.0; ///< ends of the damped spectrum of D^-1 A
};

} // namespace cellgrade
