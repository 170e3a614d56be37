// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/fillet.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace cellgrade;

namespace {

/// Least |v| with n_i . v >= radius - d_i by Hildreth's row action, an independent slow solver.
double shortest_move(const std::vector<NearSurface>& near, double radius) {
    Vec3 v = Vec3::Zero();
    std::vector<double> force(near.size(), 0.0);
    for (int round = 0; round < 20000; ++round)
        for (std::size_t i = 0; i < near.size(); ++i) {
            const double lack = radius - near[i].distance - near[i].normal.dot(v);
            const double change = std::max(lack, -force[i]);
            force[i] += change;
            v += change * near[i].normal;
        }
    return v.norm();
}

} // namespace

TEST_CASE("fillet: two planes at any angle get a circle that touches both") {
    // Exact: the circle of radius rho in a corner of angle 2 h has its centre at rho / sin h from
    // the corner on the bisector; its nearest point there is rho (1 / sin h - 1) away.
    const double rho = 0.4;
    for (const double half : {0.3, 0.5, 0.785398163, 1.2}) {
        CAPTURE(half);
        const Vec3 n1(std::sin(half), std::cos(half), 0);
        const Vec3 n2(std::sin(half), -std::cos(half), 0);
        // a point on the bisector, at the fillet: distance to each plane x sin(half)
        const double x = rho * (1.0 / std::sin(half) - 1.0);
        const double d = x * std::sin(half);
        const std::vector<NearSurface> near = {{n1, d}, {n2, d}};
        CHECK(std::abs(rolling_ball_union(near, rho)) < 1e-12);
        // off the bisector: every point of the circle
        const Vec3 centre(rho / std::sin(half), 0, 0);
        const double turn = 0.3 * (1.5707963 - half);
        const Vec3 p = centre - rho * Vec3(std::cos(turn), std::sin(turn), 0);
        const std::vector<NearSurface> at_p = {{n1, n1.dot(p)}, {n2, n2.dot(p)}};
        CHECK(std::abs(rolling_ball_union(at_p, rho)) < 1e-12);
    }
}

TEST_CASE("fillet: one surface, parallel ones and far ones change nothing") {
    const Vec3 n = Vec3(1, 2, 2) / 3.0;
    const std::vector<NearSurface> one = {{n, 0.2}};
    CHECK(test::rel_err(rolling_ball_union(one, 0.4), 0.2) < 1e-14);
    const std::vector<NearSurface> in_line = {{n, 0.2}, {n, 0.2}, {n, 0.3}};
    CHECK(test::rel_err(rolling_ball_union(in_line, 0.4), 0.2) < 1e-12);
    const std::vector<NearSurface> far = {{n, 0.5}, {-n, 0.6}};
    CHECK(rolling_ball_union(far, 0.4) == 0.5);
}

TEST_CASE("fillet: a gap narrower than the ball is filled") {
    const Vec3 n = Vec3::UnitZ();
    CHECK(rolling_ball_union(std::vector<NearSurface>{{n, 0.3}, {-n, 0.3}}, 0.4) < 0.0);
    CHECK(rolling_ball_union(std::vector<NearSurface>{{n, 0.3}, {-n, 0.9}}, 0.4) > 0.0);
}

TEST_CASE("fillet: the active set finds what a slow row action finds, with many surfaces") {
    std::mt19937 bits(7);
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> unit;
    for (int trial = 0; trial < 60; ++trial) {
        std::vector<NearSurface> near;
        for (int k = 0; k < 2 + trial % 10; ++k) {
            Vec3 n(normal(bits), normal(bits), std::abs(normal(bits)) + 0.8); // a common way out
            near.push_back({n.normalized(), 0.1 + unit(bits)});
        }
        const double got = rolling_ball_union(near, 1.0);
        const double want = 1.0 - shortest_move(near, 1.0);
        CAPTURE(trial);
        if (want > -1.0)
            CHECK(std::abs(got - want) < 1e-6); // the row action stops short
        else
            CHECK(got == -1.0);
    }
}
