// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/node_matrix.hpp"

#include "solver/elements/node_row.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <numeric>

namespace cellgrade {

NodeMatrix::Block& NodeMatrix::at(Index row, Index col) {
    const auto first = column.begin() + static_cast<std::ptrdiff_t>(start[row]);
    const auto last = column.begin() + static_cast<std::ptrdiff_t>(start[row + 1]);
    return block[static_cast<std::size_t>(std::lower_bound(first, last, col) - column.begin())];
}

NodeMatrix node_pattern(std::span<const Index> nodes, int per_element, Index n_nodes) {
    std::vector<std::size_t> first(static_cast<std::size_t>(n_nodes) + 1, 0);
    for (const Index n : nodes)
        ++first[static_cast<std::size_t>(n) + 1];
    std::partial_sum(first.begin(), first.end(), first.begin());
    std::vector<std::size_t> elements(nodes.size()), next(first.begin(), first.end() - 1);
    for (std::size_t i = 0; i < nodes.size(); ++i)
        elements[next[nodes[i]]++] = i / static_cast<std::size_t>(per_element);
    NodeMatrix A;
    A.start.push_back(0);
    std::vector<Index> row;
    for (Index n = 0; n < n_nodes; ++n) {
        row.clear();
        for (std::size_t i = first[n]; i < first[n + 1]; ++i) {
            const Index* own = &nodes[elements[i] * static_cast<std::size_t>(per_element)];
            row.insert(row.end(), own, own + per_element);
        }
        std::sort(row.begin(), row.end());
        row.erase(std::unique(row.begin(), row.end()), row.end());
        A.column.insert(A.column.end(), row.begin(), row.end());
        A.start.push_back(A.column.size());
    }
    A.block.assign(A.column.size(), NodeMatrix::Block{});
    return A;
}

template <int W>
void multiply(const NodeMatrix& A, const NodeRows<W>& x, NodeRows<W>& y) {
    const Index n = A.rows();
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i)
        y[i] = row_product(A, x.data(), i);
}

template <int W>
std::array<double, W> dots(const NodeRows<W>& x, const NodeRows<W>& y) {
    constexpr Index chunk = 256;
    const auto n = static_cast<Index>(x.size());
    const Index n_chunks = (n + chunk - 1) / chunk;
    std::vector<NodeRow<W>> parts(static_cast<std::size_t>(n_chunks));
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index c = 0; c < n_chunks; ++c) {
        NodeRow<W> part;
        for (Index i = c * chunk; i < std::min((c + 1) * chunk, n); ++i)
            for (int k = 0; k < 3 * W; ++k)
                part.at[k] += x[i].at[k] * y[i].at[k];
        parts[c] = part;
    }
    std::array<double, W> sum{};
    for (const NodeRow<W>& part : parts)
        for (int k = 0; k < 3 * W; ++k)
            sum[k % W] += part.at[k];
    return sum;
}

std::vector<NodeMatrix::Block> inverse_diagonal(const NodeMatrix& A) {
    using RowMajor = Eigen::Matrix<double, 3, 3, Eigen::RowMajor>;
    std::vector<NodeMatrix::Block> inverse(static_cast<std::size_t>(A.rows()));
    for (Index i = 0; i < A.rows(); ++i)
        for (std::size_t k = A.start[i]; k < A.start[i + 1]; ++k)
            if (A.column[k] == i)
                Eigen::Map<RowMajor>(inverse[i].data()) =
                    Eigen::Map<const RowMajor>(A.block[k].data()).inverse();
    return inverse;
}

template void multiply<1>(const NodeMatrix&, const NodeRows<1>&, NodeRows<1>&);
template void multiply<8>(const NodeMatrix&, const NodeRows<8>&, NodeRows<8>&);
template std::array<double, 1> dots<1>(const NodeRows<1>&, const NodeRows<1>&);
template std::array<double, 8> dots<8>(const NodeRows<8>&, const NodeRows<8>&);

} // namespace cellgrade
