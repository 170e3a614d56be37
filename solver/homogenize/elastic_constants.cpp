// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/elastic_constants.hpp"

#include "solver/core/error.hpp"

#include <Eigen/Cholesky>

#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

using Vec6 = Eigen::Matrix<double, 6, 1>;

/// a_i b_j, symmetric, as engineering strain so that S can act on its stress counterpart.
Vec6 stress_of(const Vec3& a, const Vec3& b) {
    Vec6 s;
    s << a.x() * b.x(), a.y() * b.y(), a.z() * b.z(), 0.5 * (a.y() * b.z() + a.z() * b.y()),
        0.5 * (a.x() * b.z() + a.z() * b.x()), 0.5 * (a.x() * b.y() + a.y() * b.x());
    return s;
}

Vec6 mandel_scale() {
    constexpr double q = std::numbers::sqrt2;
    Vec6 scale;
    scale << 1, 1, 1, q, q, q;
    return scale;
}

} // namespace

Mat6 compliance(const Mat6& C) {
    const Eigen::LDLT<Mat6> factor(C);
    CELLGRADE_CHECK(factor.info() == Eigen::Success && factor.isPositive() &&
                        factor.vectorD().minCoeff() > 1e-14 * C.diagonal().maxCoeff(),
                    "the stiffness tensor is not positive definite: the cell gives way freely in "
                    "some direction, so it has no compliance");
    return factor.solve(Mat6::Identity());
}

double youngs_modulus_along(const Mat6& S, const Vec3& direction) {
    const Vec3 n = direction.normalized();
    const Vec6 nn = stress_of(n, n);
    return 1.0 / nn.dot(S * nn);
}

double poisson_ratio(const Mat6& S, const Vec3& along, const Vec3& across) {
    const Vec3 n = along.normalized();
    const Vec3 m = across.normalized();
    CELLGRADE_CHECK(std::abs(n.dot(m)) < 1e-9,
                    "a Poisson ratio needs two directions at right angles; their cosine is {}",
                    n.dot(m));
    const Vec6 nn = stress_of(n, n);
    const Vec6 mm = stress_of(m, m);
    return -mm.dot(S * nn) / nn.dot(S * nn);
}

double bulk_modulus(const Mat6& S) {
    return 1.0 / S.topLeftCorner<3, 3>().sum();
}

double zener_ratio(const Mat6& C) {
    const double c11 = C.diagonal().head<3>().mean();
    const double c44 = C.diagonal().tail<3>().mean();
    const double c12 = (C(0, 1) + C(0, 2) + C(1, 2)) / 3.0;
    return 2.0 * c44 / (c11 - c12);
}

double cubic_misfit(const Mat6& C) {
    // The mean of a tensor over the cube group keeps the means of its three cubic constants and
    // nothing else.
    Mat6 cubic = Mat6::Zero();
    cubic.topLeftCorner<3, 3>().setConstant((C(0, 1) + C(0, 2) + C(1, 2)) / 3.0);
    cubic.diagonal().head<3>().setConstant(C.diagonal().head<3>().mean());
    cubic.diagonal().tail<3>().setConstant(C.diagonal().tail<3>().mean());
    return to_mandel(C - cubic).norm() / to_mandel(C).norm();
}

Mat6 to_mandel(const Mat6& C) {
    const Vec6 scale = mandel_scale();
    return scale.asDiagonal() * C * scale.asDiagonal();
}

double voigt_share(const Mat6& C, double relative_density, double youngs_modulus) {
    const Mat6 S = compliance(C);
    double stiffest = 0.0;
    for (int axis = 0; axis < 3; ++axis)
        stiffest = std::max(stiffest, youngs_modulus_along(S, Vec3::Unit(axis)));
    return stiffest / (relative_density * youngs_modulus);
}

} // namespace cellgrade
