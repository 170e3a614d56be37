// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/rotation.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <Eigen/Geometry>

using namespace cellgrade;

TEST_CASE("exponential: equals the axis-angle quaternion of Eigen, on both sides of the branch") {
    const Vec3 axis = Vec3(0.3, -0.5, 0.7).normalized();
    for (const double angle : {1e-12, 1e-3, 0.2, 0.4999, 0.5001, 1.0, 3.0, 6.0}) {
        const Quat q = exponential(angle * axis);
        const Eigen::Quaterniond want(Eigen::AngleAxisd(angle, axis));
        CHECK(std::abs(q.w - want.w()) < 1e-15);
        CHECK((q.vector() - want.vec()).norm() < 1e-15);
    }
}

TEST_CASE("rotate: equals the rotation matrix of Eigen, and rotate_back undoes it") {
    const Eigen::Quaterniond e(Eigen::AngleAxisd(1.1, Vec3(1.0, 2.0, -0.5).normalized()));
    const Quat q{e.w(), e.x(), e.y(), e.z()};
    const Vec3 u(0.2, -0.7, 0.4);
    CHECK((rotate(q, u) - e.toRotationMatrix() * u).norm() < 1e-15);
    CHECK((rotate_back(q, rotate(q, u)) - u).norm() < 1e-15);
    const Quat p = exponential(Vec3(0.1, 0.2, 0.3));
    CHECK((rotate(q * p, u) - rotate(q, rotate(p, u))).norm() < 1e-15);
}
