// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/fit_intervals.hpp"

#include "materials/calibration/student_t.hpp"

#include <Eigen/SVD>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double least_singular = 1e-3;

std::string direction_text(const Eigen::VectorXd& direction, const std::vector<std::string>& keys) {
    std::string names;
    int named = 0;
    for (Eigen::Index k = 0; k < direction.size(); ++k)
        if (std::abs(direction[k]) > 0.3) {
            names += (names.empty() ? "" : " and ") + keys[static_cast<std::size_t>(k)];
            ++named;
        }
    return named == 1
               ? fmt::format("{} hardly moves the curves: the data do not determine it", names)
               : fmt::format("{} can be exchanged for one another: the data determine a "
                             "combination of them, not each",
                             names);
}

/// Covariance that each curve's scatter gives to the variables, and its degrees of freedom.
struct CurveShare {
    Eigen::MatrixXd covariance;
    double freedom;
};

std::vector<CurveShare> curve_shares(const LeastSquares& s,
                                     const Eigen::MatrixXd& inverse,
                                     const std::vector<Eigen::Index>& ends) {
    std::vector<CurveShare> shares;
    Eigen::Index first = 0;
    for (const Eigen::Index end : ends) {
        const Eigen::Index rows = end - first;
        const auto J = s.jacobian.middleRows(first, rows);
        const Eigen::MatrixXd normal = J.transpose() * J;
        const double spent = (inverse * normal).trace();
        const double freedom = std::max(1.0, static_cast<double>(rows) - spent);
        const double variance = s.residual.segment(first, rows).squaredNorm() / freedom;
        shares.push_back({variance * inverse * normal * inverse, freedom});
        first = end;
    }
    return shares;
}

/// Satterthwaite's degrees of freedom of a variance summed over curves.
double joint_freedom(const std::vector<CurveShare>& shares, Eigen::Index k) {
    double sum = 0.0, squares = 0.0;
    for (const CurveShare& share : shares) {
        sum += share.covariance(k, k);
        squares += share.covariance(k, k) * share.covariance(k, k) / share.freedom;
    }
    return squares > 0.0 ? std::max(1.0, sum * sum / squares) : 1.0;
}

} // namespace

FitIntervals fit_intervals(const std::vector<FitVariable>& variables,
                           const std::vector<std::string>& keys,
                           const LeastSquares& solution,
                           const std::vector<Eigen::Index>& ends,
                           double level) {
    const Eigen::Index p = solution.natural.size();
    FitIntervals out;
    const Eigen::VectorXd length = solution.jacobian.colwise().norm();
    const double longest = p > 0 ? length.maxCoeff() : 0.0;
    Eigen::VectorXd scale(p);
    for (Eigen::Index k = 0; k < p; ++k)
        scale[k] = length[k] > 1e-9 * longest ? 1.0 / length[k] : 0.0;
    const Eigen::MatrixXd unit = solution.jacobian * scale.asDiagonal();
    const Eigen::JacobiSVD<Eigen::MatrixXd> svd(unit, Eigen::ComputeThinU | Eigen::ComputeThinV);
    Eigen::MatrixXd inverse = Eigen::MatrixXd::Zero(p, p); // of unit^T unit
    Eigen::VectorXd lost = Eigen::VectorXd::Zero(p);       // share of each variable in lost ones
    for (Eigen::Index d = 0; d < p; ++d) {
        const double sigma = svd.singularValues()[d];
        const Eigen::VectorXd direction = svd.matrixV().col(d);
        if (sigma > least_singular * svd.singularValues()[0]) {
            inverse += direction * direction.transpose() / (sigma * sigma);
            continue;
        }
        lost += direction.cwiseAbs2();
        out.undetermined.push_back(direction_text(direction, keys));
    }
    inverse = scale.asDiagonal() * inverse * scale.asDiagonal();
    const std::vector<CurveShare> shares = curve_shares(solution, inverse, ends);
    out.covariance = Eigen::MatrixXd::Zero(p, p);
    for (const CurveShare& share : shares)
        out.covariance += share.covariance;
    const Eigen::VectorXd deviation = out.covariance.diagonal().cwiseMax(0.0).cwiseSqrt();
    out.correlation = Eigen::MatrixXd::Identity(p, p);
    for (Eigen::Index k = 0; k < p; ++k) {
        const FitVariable& v = variables[static_cast<std::size_t>(k)];
        const bool determined = lost[k] < 0.09; // the 0.3 of direction_text, squared
        const double half = determined
                                ? student_t_factor(level, joint_freedom(shares, k)) * deviation[k]
                                : HUGE_VAL;
        out.low.push_back(v.value(solution.natural[k] - half));
        out.high.push_back(v.value(solution.natural[k] + half));
        out.determined.push_back(determined);
        for (Eigen::Index j = 0; j < p; ++j)
            if (j != k && deviation[k] > 0.0 && deviation[j] > 0.0)
                out.correlation(k, j) = out.covariance(k, j) / (deviation[k] * deviation[j]);
    }
    return out;
}

} // namespace cellgrade
