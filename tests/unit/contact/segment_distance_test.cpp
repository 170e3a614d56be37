// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/segment_distance.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <doctest/doctest.h>

#include <algorithm>

namespace cellgrade {
namespace {

struct Pair {
    Vec3 d0, u, v;
};

double squared_objective(const Pair& x, double s, double t, double w) {
    return (x.d0 + s * x.u - t * x.v).squaredNorm() +
           w * ((s - 0.5) * (s - 0.5) + (t - 0.5) * (t - 0.5));
}

std::vector<Pair> cases() {
    test::Random random(11);
    std::vector<Pair> all;
    for (int k = 0; k < 300; ++k)
        all.push_back({random.cube(1.5), random.cube(1.0), random.cube(1.0)});
    for (int k = 0; k < 50; ++k) { // parallel, antiparallel, collinear
        const Vec3 u = random.direction();
        all.push_back({random.cube(1.0), u, u});
        all.push_back({random.cube(1.0), u, -u});
        all.push_back({2.0 * u, u, u});
    }
    all.push_back({Vec3(1, 0, 0), Vec3::Zero(), Vec3(0, 1, 0)}); // degenerate
    all.push_back({Vec3(1, 0, 0), Vec3::Zero(), Vec3::Zero()});
    return all;
}

TEST_CASE("segment distance: agrees with a search over the unit square") {
    // Oracle: the objective on a 60 x 60 grid is nowhere below D^2, and its least value exceeds D^2
    // by no more than the quadratic can rise over half a grid step, |H| h^2 / 4.
    const double w = 0.015;
    for (const Pair& x : cases()) {
        const ClosestPoints c = closest_points(x.d0, x.u, x.v, w);
        CHECK(c.s >= 0.0);
        CHECK(c.s <= 1.0);
        CHECK(c.t >= 0.0);
        CHECK(c.t <= 1.0);
        const double best = c.distance * c.distance;
        CHECK(std::abs(best - squared_objective(x, c.s, c.t, w)) < 1e-14 * (1.0 + best));
        double least = 1e300;
        constexpr int n = 60;
        for (int i = 0; i <= n; ++i)
            for (int j = 0; j <= n; ++j)
                least = std::min(least, squared_objective(x, double(i) / n, double(j) / n, w));
        CHECK(least >= best * (1.0 - 1e-13));
        // On the face the optimum lies on, a step h/2 along each free axis from the optimum.
        const double curvature = (x.u.norm() + x.v.norm()) * (x.u.norm() + x.v.norm()) + 2.0 * w;
        CHECK(least - best <= curvature * 0.25 / (n * n) + 1e-13);
    }
}

TEST_CASE("segment distance: closest places are continuous as rods turn through parallel") {
    // The unregularised closest points jump from end to end here.
    const double w = 0.015;
    double last_s = -1.0;
    for (int k = -1000; k <= 1000; ++k) {
        const double angle = 0.3 * k / 1000.0;
        const Vec3 v(std::cos(angle), std::sin(angle), 0.0);
        const ClosestPoints c = closest_points(Vec3(-0.5, 0.0, 0.4) + 0.5 * v, Vec3(1, 0, 0), v, w);
        CHECK(std::abs(c.s - 0.5) < 1e-9); // by symmetry
        const ClosestPoints off =
            closest_points(Vec3(-0.3, 0.1, 0.4) + 0.5 * v, Vec3(1, 0, 0), v, w);
        if (last_s >= 0.0)
            CHECK(std::abs(off.s - last_s) < 0.01);
        last_s = off.s;
    }
}

TEST_CASE("segment distance: exceeds the true distance by at most w/4d") {
    const double w = 0.015;
    for (const Pair& x : cases()) {
        const double regularised = closest_points(x.d0, x.u, x.v, w).distance;
        const double true_distance = closest_points(x.d0, x.u, x.v, 1e-13).distance;
        CHECK(regularised >= true_distance * (1.0 - 1e-9));
        if (true_distance > 1e-3)
            CHECK(regularised - true_distance <= w / (4.0 * true_distance) + 1e-9);
    }
}

} // namespace
} // namespace cellgrade
