// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/corner_cycle.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/node_row.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>

namespace cellgrade {

CornerCycle::CornerCycle(const NodeMatrix& A, RigidPatches patches)
    : A_(A), patches_(std::move(patches)), smoother_(A, 4, 20.0) {
    const Index n = 6 * patches_.count();
    const std::vector<Eigen::Triplet<double>> entries = patch_matrix(A, patches_);
    Eigen::SparseMatrix<double> matrix(n, n);
    matrix.setFromTriplets(entries.begin(), entries.end());
    direct_.compute(matrix);
    if (direct_.info() != Eigen::Success)
        throw run_error("the stiffness of the solid is singular: a part of it can move freely");
}

template <int W>
void CornerCycle::apply(NodeRows<W>& r, NodeRows<W>& y) const {
    const Index n = A_.rows(), n_patches = patches_.count();
    std::fill(y.begin(), y.end(), NodeRow<W>{});
    smoother_.smooth(y, r);
    Eigen::Matrix<double, Eigen::Dynamic, W> load(6 * n_patches, W);
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index p = 0; p < n_patches; ++p) {
        Eigen::Matrix<double, 6, W> sum = Eigen::Matrix<double, 6, W>::Zero();
        for (const Index i : patches_.nodes[p])
            for (int m = 0; m < 6; ++m)
                for (int k = 0; k < 3 * W; ++k)
                    sum(m, k % W) += patches_.basis[i](k / W, m) * r[i].at[k];
        load.template middleRows<6>(6 * p) = sum;
    }
    const Eigen::Matrix<double, Eigen::Dynamic, W> motion = direct_.solve(load);
    NodeRows<W> step(y.size());
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i)
        for (int k = 0; k < 3 * W; ++k) {
            for (int m = 0; m < 6; ++m)
                step[i].at[k] +=
                    patches_.basis[i](k / W, m) * motion(6 * patches_.patch_of[i] + m, k % W);
            y[i].at[k] += step[i].at[k];
        }
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i) {
        const NodeRow<W> change = row_product(A_, step.data(), i);
        for (int k = 0; k < 3 * W; ++k)
            r[i].at[k] -= change.at[k];
    }
    smoother_.smooth(y, r);
}

template void CornerCycle::apply<1>(NodeRows<1>&, NodeRows<1>&) const;
template void CornerCycle::apply<8>(NodeRows<8>&, NodeRows<8>&) const;

} // namespace cellgrade
