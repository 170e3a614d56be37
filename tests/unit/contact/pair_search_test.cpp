// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/pair_search.hpp"
#include "solver/contact/segment_distance.hpp"
#include "solver/contact/strut_contact.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <doctest/doctest.h>

#include <algorithm>

namespace cellgrade {
namespace {

constexpr double eps = 0.015;

Vec3 shift_by(const PairKey& key, const Vec3& box) {
    return {key.shift[0] * box[0], key.shift[1] * box[1], key.shift[2] * box[2]};
}

double
regularised_distance(std::span<const Capsule> capsules, const PairKey& key, const Vec3& box) {
    const Capsule &a = capsules[key.first], &b = capsules[key.second];
    return closest_points(a.start() - b.start() - shift_by(key, box), a.along(), b.along(),
                          pair_weight(a, b, eps))
        .distance;
}

// Oracle: every pair with every shift up to two boxes.
std::vector<PairKey> all_close_pairs(std::span<const Capsule> capsules, const SearchSpace& space) {
    std::vector<PairKey> found;
    const auto n = static_cast<Index>(capsules.size());
    const auto most = [&](int axis) { return space.periodic[axis] ? 2 : 0; };
    for (Index e = 0; e < n; ++e)
        for (Index f = e; f < n; ++f)
            for (Index x = -most(0); x <= most(0); ++x)
                for (Index y = -most(1); y <= most(1); ++y)
                    for (Index z = -most(2); z <= most(2); ++z) {
                        const PairKey key{e, f, {x, y, z}};
                        if (e == f && key.shift <= std::array<Index, 3>{})
                            continue;
                        if (regularised_distance(capsules, key, space.box) <
                            capsules[e].radius + capsules[f].radius + space.margin)
                            found.push_back(key);
                    }
    std::sort(found.begin(), found.end());
    return found;
}

std::vector<Capsule> capsules_of(const BeamMesh& mesh) {
    std::vector<Capsule> capsules;
    for (const BeamElement& beam : mesh.elements) {
        const Vec3 a = mesh.nodes[beam.a];
        const Vec3 u = mesh.nodes[beam.b] + beam.image_b.cast<double>().cwiseProduct(mesh.box) - a;
        capsules.push_back({a.x(), a.y(), a.z(), u.x(), u.y(), u.z(), beam.radius, u.norm()});
    }
    return capsules;
}

SearchSpace space_of(const BeamMesh& mesh) {
    return {.box = mesh.box, .periodic = mesh.periodic, .margin = 0.3e-3, .regularisation = eps};
}

TEST_CASE("pair search: finds exactly the pairs of a search over all pairs and images") {
    for (const std::array<bool, 3> periodic : {std::array{false, false, false},
                                               {true, true, false},
                                               {true, true, true},
                                               {false, true, false}}) {
        const BeamMesh mesh = test::random_rods(250, 5e8, periodic, 41);
        const std::vector<Capsule> capsules = capsules_of(mesh);
        const std::vector<PairKey> want = all_close_pairs(capsules, space_of(mesh));
        CHECK(want.size() > 100);
        CHECK(find_close_pairs(capsules, space_of(mesh)) == want);
    }
}

TEST_CASE("pair search: holds in a box narrower than an element reaches, own images included") {
    BeamMesh mesh;
    mesh.box = Vec3(1.3e-3, 1.6e-3, 9e-3);
    mesh.periodic = {true, true, false};
    test::Random random(43);
    for (int k = 0; k < 12; ++k) {
        const Vec3 a = 0.5 * mesh.box + random.cube(0.7e-3);
        test::add_rod(mesh, a, a + 1e-3 * random.direction(), 0.2e-3);
    }
    const std::vector<Capsule> capsules = capsules_of(mesh);
    const std::vector<PairKey> want = all_close_pairs(capsules, space_of(mesh));
    CHECK(std::any_of(want.begin(), want.end(),
                      [](const PairKey& key) { return key.first == key.second; }));
    CHECK(find_close_pairs(capsules, space_of(mesh)) == want);
}

TEST_CASE("pair search: nodes that have left the box by whole periods change the shifts only") {
    BeamMesh mesh = test::random_rods(200, 5e8, {true, true, false}, 47);
    const std::vector<PairKey> before = find_close_pairs(capsules_of(mesh), space_of(mesh));
    test::Random random(53);
    std::vector<Vec3i> moved(mesh.elements.size(), Vec3i::Zero());
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        for (const int axis : {0, 1})
            moved[e][axis] = static_cast<int>(std::floor(random.in(-3.0, 4.0)));
        for (const Index node : {mesh.elements[e].a, mesh.elements[e].b})
            mesh.nodes[node] += moved[e].cast<double>().cwiseProduct(mesh.box);
    }
    std::vector<PairKey> want = before;
    for (PairKey& key : want)
        for (int i = 0; i < 3; ++i)
            key.shift[i] += moved[key.first][i] - moved[key.second][i];
    std::sort(want.begin(), want.end());
    // A pair within rounding of the margin may fall either way; none is with this seed.
    CHECK(find_close_pairs(capsules_of(mesh), space_of(mesh)) == want);
}

TEST_CASE("pair search: tests per element do not grow with the number of elements") {
    // Counts, not times: at fixed density of rods the number of ball tests per element tends to
    // a constant from below (fewer neighbours at free faces).
    double last = 0.0;
    for (const int n : {1000, 8000, 64000}) {
        const BeamMesh mesh = test::random_rods(n, 1e8, {}, 59);
        std::size_t tested = 0;
        const auto pairs = find_close_pairs(capsules_of(mesh), space_of(mesh), &tested);
        CHECK(!pairs.empty());
        const double per_element = static_cast<double>(tested) / n;
        if (last > 0.0)
            CHECK(per_element < 1.35 * last); // quadratic cost would give 8
        last = per_element;
    }
    CHECK(last < 60.0);
}

TEST_CASE("pair search: an empty net has no pairs") {
    CHECK(find_close_pairs({}, {.margin = 1e-3, .regularisation = eps}).empty());
}

TEST_CASE("strut contact: no pair is missed while the nodes and the box move") {
    // At each of 120 steps all touching pairs by brute force must be in the list, and the list must
    // be rebuilt far less often than each step.
    BeamMesh mesh = test::random_rods(150, 3e8, {true, true, false}, 61);
    StrutContact contact(mesh, test::node_masses(mesh), test::rod_settings(0.0));
    test::Random random(67);
    std::vector<NodeRate> rate(mesh.nodes.size());
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const Vec3 v = random.cube(6.0);
        for (const Index i : {mesh.elements[e].a, mesh.elements[e].b})
            rate[i] = {.vx = v.x(), .vy = v.y(), .vz = v.z()};
    }
    const double dt = 1e-6;
    const Vec3 first_box = mesh.box;
    std::vector<NodeLoad> load(mesh.nodes.size());
    std::size_t n_found = 0;
    for (int n = 1; n <= 120; ++n) {
        for (std::size_t i = 0; i < mesh.nodes.size(); ++i)
            mesh.nodes[i] += dt * Vec3(rate[i].vx, rate[i].vy, rate[i].vz);
        mesh.box = first_box.cwiseProduct(Vec3(1.0 - 4e-4 * n, 1.0 + 3e-4 * n, 1.0));
        contact.add_loads(test::pose_of(mesh.nodes), rate, mesh.box, dt, load);
        SearchSpace space = space_of(mesh);
        space.margin = 0.0;
        std::vector<Capsule> capsules = capsules_of(mesh);
        for (std::size_t e = 0; e < capsules.size(); ++e) // rods of random_rods do not stretch
            capsules[e].reference_length = capsules[e].along().norm();
        std::size_t n_excluded = 0;
        for (const PairKey& key : find_close_pairs(capsules, space)) {
            const bool listed =
                std::binary_search(contact.candidates().begin(), contact.candidates().end(), key);
            const bool excluded = std::any_of(
                contact.initial_overlaps().begin(), contact.initial_overlaps().end(),
                [&](const InitialOverlap& o) {
                    return o.first == key.first && o.second == key.second && o.shift == key.shift;
                });
            CHECK(listed != excluded);
            n_excluded += excluded ? 1 : 0;
            n_found += listed ? 1 : 0;
        }
        CHECK(contact.report().n_touching ==
              static_cast<Index>(find_close_pairs(capsules, space).size() - n_excluded));
    }
    CHECK(n_found > 1000);
    CHECK(contact.report().n_rebuilds > 1);
    CHECK(contact.report().n_rebuilds < 40);
}

} // namespace
} // namespace cellgrade
