// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <span>
#include <vector>

/// Sparse symmetric matrices of 3x3 blocks, one row a node, and their product with several vectors
/// at once. Inside `solver/elements` only.
namespace cellgrade {

/// Three components of W vectors at one node, component after component.
template <int W>
struct alignas(W == 1 ? 8 : 64) NodeRow {
    std::array<double, 3 * W> at{};
};
template <int W>
using NodeRows = std::vector<NodeRow<W>>;

/// Both halves are stored: each row is then summed by one thread in its own order.
struct NodeMatrix {
    using Block = std::array<double, 9>; ///< row-major

    std::vector<std::size_t> start; ///< of each row; one more than rows
    std::vector<Index> column;      ///< ascending in a row
    std::vector<Block> block;

    [[nodiscard]] Index rows() const { return static_cast<Index>(start.size()) - 1; }
    /// The block of a pair that the pattern has.
    [[nodiscard]] Block& at(Index row, Index column);
};

/// Pattern of all pairs of nodes that share an element, blocks zero.
/// @param nodes of the elements, `per_element` each
[[nodiscard]] NodeMatrix node_pattern(std::span<const Index> nodes, int per_element, Index n_nodes);

/// y = A x. Threads inside; the same bits for any number. 18 W flops and 76 B a block.
template <int W>
void multiply(const NodeMatrix& A, const NodeRows<W>& x, NodeRows<W>& y);

/// Dot product of each of the W vectors with its partner, in fixed chunks.
template <int W>
[[nodiscard]] std::array<double, W> dots(const NodeRows<W>& x, const NodeRows<W>& y);

/// Inverse of each diagonal block.
[[nodiscard]] std::vector<NodeMatrix::Block> inverse_diagonal(const NodeMatrix& A);

} // namespace cellgrade
