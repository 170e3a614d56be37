// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/friction_kernel.hpp"
#include "solver/contact/pair_kernel.hpp"
#include "solver/contact/penalty.hpp"
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

using Kind = SurfacePair::Kind;

lane::Vector<double> vector_of(const Vec3& x) {
    return {x.x(), x.y(), x.z()};
}
Vec3 vec3_of(const lane::Vector<double>& x) {
    return {x.x, x.y, x.z};
}
lane::PairVectors<double> vectors_of(const PairPlaces& x) {
    return {vector_of(x[0]), vector_of(x[1]), vector_of(x[2]), vector_of(x[3])};
}

std::array<double, 3>
nearest_on_triangle(const Vec3& x, const Vec3& a, const Vec3& b, const Vec3& c) {
    return lane::nearest_on_triangle(vector_of(x), vector_of(a), vector_of(b), vector_of(c));
}

lane::EdgeWeight<double> edge_weight(const Vec3& u, const Vec3& v) {
    return lane::edge_weight(vector_of(u), vector_of(v));
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
    const double angle =
        0.5 * lane::EdgeWeight<double>::sin_full; // sine of half the width: z = 1/4
    const Vec3 half(std::sqrt(1 - angle * angle), 0, angle);
    CHECK(test::rel_err(edge_weight(u, half).value, 0.4375) < 1e-14);
    for (int trial = 0; trial < 200; ++trial) {
        const Vec3 p = random.direction() * random.in(0.5, 2.0);
        const Vec3 q = random.in(0.5, 2.0) * (p.normalized() + random.cube(0.1));
        const lane::EdgeWeight<double> weight = edge_weight(p, q);
        for (int i = 0; i < 3; ++i) {
            const double h = 1e-7;
            const Vec3 step = h * Vec3::Unit(i);
            const double by_u =
                (edge_weight(p + step, q).value - edge_weight(p - step, q).value) / (2 * h);
            const double by_v =
                (edge_weight(p, q + step).value - edge_weight(p, q - step).value) / (2 * h);
            // w is of size 1 over lengths of 0.1: slopes of 10, curvature jumps of 100.
            CHECK(std::abs(by_u - vec3_of(weight.by_u)[i]) < 1e-4);
            CHECK(std::abs(by_v - vec3_of(weight.by_v)[i]) < 1e-4);
        }
    }
}

TEST_CASE("pair slide: rigid motion does not slide, forces balance and do the work T . slide") {
    test::Random random(7);
    for (int trial = 0; trial < 200; ++trial) {
        const PairPlaces x = random_pair(random);
        const lane::PairVectors<double> at = vectors_of(x);
        const lane::Nearest<double> near = trial % 2 == 0
                                               ? lane::nearest_points<Kind::VertexTriangle>(at)
                                               : lane::nearest_points<Kind::EdgeEdge>(at);
        const lane::PairSlide<double> slide(at, near);
        const Vec3 v0 = random.cube(1.0), omega = random.cube(1.0);
        PairPlaces rigid, any;
        for (int i = 0; i < 4; ++i) {
            rigid[i] = v0 + omega.cross(x[i]);
            any[i] = random.cube(1.0);
        }
        CHECK(vec3_of(slide.rate(vectors_of(rigid))).norm() < 1e-12);
        Vec3 traction = random.cube(1.0);
        const Vec3 normal = vec3_of(slide.normal);
        traction -= normal.dot(traction) * normal;
        Vec3 force = Vec3::Zero(), moment = Vec3::Zero();
        double work = 0.0;
        const lane::PairVectors<double> forces = slide.forces(vector_of(traction));
        for (int i = 0; i < 4; ++i) {
            const Vec3 f = vec3_of(forces[i]);
            force += f;
            moment += x[i].cross(f);
            work += f.dot(any[i]);
        }
        CHECK(force.norm() < 1e-13);
        CHECK(moment.norm() < 1e-12);
        CHECK(std::abs(work - traction.dot(vec3_of(slide.rate(vectors_of(any))))) < 1e-12);
    }
}

