// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_cycle.hpp"

#include "solver/elements/node_row.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <numeric>

namespace cellgrade {

TetCycle::TetCycle(const NodeMatrix& A,
                   const CornerCycle& corners,
                   EdgeParents parents,
                   std::vector<char> held)
    : A_(A), corners_(corners), parents_(std::move(parents)), held_(std::move(held)),
      smoother_(A, 2, 8.0) {
    first_middle_.assign(static_cast<std::size_t>(parents_.n_corners) + 1, 0);
    for (const auto& pair : parents_.of)
        for (const Index corner : pair)
            ++first_middle_[static_cast<std::size_t>(corner) + 1];
    std::partial_sum(first_middle_.begin(), first_middle_.end(), first_middle_.begin());
    middles_.resize(2 * parents_.of.size());
    std::vector<std::size_t> next(first_middle_.begin(), first_middle_.end() - 1);
    for (std::size_t m = 0; m < parents_.of.size(); ++m)
        for (const Index corner : parents_.of[m])
            middles_[next[corner]++] = parents_.n_corners + static_cast<Index>(m);
}

template <int W>
NodeRows<W> TetCycle::to_corners(const NodeRows<W>& r) const {
    const Index n = parents_.n_corners;
    NodeRows<W> sums(static_cast<std::size_t>(n));
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index c = 0; c < n; ++c) {
        NodeRow<W> sum = r[c];
        for (std::size_t i = first_middle_[c]; i < first_middle_[c + 1]; ++i)
            for (int k = 0; k < 3 * W; ++k)
                sum.at[k] += 0.5 * r[middles_[i]].at[k];
        for (int k = 0; k < 3 * W; ++k)
            sums[c].at[k] = held_[3 * static_cast<std::size_t>(c) + k / W] ? 0.0 : sum.at[k];
    }
    return sums;
}

template <int W>
void TetCycle::apply(NodeRows<W>& r, NodeRows<W>& z) const {
    const Index n = A_.rows(), n_corners = parents_.n_corners;
    std::fill(z.begin(), z.end(), NodeRow<W>{});
    smoother_.smooth(z, r);
    NodeRows<W> load = to_corners(r), moved(static_cast<std::size_t>(n_corners)), step(z.size());
    corners_.apply(load, moved);
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i) {
        const std::array<Index, 2> ends =
            i < n_corners ? std::array{i, i} : parents_.of[i - n_corners];
        for (int k = 0; k < 3 * W; ++k) {
            if (!held_[3 * static_cast<std::size_t>(i) + k / W])
                step[i].at[k] = 0.5 * (moved[ends[0]].at[k] + moved[ends[1]].at[k]);
            z[i].at[k] += step[i].at[k];
        }
    }
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i) {
        const NodeRow<W> change = row_product(A_, step.data(), i);
        for (int k = 0; k < 3 * W; ++k)
            r[i].at[k] -= change.at[k];
    }
    smoother_.smooth(z, r);
}

template void TetCycle::apply<1>(NodeRows<1>&, NodeRows<1>&) const;
template void TetCycle::apply<8>(NodeRows<8>&, NodeRows<8>&) const;

} // namespace cellgrade
