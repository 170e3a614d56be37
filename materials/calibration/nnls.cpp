// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/nnls.hpp"

#include <Eigen/QR>

#include <vector>

namespace cellgrade {

namespace {

using Set = std::vector<Eigen::Index>;

/// Unbounded solution on the columns of the set, 0 elsewhere.
Eigen::VectorXd solve_on(const Eigen::MatrixXd& A, const Eigen::VectorXd& b, const Set& set) {
    Eigen::MatrixXd part(A.rows(), static_cast<Eigen::Index>(set.size()));
    for (std::size_t k = 0; k < set.size(); ++k)
        part.col(static_cast<Eigen::Index>(k)) = A.col(set[k]);
    const Eigen::VectorXd z = part.colPivHouseholderQr().solve(b);
    Eigen::VectorXd x = Eigen::VectorXd::Zero(A.cols());
    for (std::size_t k = 0; k < set.size(); ++k)
        x[set[k]] = z[static_cast<Eigen::Index>(k)];
    return x;
}

/// Moves x towards the unbounded solution until that is positive on the set.
void step_inside(const Eigen::MatrixXd& A, const Eigen::VectorXd& b, Set& set, Eigen::VectorXd& x) {
    while (!set.empty()) {
        const Eigen::VectorXd z = solve_on(A, b, set);
        double share = 1.0;
        for (const Eigen::Index k : set)
            if (z[k] <= 0.0)
                share = std::min(share, x[k] / (x[k] - z[k]));
        x += share * (z - x);
        if (share >= 1.0)
            return;
        std::erase_if(set, [&](Eigen::Index k) {
            const bool out = z[k] <= 0.0 && x[k] <= 1e-14 * x.maxCoeff();
            if (out)
                x[k] = 0.0;
            return out;
        });
    }
}

} // namespace

Eigen::VectorXd non_negative_least_squares(const Eigen::MatrixXd& A, const Eigen::VectorXd& b) {
    Eigen::VectorXd x = Eigen::VectorXd::Zero(A.cols());
    Set set;
    const double least = 1e-12 * A.norm() * b.norm();
    std::vector<bool> refused(static_cast<std::size_t>(A.cols()), false);
    for (Eigen::Index n = 0; n < 3 * A.cols() + 100; ++n) {
        const Eigen::VectorXd gradient = A.transpose() * (b - A * x);
        Eigen::Index best = -1;
        for (Eigen::Index k = 0; k < A.cols(); ++k)
            if (x[k] == 0.0 && !refused[static_cast<std::size_t>(k)] && gradient[k] > least &&
                (best < 0 || gradient[k] > gradient[best]))
                best = k;
        if (best < 0)
            break;
        set.push_back(best);
        // A column that round-off lets in only to leave at once would come back for ever.
        if (solve_on(A, b, set)[best] <= 0.0) {
            set.pop_back();
            refused[static_cast<std::size_t>(best)] = true;
            continue;
        }
        refused.assign(refused.size(), false);
        step_inside(A, b, set, x);
    }
    return x;
}

} // namespace cellgrade
