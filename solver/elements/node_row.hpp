// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"
#include "solver/elements/node_matrix.hpp"

/// Rows of products of node matrices, inlined into the loops that use them. Inside
/// `solver/elements` only.
namespace cellgrade {

/// y += block x.
template <int W>
CELLGRADE_INLINE void
add_product(NodeRow<W>& y, const NodeMatrix::Block& block, const NodeRow<W>& x) noexcept {
    for (int i = 0; i < 3; ++i)
        for (int k = 0; k < W; ++k)
            y.at[i * W + k] += block[3 * i] * x.at[k] + block[3 * i + 1] * x.at[W + k] +
                               block[3 * i + 2] * x.at[2 * W + k];
}

/// Row i of A x.
template <int W>
[[nodiscard]] CELLGRADE_INLINE NodeRow<W>
row_product(const NodeMatrix& A, const NodeRow<W>* x, Index i) noexcept {
    NodeRow<W> sum;
    for (std::size_t k = A.start[i]; k < A.start[i + 1]; ++k)
        add_product(sum, A.block[k], x[A.column[k]]);
    return sum;
}

} // namespace cellgrade
