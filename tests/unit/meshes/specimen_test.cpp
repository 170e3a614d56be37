// SPDX-License-Identifier: Apache-2.0
#include "meshes/specimens/specimen.hpp"

#include "meshes/beams/audit.hpp"
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <Eigen/Geometry>
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <set>

using namespace cellgrade;

namespace {

std::string message_of(const StrutCell& cell, const SpecimenPlan& plan) {
    try {
        (void)build_specimen(cell, plan);
    } catch (const Error& e) {
        CHECK(e.fault() == Fault::Input);
        return e.message();
    }
    return "no error";
}

double total_length(const StrutNet& net) {
    double sum = 0.0;
    for (const NetStrut& strut : net.struts)
        sum += length(net, strut);
    return sum;
}

bool same_bits(const BeamMesh& a, const BeamMesh& b) {
    if (a.nodes != b.nodes || a.elements.size() != b.elements.size())
        return false;
    for (std::size_t e = 0; e < a.elements.size(); ++e)
        if (a.elements[e].radius != b.elements[e].radius ||
            a.elements[e].mass_factor != b.elements[e].mass_factor)
            return false;
    return true;
}

constexpr double d = 0.5e-3;

} // namespace

TEST_CASE("specimen: counts of free blocks are those of drawing them") {
    // simple cubic block of n^3 cells: 3 n (n+1)^2 edges, (n+1)^3 corners
    const StrutCell cubic = find_cell("simple_cubic");
    for (const Index n : {1, 2, 3}) {
        const StrutNet net = specimen_net(cubic, {.tiles = {n, n, n}, .diameter = d});
        CHECK(net.struts.size() == static_cast<std::size_t>(3 * n * (n + 1) * (n + 1)));
        CHECK(net.nodes.size() == static_cast<std::size_t>((n + 1) * (n + 1) * (n + 1)));
    }
    // body-centred: 8 struts a cell; corners (n+1)^3 and centres n^3
    const StrutNet bcc =
        specimen_net(find_cell("body_centred"), {.tiles = {2, 3, 4}, .diameter = d});
    CHECK(bcc.struts.size() == 8u * 24u);
    CHECK(bcc.nodes.size() == 3u * 4u * 5u + 24u);
    // octet: 12 inner struts a cell and 4 on each of the faces of a grid of n^3 boxes, 3 n^2 (n+1)
    const StrutNet octet = specimen_net(find_cell("octet"), {.tiles = {2, 2, 2}, .diameter = d});
    CHECK(octet.struts.size() == 12u * 8u + 4u * 3u * 4u * 3u);
}

TEST_CASE("specimen: endless tiling has the struts of the cells, each once") {
    for (const std::string& name : catalogue_names()) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name);
        for (const std::array<Index, 3>& tiles :
             {std::array<Index, 3>{1, 1, 1}, std::array<Index, 3>{2, 1, 3}}) {
            const SpecimenPlan plan{
                .tiles = tiles, .sides = Sides::Periodic, .ends = Ends::Periodic, .diameter = d};
            const StrutNet net = specimen_net(cell, plan);
            const auto n = static_cast<std::size_t>(tiles[0] * tiles[1] * tiles[2]);
            CHECK(net.struts.size() == n * cell.struts.size());
            CHECK(net.nodes.size() == n * cell.nodes.size());
            std::set<std::array<int, 5>> different;
            for (const NetStrut& s : net.struts)
                different.insert({s.a, s.b, s.image_b.x(), s.image_b.y(), s.image_b.z()});
            CHECK(different.size() == net.struts.size());
            const BeamMesh mesh = build_specimen(cell, plan);
            CHECK(mesh.bottom.empty());
            CHECK(mesh.top.empty());
        }
    }
}

