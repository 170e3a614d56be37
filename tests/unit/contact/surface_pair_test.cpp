// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/surface_pair.hpp"
#include "solver/contact/triangle_distance.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <doctest/doctest.h>

namespace cellgrade {
namespace {

PairPlaces random_pair(test::Random& random) {
    PairPlaces x;
    for (Vec3& at : x)
        at = random.cube(1.0);
    return x;
}

TEST_CASE("nearest on triangle: no other point of it is nearer, by dense sampling") {
    test::Random random(3);
    constexpr int n = 60;
    for (int trial = 0; trial < 300; ++trial) {
        const PairPlaces x = random_pair(random);
        const auto w = nearest_on_triangle(x[0], x[1], x[2], x[3]);
        CHECK(w[0] >= 0.0);
        CHECK(w[1] >= 0.0);
        CHECK(w[2] >= 0.0);
        CHECK(std::abs(w[0] + w[1] + w[2] - 1.0) < 1e-14);
        const double got = (w[0] * x[1] + w[1] * x[2] + w[2] * x[3] - x[0]).norm();
        double sampled = 1e300;
        for (int i = 0; i <= n; ++i)
            for (int j = 0; i + j <= n; ++j) {
                const double u = 1.0 * i / n, v = 1.0 * j / n;
                sampled =
                    std::min(sampled, ((1 - u - v) * x[1] + u * x[2] + v * x[3] - x[0]).norm());
            }
        // The nearest sample is within a cell of the nearest point: less than 2 x 3.5/n away.
        CHECK(got <= sampled * (1 + 1e-14));
        CHECK(got > sampled - 7.0 / n);
    }
}

TEST_CASE("nearest on triangle: corners, edges and inside of a right-angled one") {
    const Vec3 a(0, 0, 0), b(1, 0, 0), c(0, 1, 0);
    const auto nearest = [&](double x, double y) {
        const auto w = nearest_on_triangle(Vec3(x, y, 0.3), a, b, c);
        return Vec3(w[0] * a + w[1] * b + w[2] * c);
    };
    CHECK((nearest(-1, -2) - a).norm() < 1e-15);
    CHECK((nearest(3, 0.5) - b).norm() < 1e-15);
    CHECK((nearest(0.2, 4) - c).norm() < 1e-15);
    CHECK((nearest(0.25, -1) - Vec3(0.25, 0, 0)).norm() < 1e-15);
    CHECK((nearest(-3, 0.5) - Vec3(0, 0.5, 0)).norm() < 1e-15);
    CHECK((nearest(1, 1) - Vec3(0.5, 0.5, 0)).norm() < 1e-15);
    CHECK((nearest(0.2, 0.3) - Vec3(0.2, 0.3, 0)).norm() < 1e-15);
}

TEST_CASE("edge weight: zero for parallel edges, one past theta_0, derivatives by differences") {
    test::Random random(5);
    const Vec3 u(2, 0, 0);
    CHECK(edge_weight(u, Vec3(-3, 0, 0)).value == 0.0);
    CHECK(edge_weight(u, Vec3(1, 0.3, 0)).value == 1.0); // sine 0.287
    const double angle = 0.5 * EdgeWeight::sin_full;     // sine of half the width: z = 1/4
    const Vec3 half(std::sqrt(1 - angle * angle), 0, angle);
    CHECK(test::rel_err(edge_weight(u, half).value, 0.4375) < 1e-14);
    for (int trial = 0; trial < 200; ++trial) {
        const Vec3 p = random.direction() * random.in(0.5, 2.0);
        const Vec3 q = random.in(0.5, 2.0) * (p.normalized() + random.cube(0.1));
        const EdgeWeight weight = edge_weight(p, q);
        for (int i = 0; i < 3; ++i) {
            const double h = 1e-7;
            const Vec3 step = h * Vec3::Unit(i);
            const double by_u =
                (edge_weight(p + step, q).value - edge_weight(p - step, q).value) / (2 * h);
            const double by_v =
                (edge_weight(p, q + step).value - edge_weight(p, q - step).value) / (2 * h);
            // w is of size 1 over lengths of 0.1: slopes of 10, curvature jumps of 100.
            CHECK(std::abs(by_u - weight.by_u[i]) < 1e-4);
            CHECK(std::abs(by_v - weight.by_v[i]) < 1e-4);
        }
    }
}

TEST_CASE("pair slide: rigid motion does not slide, forces balance and do the work T . slide") {
    test::Random random(7);
    for (int trial = 0; trial < 200; ++trial) {
        const PairPlaces x = random_pair(random);
        const auto kind =
            trial % 2 == 0 ? SurfacePair::Kind::VertexTriangle : SurfacePair::Kind::EdgeEdge;
        const NearestPoints near = nearest_points(kind, x);
        const PairSlide slide(x, near);
        const Vec3 v0 = random.cube(1.0), omega = random.cube(1.0);
        PairPlaces rigid, any;
        for (int i = 0; i < 4; ++i) {
            rigid[i] = v0 + omega.cross(x[i]);
            any[i] = random.cube(1.0);
        }
        CHECK(slide.rate(rigid).norm() < 1e-12);
        Vec3 traction = random.cube(1.0);
        traction -= slide.normal.dot(traction) * slide.normal;
        Vec3 force = Vec3::Zero(), moment = Vec3::Zero();
        double work = 0.0;
        const PairPlaces forces = slide.forces(traction);
        for (int i = 0; i < 4; ++i) {
            const Vec3& f = forces[i];
            force += f;
            moment += x[i].cross(f);
            work += f.dot(any[i]);
        }
        CHECK(force.norm() < 1e-13);
        CHECK(moment.norm() < 1e-12);
        CHECK(std::abs(work - traction.dot(slide.rate(any))) < 1e-12);
    }
}

} // namespace
} // namespace cellgrade