/// Everything that the step takes from a pair, one number after another.
template <Kind kind, class S>
std::vector<S> everything(const lane::PairVectors<S>& x, const lane::Vector<S>& spring) {
    std::vector<S> all;
    const auto add = [&](const lane::Vector<S>& v) { all.insert(all.end(), {v.x, v.y, v.z}); };
    const auto near = lane::nearest_points<kind>(x);
    all.insert(all.end(), near.share.begin(), near.share.end());
    all.push_back(near.distance);
    const auto weight = lane::edge_weight<S>(x[1] - x[0], x[3] - x[2]);
    all.push_back(weight.value);
    add(weight.by_u);
    add(weight.by_v);
    const lane::PairSlide<S> slide(x, near);
    const auto turned = lane::turned_into_plane(spring, slide.normal);
    add(turned);
    const auto step = lane::advance_spring<S>(turned, slide.rate(x), S(2.0), S(0.3));
    add(step.elongation);
    all.push_back(step.dissipation);
    for (const auto& f : slide.forces(step.elongation))
        add(f);
    const PenaltyOf<S> penalty{.stiffness = S(3.0), .cap = 2.0 * near.distance + 0.1};
    all.push_back(penalty.force(near.distance));
    all.push_back(penalty.energy(near.distance));
    all.push_back(penalty.tangent(near.distance));
    return all;
}

template <Kind kind>
void compare_lanes(test::Random& random) {
    constexpr int width = lanes_of<Pack>;
    for (int trial = 0; trial < 300; ++trial) {
        std::array<PairPlaces, width> pairs;
        alignas(64) std::array<std::array<double, width>, 15> parts{};
        for (int lane = 0; lane < width; ++lane) {
            pairs[lane] = random_pair(random);
            if (random.in(0.0, 1.0) < 0.3) // edges side by side, or a vertex over a corner
                pairs[lane][3] = pairs[lane][2] + 0.5 * (pairs[lane][1] - pairs[lane][0]) +
                                 1e-3 * random.cube(1.0);
            for (int i = 0; i < 4; ++i)
                for (int axis = 0; axis < 3; ++axis)
                    parts[3 * i + axis][lane] = pairs[lane][i][axis];
            for (int axis = 0; axis < 3; ++axis)
                parts[12 + axis][lane] = random.in(-0.2, 0.2);
        }
        const auto vector = [&](int i) {
            return lane::Vector<Pack>(load_lanes<Pack>(parts[3 * i].data()),
                                      load_lanes<Pack>(parts[3 * i + 1].data()),
                                      load_lanes<Pack>(parts[3 * i + 2].data()));
        };
        const std::vector<Pack> got =
            everything<kind, Pack>({vector(0), vector(1), vector(2), vector(3)}, vector(4));
        for (int lane = 0; lane < width; ++lane) {
            const std::vector<double> exact = everything<kind, double>(
                vectors_of(pairs[lane]), {parts[12][lane], parts[13][lane], parts[14][lane]});
            REQUIRE(got.size() == exact.size());
            double scale = 1.0;
            for (const double value : exact)
                scale = std::max(scale, std::abs(value));
            for (std::size_t i = 0; i < exact.size(); ++i)
                CHECK(std::abs(got[i][lane] - exact[i]) < 1e-9 * scale);
        }
    }
}

// Both do the same operations but for fused ones: a rounding of 1e-16, times the cancellation in
// the places of edges that are parallel to 1e-3 (its square), leaves 1e-9 of the largest value.
TEST_CASE("pairs on lanes: each lane does what the scalar kernel does") {
    test::Random random(11);
    compare_lanes<Kind::VertexTriangle>(random);
    compare_lanes<Kind::EdgeEdge>(random);
}

} // namespace
} // namespace cellgrade