TEST_CASE("specimen: periodic sides count the struts of the faces once") {
    // simple cubic, n^3 cells, plain ends: n^3 upright, 2 n^2 (n+1) level struts
    const Index n = 3;
    const StrutNet net = specimen_net(
        find_cell("simple_cubic"), {.tiles = {n, n, n}, .sides = Sides::Periodic, .diameter = d});
    CHECK(net.struts.size() == static_cast<std::size_t>(n * n * n + 2 * n * n * (n + 1)));
    CHECK(net.nodes.size() == static_cast<std::size_t>(n * n * (n + 1)));
}

TEST_CASE("specimen: struts are cut at the faces, and nothing sticks out") {
    for (const std::string& name : catalogue_names())
        for (const Sides sides : {Sides::Free, Sides::Periodic}) {
            CAPTURE(name);
            const StrutCell cell = find_cell(name);
            const BeamMesh mesh =
                build_specimen(cell, {.tiles = {2, 2, 2}, .sides = sides, .diameter = d});
            CHECK_FALSE(mesh.bottom.empty());
            CHECK_FALSE(mesh.top.empty());
            for (const Vec3& x : mesh.nodes) {
                CHECK(x.minCoeff() >= 0.0);
                CHECK((mesh.box - x).minCoeff() >= -1e-15);
            }
            for (const BeamElement& e : mesh.elements) {
                CHECK(e.image_b.z() == 0);
                if (sides != Sides::Periodic)
                    CHECK(e.image_b == Vec3i::Zero());
            }
        }
}

TEST_CASE("specimen: cutting keeps the strut length of a cell") {
    // re_entrant, periodic sides: uprights cross the ends and are cut there; no strut lies in them
    const StrutCell cell = find_cell("re_entrant");
    const StrutNet net =
        specimen_net(cell, {.tiles = {2, 2, 2}, .sides = Sides::Periodic, .diameter = d});
    double whole = 0.0;
    for (const Strut& strut : cell.struts)
        whole += 8.0 * length(cell, strut);
    CHECK(test::rel_err(total_length(net), whole) < 1e-12);
    CHECK(net.struts.size() == 8u * 20u + 8u); // each of the 8 uprights through a face in two
}

TEST_CASE("specimen: one layer after another has its own density, split at the planes") {
    const StrutCell cell = find_cell("re_entrant");
    const SpecimenPlan plan{
        .tiles = {1, 1, 3}, .sides = Sides::Periodic, .densities = {0.05, 0.15, 0.10}};
    const StrutNet net = specimen_net(cell, plan);
    std::array<double, 3> volume{};
    std::array<double, 3> diameter{};
    for (std::size_t k = 0; k < 3; ++k)
        diameter[k] = diameter_for_density(cell, plan.densities[k]);
    for (const NetStrut& s : net.struts) {
        const double z0 = net.nodes[s.a].z() / cell.lattice(2, 2);
        const double z1 = end_b(net, s).z() / cell.lattice(2, 2);
        const auto layer = static_cast<std::size_t>(0.5 * (z0 + z1));
        CHECK(std::min(z0, z1) > static_cast<double>(layer) - 1e-9);
        CHECK(std::max(z0, z1) < static_cast<double>(layer) + 1.0 + 1e-9);
        CHECK(test::rel_err(2.0 * s.radius, diameter[layer]) < 1e-12);
        volume[layer] += s.radius * s.radius * length(net, s);
    }
    const double ratio = std::pow(diameter[1] / diameter[0], 2);
    CHECK(test::rel_err(volume[1] / volume[0], ratio) < 1e-9);
    const BeamMesh mesh = build_specimen(cell, plan);
    CHECK(test::rel_err(mesh.solid_volume / mesh.box.prod(), 0.10) < 1e-2); // ends of uprights
}

TEST_CASE("specimen: equal densities in all layers are the plain specimen") {
    const StrutCell cell = find_cell("octet");
    const BeamMesh one = build_specimen(cell, {.tiles = {2, 2, 2}, .densities = {0.1}});
    const BeamMesh two = build_specimen(cell, {.tiles = {2, 2, 2}, .densities = {0.1, 0.1}});
    CHECK(same_bits(one, two));
}

