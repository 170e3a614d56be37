// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/stability.hpp"

#include "materials/calibration/coupon_response.hpp"

#include <Eigen/Eigenvalues>

#include <array>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double search_low = 0.2, search_high = 6.0, search_shear = 5.0;

template <class Law>
Vec3 kirchhoff(const Law& law, const Vec3& log_stretch) {
    const Mat3 F = log_stretch.array().exp().matrix().asDiagonal();
    return (law.advance(F, 0.0, {}).P * F.transpose()).diagonal();
}

template <class Law>
bool positive_tangent(const Law& law, const Vec3& log_stretch) {
    Mat3 D;
    constexpr double step = 1e-5;
    for (int j = 0; j < 3; ++j) {
        Vec3 ahead = log_stretch, behind = log_stretch;
        ahead[j] += step;
        behind[j] -= step;
        D.col(j) = (kirchhoff(law, ahead) - kirchhoff(law, behind)) / (2.0 * step);
    }
    if (!D.allFinite())
        return false;
    const Eigen::SelfAdjointEigenSolver<Mat3> solver(0.5 * (D + D.transpose()),
                                                     Eigen::EigenvaluesOnly);
    return solver.eigenvalues()[0] > 0.0;
}

} // namespace

bool is_stable(const AnyLaw& any, CouponMode mode, double stretch) {
    if (mode == CouponMode::SimpleShear) {
        const double a = std::asinh(0.5 * stretch);
        return std::visit(
            [&](const auto& law) {
                return positive_tangent(law, {a, 0.0, -a});
            },
            any);
    }
    const double side = free_stretch(any, mode, stretch);
    if (!std::isfinite(side))
        return false;
    Vec3 stretches(stretch, side, side);
    if (mode == CouponMode::Equibiaxial)
        stretches[1] = stretch;
    if (mode == CouponMode::Planar)
        stretches[1] = 1.0;
    const Vec3 logs = stretches.array().log();
    return std::visit([&](const auto& law) { return positive_tangent(law, logs); }, any);
}

namespace {

/// Walks from rest to `end` in `steps` until the law is unstable.
double limit(const AnyLaw& law, CouponMode mode, double end, int steps, bool& found) {
    const double rest = rest_stretch(mode);
    const auto at = [&](double share) { return rest == 0.0 ? share * end : std::pow(end, share); };
    found = false;
    double good = 0.0;
    for (int i = 1; i <= steps && !found; ++i) {
        const double share = static_cast<double>(i) / steps;
        found = !is_stable(law, mode, at(share));
        if (!found)
            good = share;
    }
    double bad = good + 1.0 / steps;
    for (int n = 0; n < 4 && found; ++n) {
        const double middle = 0.5 * (good + bad);
        (is_stable(law, mode, at(middle)) ? good : bad) = middle;
    }
    return at(good);
}

} // namespace

std::vector<StableRange> stable_ranges(const AnyLaw& law) {
    std::vector<StableRange> ranges;
    StableRange uniaxial{.mode = CouponMode::UniaxialTension};
    uniaxial.high = limit(law, uniaxial.mode, search_high, 180, uniaxial.high_found);
    uniaxial.low = limit(law, uniaxial.mode, search_low, 160, uniaxial.low_found);
    ranges.push_back(uniaxial);
    for (const CouponMode mode : {CouponMode::Equibiaxial, CouponMode::Planar}) {
        StableRange range{.mode = mode};
        range.high = limit(law, mode, search_high, 180, range.high_found);
        range.low =
            limit(law, mode, mode == CouponMode::Planar ? search_low : 0.45, 160, range.low_found);
        ranges.push_back(range);
    }
    StableRange shear{.mode = CouponMode::SimpleShear};
    shear.high = limit(law, shear.mode, search_shear, 500, shear.high_found);
    shear.low = -shear.high;
    shear.low_found = shear.high_found;
    ranges.push_back(shear);
    return ranges;
}

} // namespace cellgrade
