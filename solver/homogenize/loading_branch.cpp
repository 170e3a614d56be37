// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/loading_branch.hpp"

#include "solver/core/error.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

constexpr double not_reached = std::numeric_limits<double>::quiet_NaN();

void check_curve(const CrushCurve& curve) {
    const std::size_t n = curve.nominal_strain.size();
    CELLGRADE_CHECK(n == curve.nominal_stress_Pa.size(),
                    "crush curve has {} strains but {} stresses", n,
                    curve.nominal_stress_Pa.size());
    CELLGRADE_CHECK(curve.turn >= 0 && static_cast<std::size_t>(curve.turn) <= n,
                    "crush curve turns at row {}, but has {} rows", curve.turn, n);
    for (std::size_t i = 0; i < n; ++i)
        CELLGRADE_CHECK(std::isfinite(curve.nominal_strain[i]) &&
                            std::isfinite(curve.nominal_stress_Pa[i]),
                        "crush curve row {}: strain {} and stress {} Pa must be finite", i,
                        curve.nominal_strain[i], curve.nominal_stress_Pa[i]);
}

} // namespace

LoadingBranch::LoadingBranch(const CrushCurve& curve) {
    check_curve(curve);
    for (Index i = 0; i < curve.turn; ++i) {
        const double strain = curve.nominal_strain[i];
        if (strain_.empty() && strain > 0.0) {
            strain_.push_back(0.0);
            stress_.push_back(0.0);
        }
        if (strain < 0.0 || (!strain_.empty() && strain <= strain_.back()))
            continue;
        strain_.push_back(strain);
        stress_.push_back(curve.nominal_stress_Pa[i]);
    }
    CELLGRADE_CHECK(strain_.size() >= 2,
                    "crush curve never rises above strain 0 in its {} loading rows", curve.turn);
    energy_.assign(strain_.size(), 0.0);
    for (std::size_t i = 1; i < strain_.size(); ++i)
        energy_[i] =
            energy_[i - 1] + 0.5 * (stress_[i] + stress_[i - 1]) * (strain_[i] - strain_[i - 1]);
}

std::size_t LoadingBranch::segment(double strain) const {
    const auto above = std::upper_bound(strain_.begin() + 1, strain_.end() - 1, strain);
    return static_cast<std::size_t>(above - strain_.begin()) - 1;
}

double LoadingBranch::stress_at(double strain) const {
    if (!(strain >= 0.0 && strain <= last_strain()))
        return not_reached;
    const std::size_t i = segment(strain);
    const double t = (strain - strain_[i]) / (strain_[i + 1] - strain_[i]);
    return (1.0 - t) * stress_[i] + t * stress_[i + 1];
}

double LoadingBranch::energy_to(double strain) const {
    if (!(strain >= 0.0 && strain <= last_strain()))
        return not_reached;
    const std::size_t i = segment(strain);
    return energy_[i] + 0.5 * (stress_[i] + stress_at(strain)) * (strain - strain_[i]);
}

double LoadingBranch::largest_stress_to(double strain) const {
    double largest = stress_at(strain);
    for (std::size_t i = 0; i < strain_.size() && strain_[i] <= strain; ++i)
        largest = std::max(largest, stress_[i]);
    return largest;
}

double LoadingBranch::smooth_stress(double strain, double half_width, int degree) const {
    const auto first = std::lower_bound(strain_.begin(), strain_.end(), strain - half_width);
    const auto last = std::upper_bound(first, strain_.end(), strain + half_width);
    if (last - first < degree + 2)
        return stress_at(strain);
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    const std::size_t n = strain_.size();
    for (auto it = first; it != last; ++it) {
        const std::size_t i = static_cast<std::size_t>(it - strain_.begin());
        const double width = strain_[std::min(i + 1, n - 1)] - strain_[i > 0 ? i - 1 : 0];
        const double x = (*it - strain) / half_width;
        const Eigen::Vector3d powers(1.0, x, degree > 1 ? x * x : 0.0);
        normal += width * powers * powers.transpose();
        right += width * stress_[i] * powers;
    }
    if (degree < 2)
        normal(2, 2) = 1.0; // the unused coefficient stays zero
    return Eigen::LDLT<Eigen::Matrix3d>(normal).solve(right)(0);
}

} // namespace cellgrade