TEST_CASE("specimen: a strut in the plane between layers has the mean diameter") {
    const StrutCell cell = find_cell("simple_cubic");
    const StrutNet net = specimen_net(cell, {.tiles = {1, 1, 2}, .densities = {0.05, 0.2}});
    const double d0 = diameter_for_density(cell, 0.05);
    const double d1 = diameter_for_density(cell, 0.2);
    int n_between = 0;
    for (const NetStrut& s : net.struts) {
        const double z0 = net.nodes[s.a].z();
        const double z1 = end_b(net, s).z();
        if (z0 == z1 && std::abs(z0 - 5e-3) < 1e-9) {
            ++n_between;
            CHECK(test::rel_err(2.0 * s.radius, 0.5 * (d0 + d1)) < 1e-12);
        }
    }
    CHECK(n_between == 4);
}

TEST_CASE("specimen: imperfections repeat with the seed and change with it") {
    const StrutCell cell = find_cell("kelvin");
    const auto build = [&](std::uint64_t seed) {
        return build_specimen(
            cell, {.tiles = {2, 2, 2},
                   .diameter = d,
                   .imperfections = {.node_offset = 0.03, .diameter_scatter = 0.05, .seed = seed}});
    };
    const BeamMesh mesh = build(7);
    CHECK(same_bits(mesh, build(7)));
    CHECK_FALSE(same_bits(mesh, build(8)));
    CHECK(test::rel_err(mass_volume(mesh), mesh.solid_volume) < 1e-12);
    CHECK(mesh.bottom.size() ==
          build_specimen(cell, {.tiles = {2, 2, 2}, .diameter = d}).bottom.size());
}

TEST_CASE("specimen: periodic copies of a moved joint move alike") {
    // strut vectors of a periodic net add up to the same sum with and without node offsets: the
    // offset of each joint enters once with each sign at both ends of its struts only if they agree
    const StrutCell cell = find_cell("diamond");
    SpecimenPlan plan{.tiles = {1, 2, 1},
                      .sides = Sides::Periodic,
                      .ends = Ends::Periodic,
                      .diameter = d,
                      .imperfections = {.node_offset = 0.05, .seed = 3}};
    const BeamMesh moved = build_specimen(cell, plan);
    const StrutNet net = specimen_net(cell, plan);
    plan.imperfections = {};
    const StrutNet still = specimen_net(cell, plan);
    REQUIRE(net.struts.size() == still.struts.size());
    for (std::size_t i = 0; i < net.struts.size(); ++i) {
        const NetStrut& s = net.struts[i];
        const Vec3 ua = net.nodes[s.a] - still.nodes[s.a];
        const Vec3 ub = net.nodes[s.b] - still.nodes[s.b];
        CHECK(ua.norm() > 0.0);
        const Vec3 change = end_b(net, s) - net.nodes[s.a] - end_b(still, still.struts[i]) +
                            still.nodes[still.struts[i].a];
        CHECK((change - (ub - ua)).norm() < 1e-12 * 5e-3);
    }
    for (const Vec3& x : moved.nodes) { // wrapped back into the box
        CHECK(x.minCoeff() >= 0.0);
        CHECK((moved.box - x).minCoeff() > 0.0);
    }
}

