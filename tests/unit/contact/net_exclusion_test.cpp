// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/net_exclusion.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/specimens/specimen.hpp"
#include "solver/contact/strut_contact.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <numbers>

namespace cellgrade {
namespace {

using test::rod_radius;

std::vector<Capsule> capsules_of(const BeamMesh& mesh) {
    std::vector<Capsule> capsules;
    for (const BeamElement& beam : mesh.elements) {
        const Vec3 a = mesh.nodes[beam.a];
        const Vec3 u = mesh.nodes[beam.b] + beam.image_b.cast<double>().cwiseProduct(mesh.box) - a;
        capsules.push_back({a.x(), a.y(), a.z(), u.x(), u.y(), u.z(), beam.radius, u.norm()});
    }
    return capsules;
}

NetExclusion excluded(const BeamMesh& mesh) {
    const SearchSpace space{.box = mesh.box, .periodic = mesh.periodic, .regularisation = 0.015};
    return net_exclusion(mesh, capsules_of(mesh), space, 0.05);
}

bool has(const NetExclusion& x, Index a, Index b, const Vec3i& shift = Vec3i::Zero()) {
    return std::binary_search(x.pairs.begin(), x.pairs.end(), canonical_pair(a, b, shift));
}

// Two straight struts of `n` elements, each one diameter long, from one node at `angle` [rad].
BeamMesh vee(double angle, int n) {
    BeamMesh mesh;
    mesh.box = Vec3::Constant(40e-3);
    const double l = 2.0 * rod_radius * n;
    test::add_strut(mesh, Vec3::Zero(), Vec3(l, 0, 0), n);
    const Index second =
        test::add_strut(mesh, Vec3::Zero(), l * Vec3(std::cos(angle), std::sin(angle), 0), n);
    mesh.elements[n].a = 0; // joined; the spare node goes
    mesh.nodes.erase(mesh.nodes.begin() + second);
    mesh.is_joint.erase(mesh.is_joint.begin() + second);
    for (int k = n; k < 2 * n; ++k) {
        mesh.elements[k].b -= 1;
        mesh.elements[k].a -= k > n ? 1 : 0;
    }
    return mesh;
}

TEST_CASE("net exclusion: along a straight strut what lies within a half turn is left out") {
    // Elements one diameter long: path between nearest ends 0, 2r, 4r, ...; half turn pi r = 3.14
    // r.
    BeamMesh mesh;
    mesh.box = Vec3::Constant(40e-3);
    test::add_strut(mesh, Vec3::Zero(), Vec3(20.0 * rod_radius, 0, 0), 10);
    const NetExclusion x = excluded(mesh);
    for (Index e = 0; e < 10; ++e)
        for (Index f = e + 1; f < 10; ++f)
            CHECK(has(x, e, f) == (f - e <= 2));
    CHECK(x.initial_overlaps.empty());
}

TEST_CASE("net exclusion: wide joints leave out the half turn only, sharp ones what touches") {
    const int n = 12;
    for (const double degrees : {120.0, 90.0, 40.0, 20.0, 12.0}) {
        const double angle = degrees * std::numbers::pi / 180.0;
        const BeamMesh mesh = vee(angle, n);
        const std::vector<Capsule> capsules = capsules_of(mesh);
        const NetExclusion x = excluded(mesh);
        CHECK(x.initial_overlaps.empty());
        for (Index i = 0; i < n; ++i)
            for (Index j = 0; j < n; ++j) {
                const double r = rod_radius;
                const double path = 2.0 * r * (i + j);
                // Exact distance of two segments leaving one point, D >= that by the small weight.
                const double near_i = 2.0 * r * i, near_j = 2.0 * r * j;
                const double far = 2.0 * r;
                double least = 1e9; // oracle: fine sampling
                for (int a = 0; a <= 50; ++a)
                    for (int b = 0; b <= 50; ++b) {
                        const double p = near_i + far * a / 50.0, q = near_j + far * b / 50.0;
                        least = std::min(least, p * p + q * q - 2.0 * p * q * std::cos(angle));
                    }
                const double gap = std::sqrt(least) / (2.0 * r) - 1.0; // in units of r_a + r_b
                if (path < std::numbers::pi * r || gap < 0.02)
                    CHECK(has(x, i, n + j));
                else if (gap > 0.08)
                    CHECK(!has(x, i, n + j));
            }
    }
}

TEST_CASE("net exclusion: crossing struts without a node are reported with place and depth") {
    BeamMesh mesh;
    mesh.box = Vec3::Constant(40e-3);
    const double r = rod_radius, off = 0.7 * r;
    test::add_strut(mesh, Vec3(-10 * r, 0, 0), Vec3(10 * r, 0, 0), 10);
    test::add_strut(mesh, Vec3(r, -11 * r, off), Vec3(r, 9 * r, off), 10);
    const NetExclusion x = excluded(mesh);
    REQUIRE(!x.initial_overlaps.empty());
    const auto deepest = std::max_element(
        x.initial_overlaps.begin(), x.initial_overlaps.end(),
        [](const InitialOverlap& a, const InitialOverlap& b) { return a.depth < b.depth; });
    CHECK(deepest->first == 5);   // from 0 to 2 r along x
    CHECK(deepest->second == 15); // from -r to r along y
    CHECK((deepest->place - Vec3(r, 0, 0.5 * off)).norm() < 1e-12);
    CHECK(test::rel_err(deepest->depth, 2 * r - off) < 1e-9);
    for (const InitialOverlap& o : x.initial_overlaps)
        CHECK(has(x, o.first, o.second));

    StrutContact contact(mesh, test::node_masses(mesh), test::rod_settings(0.3));
    CHECK(contact.initial_overlaps().size() == x.initial_overlaps.size());
    std::vector<NodeLoad> load(mesh.nodes.size());
    const std::vector<NodeRate> rest(mesh.nodes.size());
    contact.add_loads(test::pose_of(mesh.nodes), rest, mesh.box, 0.0, load);
    CHECK(contact.report().n_touching == 0);
}

TEST_CASE("net exclusion: works through periodic faces") {
    // One straight strut closed on itself through the x faces: every element has the same partners.
    BeamMesh mesh;
    const int n = 8;
    mesh.box = Vec3(2.0 * n * rod_radius, 20e-3, 20e-3);
    mesh.periodic = {true, true, false};
    for (int i = 0; i < n; ++i) {
        mesh.nodes.emplace_back(2.0 * i * rod_radius, 1e-3, 1e-3);
        mesh.is_joint.push_back(i == 0);
        mesh.elements.push_back({.a = i,
                                 .b = (i + 1) % n,
                                 .image_b = Vec3i(i + 1 == n ? 1 : 0, 0, 0),
                                 .radius = rod_radius,
                                 .strut = 0});
    }
    const NetExclusion x = excluded(mesh);
    CHECK(x.pairs.size() == 2 * n);
    CHECK(has(x, n - 1, 0, Vec3i(1, 0, 0)));
    CHECK(has(x, n - 2, 0, Vec3i(1, 0, 0)));
    CHECK(has(x, n - 1, 1, Vec3i(1, 0, 0)));
    CHECK(!has(x, n - 1, 0));
    CHECK(x.initial_overlaps.empty());
}

TEST_CASE("strut contact: specimens of every built-in cell start without contact or overlap") {
    // The cells are drawn with a node wherever struts meet, so every overlap is that of a joint.
    for (const std::string& name : catalogue_names())
        for (const Sides sides : {Sides::Free, Sides::Periodic}) {
            CAPTURE(name);
            SpecimenPlan plan;
            plan.tiles = {2, 2, 2};
            plan.sides = sides;
            plan.densities = {0.3};
            const BeamMesh mesh = build_specimen(find_cell(name), plan);
            const std::vector<double> mass(mesh.nodes.size(), 1e-6);
            StrutContact contact(mesh, mass, test::rod_settings(0.3));
            CHECK(contact.initial_overlaps().empty());
            std::vector<NodeLoad> load(mesh.nodes.size());
            const std::vector<NodeRate> rest(mesh.nodes.size());
            contact.add_loads(test::pose_of(mesh.nodes), rest, mesh.box, 0.0, load);
            CHECK(contact.report().n_touching == 0);
        }
}

TEST_CASE("strut contact: struts folding about a joint and hairpins make contact") {
    const int n = 10;
    const double r = rod_radius;
    const BeamMesh mesh = vee(std::numbers::pi / 3.0, n);
    StrutContact contact(mesh, test::node_masses(mesh), test::rod_settings(0.0));
    std::vector<NodeLoad> load(mesh.nodes.size());
    const std::vector<NodeRate> rest(mesh.nodes.size());
    contact.add_loads(test::pose_of(mesh.nodes), rest, mesh.box, 0.0, load);
    CHECK(contact.report().n_touching == 0);
    const BeamMesh folded = vee(10.0 * std::numbers::pi / 180.0, n);
    contact.add_loads(test::pose_of(folded.nodes), rest, mesh.box, 0.0, load);
    CHECK(contact.report().n_touching > 3);

    // Hairpin: a straight strut bent so that its legs are 1.9 r apart, the bend a half circle.
    BeamMesh strut;
    strut.box = Vec3::Constant(40e-3);
    test::add_strut(strut, Vec3::Zero(), Vec3(40 * r, 0, 0), 20);
    StrutContact own(strut, test::node_masses(strut), test::rod_settings(0.0));
    std::vector<Vec3> x;
    const double bend = 0.95 * r, half = 0.5 * std::numbers::pi * bend;
    for (int i = 0; i <= 20; ++i) {
        const double along = 2.0 * r * (i - 10);
        if (std::abs(along) <= half)
            x.emplace_back(bend * std::cos(along / bend), bend * std::sin(along / bend), 0);
        else
            x.emplace_back(half - std::abs(along), along < 0 ? -bend : bend, 0);
    }
    load.assign(x.size(), NodeLoad{});
    const std::vector<NodeRate> own_rest(x.size());
    own.add_loads(test::pose_of(x), own_rest, strut.box, 0.0, load);
    CHECK(own.report().n_touching >= 8); // leg against leg, each of the outer elements
    CHECK(own.report().deepest_share < 0.15);
    CHECK(load[1].fy < 0.0); // legs pushed apart
    CHECK(load[19].fy > 0.0);
}

} // namespace
} // namespace cellgrade
