// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/chebyshev_smoother.hpp"

#include "solver/elements/node_row.hpp"
#include "solver/elements/thread_count.hpp"

#include <cmath>

namespace cellgrade {

namespace {

/// Largest eigenvalue of D^-1 A by power iteration from a fixed start, a few per cent low.
double largest_eigenvalue(const NodeMatrix& A, const std::vector<NodeMatrix::Block>& inverse) {
    NodeRows<1> x(static_cast<std::size_t>(A.rows())), y(x.size());
    for (std::size_t i = 0; i < x.size(); ++i)
        for (std::size_t k = 0; k < 3; ++k)
            x[i].at[k] = std::sin(1.0 + 1.7 * static_cast<double>(3 * i + k)); // of no symmetry
    double largest = 0.0;
    for (int round = 0; round < 15; ++round) {
        multiply(A, x, y);
        const double before = std::sqrt(dots(x, x)[0]);
        for (std::size_t i = 0; i < x.size(); ++i) {
            x[i] = {};
            add_product(x[i], inverse[i], y[i]);
        }
        largest = std::sqrt(dots(x, x)[0]) / before;
    }
    return largest;
}

} // namespace

ChebyshevSmoother::ChebyshevSmoother(const NodeMatrix& A, int terms, double span)
    : A_(A), inverse_(inverse_diagonal(A)), terms_(terms) {
    high_ = 1.1 * largest_eigenvalue(A, inverse_); // above what the iteration misses
    low_ = high_ / span;
}

template <int W>
void ChebyshevSmoother::smooth(NodeRows<W>& x, NodeRows<W>& r) const {
    const double theta = 0.5 * (high_ + low_), delta = 0.5 * (high_ - low_);
    const double sigma = theta / delta;
    const Index n = A_.rows();
    NodeRows<W> step(x.size()), next(x.size());
    double rho = 1.0 / sigma, keep = 0.0, take = 1.0 / theta;
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i) {
        NodeRow<W> scaled;
        add_product(scaled, inverse_[i], r[i]);
        for (int k = 0; k < 3 * W; ++k)
            x[i].at[k] += step[i].at[k] = take * scaled.at[k];
    }
    for (int term = 1; term <= terms_; ++term) {
        const double rho_next = 1.0 / (2.0 * sigma - rho);
        keep = rho_next * rho;
        take = 2.0 * rho_next / delta;
        rho = rho_next;
#pragma omp parallel for schedule(static) if (n > small_job)
        for (Index i = 0; i < n; ++i) {
            const NodeRow<W> change = row_product(A_, step.data(), i);
            for (int k = 0; k < 3 * W; ++k)
                r[i].at[k] -= change.at[k];
            if (term == terms_)
                continue;
            NodeRow<W> scaled;
            add_product(scaled, inverse_[i], r[i]);
            for (int k = 0; k < 3 * W; ++k)
                x[i].at[k] += next[i].at[k] = keep * step[i].at[k] + take * scaled.at[k];
        }
        step.swap(next);
    }
}

template void ChebyshevSmoother::smooth<1>(NodeRows<1>&, NodeRows<1>&) const;
template void ChebyshevSmoother::smooth<8>(NodeRows<8>&, NodeRows<8>&) const;

} // namespace cellgrade