TEST_CASE("specimen: a moved strut that is split between layers stays straight") {
    // the strut also crosses a periodic side, so that its second joint is a copy
    StrutCell cell = find_cell("asymmetric");
    for (Vec3& x : cell.nodes)
        x += Vec3(0.1, 0.2, 0.15);
    const StrutNet net = specimen_net(cell, {.tiles = {1, 1, 2},
                                             .sides = Sides::Periodic,
                                             .densities = {0.05, 0.1},
                                             .imperfections = {.node_offset = 0.05, .seed = 11}});
    int n_split = 0;
    for (std::size_t i = 1; i < net.struts.size(); ++i) {
        const NetStrut& before = net.struts[i - 1];
        const NetStrut& after = net.struts[i];
        if (before.b != after.a || before.radius == after.radius)
            continue;
        const Vec3 u = end_b(net, before) - net.nodes[before.a];
        const Vec3 v = end_b(net, after) - net.nodes[after.a];
        if (before.whole_length != after.whole_length)
            continue;
        ++n_split;
        CHECK(u.cross(v).norm() < 1e-9 * u.norm() * v.norm());
    }
    CHECK(n_split >= 3);
}

TEST_CASE("keyed normal: mean, deviation and cut are those of the truncated normal") {
    // N(0, 1) cut at 2: variance 1 - 4 phi(2) / (2 Phi(2) - 1) = 0.773741 (Johnson, Kotz and
    // Balakrishnan 1994, sec. 13.10, from memory; phi(2) = 0.0539910, 2 Phi(2) - 1 = 0.9544997).
    constexpr int n = 200000;
    double sum = 0.0, squares = 0.0, largest = 0.0;
    for (std::int64_t k = 0; k < n; ++k) {
        const std::array<std::int64_t, 2> key = {k % 100, k / 100};
        const double x = keyed_normal(42, key);
        sum += x;
        squares += x * x;
        largest = std::max(largest, std::abs(x));
    }
    CHECK(std::abs(sum / n) < 4.0 * 0.88 / std::sqrt(n));
    CHECK(test::rel_err(squares / n, 0.773741) < 4.0 * 1.1 / std::sqrt(n));
    CHECK(largest <= 2.0);
    CHECK(largest > 1.99);
}

TEST_CASE("add_shape: the largest move is the amplitude and the faces stay flat") {
    BeamMesh mesh = build_specimen(find_cell("body_centred"), {.tiles = {2, 2, 2}, .diameter = d});
    const BeamMesh before = mesh;
    std::vector<Vec3> shape;
    for (const Vec3& x : mesh.nodes)
        shape.emplace_back(std::sin(300.0 * x.z()), 0.0, 3.0);
    add_shape(mesh, shape, 0.1e-3);
    double largest = 0.0;
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        largest = std::max(largest, (mesh.nodes[n] - before.nodes[n]).norm());
    CHECK(test::rel_err(largest, 0.1e-3) < 1e-9);
    for (const Index n : mesh.bottom)
        CHECK(mesh.nodes[n].z() == 0.0);
    for (const Index n : mesh.top)
        CHECK(mesh.nodes[n].z() == before.nodes[n].z());
    shape.pop_back();
    CHECK_THROWS_AS(add_shape(mesh, shape, 1e-4), Error);
    CHECK_THROWS_AS(add_shape(mesh, std::vector<Vec3>(mesh.nodes.size(), Vec3::Zero()), 1e-4),
                    Error);
}

TEST_CASE("specimen: loose pieces are dropped with a note, or refused when they are many") {
    std::string said;
    const Log log([&](LogLevel, const std::string& text) { said += text + "\n"; });
    const BeamMesh mesh =
        build_specimen(find_cell("chiral_net"), {.tiles = {4, 4, 4}, .diameter = d}, log);
    CHECK(said.find("dropped 3 struts in 1 loose pieces") != std::string::npos);
    CHECK_FALSE(mesh.elements.empty());
    // one cell of it, cut on all sides, is hardly a net any more
    CHECK(message_of(find_cell("chiral_net"), {.diameter = d}).find("hangs loose") !=
          std::string::npos);
}

TEST_CASE("specimen: bad plans are input errors that say what would be right") {
    const StrutCell cell = find_cell("octet");
    const auto says = [&](const SpecimenPlan& plan, std::string_view part) {
        const std::string message = message_of(cell, plan);
        CAPTURE(message);
        CHECK(message.find(part) != std::string::npos);
    };
    says({}, "has no strut diameters; give a diameter or a relative density");
    says({.diameter = d, .densities = {0.1}}, "only one is allowed");
    says({.diameter = -d}, "a number above 0 is needed");
    says({.tiles = {1, 0, 1}, .diameter = d}, "1 to 1000 is");
    says({.tiles = {1, 1, 3}, .densities = {0.1, 0.2}}, "give 1 or 3");
    says({.densities = {1.2}}, "at most 0.98");
    says({.diameter = d, .imperfections = {.node_offset = 0.5}}, "0 to 0.2 is");
    says({.diameter = d, .imperfections = {.diameter_scatter = -0.5}}, "0 to 0.3 is");
    says({.diameter = d, .least_diameter = 0.6e-3},
         "has diameter 0.5 mm, below the least printable 0.6");
    StrutCell oblique = cell;
    oblique.lattice(0, 1) = 1e-3;
    CHECK(message_of(oblique, {.diameter = d}).find("a right-angled box along x, y, z is needed") !=
          std::string::npos);
}

TEST_CASE("specimen: a cell with own diameters needs no other") {
    const StrutCell cell = find_cell("isotropic_mix");
    const StrutNet net = specimen_net(cell, {.tiles = {1, 1, 1}, .sides = Sides::Periodic});
    std::set<double> radii;
    for (const NetStrut& s : net.struts)
        radii.insert(s.radius);
    CHECK(radii.size() == 2);
    CHECK(test::rel_err(2.0 * *radii.rbegin(), 0.5e-3) < 1e-12);
}

// Exact      the specimen drawn with the larger diameter
TEST_CASE("specimen: an offset of the printer is a specimen drawn that much thicker") {
    const StrutCell octet = find_cell("octet");
    const SpecimenPlan thick{.tiles = {2, 1, 2}, .diameter = 0.6e-3};
    SpecimenPlan printed = thick;
    printed.diameter = 0.5e-3;
    printed.diameter_offset = 0.6e-3 - 0.5e-3;
    const BeamMesh a = build_specimen(octet, printed), b = build_specimen(octet, thick);
    REQUIRE(a.elements.size() == b.elements.size());
    CHECK(test::rel_err(a.solid_volume, b.solid_volume) < 1e-12);
    for (std::size_t e = 0; e < a.elements.size(); ++e)
        CHECK(test::rel_err(a.elements[e].radius, b.elements[e].radius) < 1e-14);
    // Each layer's own diameters grow, whatever they are.
    const SpecimenPlan graded{.tiles = {1, 1, 2}, .densities = {0.05, 0.2}};
    SpecimenPlan thinner = graded;
    thinner.diameter_offset = -0.1e-3;
    const BeamMesh c = build_specimen(octet, graded), e = build_specimen(octet, thinner);
    double largest = 0.0, largest_printed = 0.0;
    for (const BeamElement& element : c.elements)
        largest = std::max(largest, element.radius);
    for (const BeamElement& element : e.elements)
        largest_printed = std::max(largest_printed, element.radius);
    CHECK(test::rel_err(largest_printed, largest - 0.05e-3) < 1e-12);
}

TEST_CASE("specimen: the thinnest strut that prints is one of the drawing, and none may vanish") {
    const StrutCell octet = find_cell("octet");
    SpecimenPlan plan{.diameter = d, .diameter_offset = -0.1e-3, .least_diameter = 0.45e-3};
    CHECK(message_of(octet, plan) == "no error");
    plan.least_diameter = 0.55e-3;
    CHECK(message_of(octet, plan).find("diameter 0.5 mm") != std::string::npos);
    plan.least_diameter = 0.0;
    plan.diameter_offset = -d;
    CHECK(message_of(octet, plan).find("leaves nothing") != std::string::npos);
}
