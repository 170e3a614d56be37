// SPDX-License-Identifier: Apache-2.0
#include "meshes/beams/subdivide.hpp"

#include "meshes/beams/audit.hpp"
#include "meshes/beams/joint_zones.hpp"
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/specimens/specimen.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <utility>

using namespace cellgrade;

namespace {

StrutNet endless(const std::string& name, double diameter) {
    const StrutCell cell = find_cell(name);
    return periodic_net(cell, strut_diameters(cell, diameter));
}

} // namespace

TEST_CASE("joint zones: equal struts part at r / tan(theta / 2)") {
    // smallest angles: simple cubic 90, octet 60, body-centred acos(1/3), diamond acos(-1/3) deg
    const double r = 0.1e-3;
    const auto zone = [&](const std::string& name) { return joint_zones(endless(name, 2 * r))[0]; };
    CHECK(test::rel_err(zone("simple_cubic")[0], r) < 1e-9);
    CHECK(test::rel_err(zone("octet")[0], r * std::sqrt(3.0)) < 1e-9);
    CHECK(test::rel_err(zone("body_centred")[1], r * std::sqrt(2.0)) < 1e-9);
    CHECK(test::rel_err(zone("diamond")[1], r / std::sqrt(2.0)) < 1e-9);
    // and never more than a quarter of the strut
    CHECK(test::rel_err(joint_zones(endless("simple_cubic", 4e-3))[2][1], 1.25e-3) < 1e-9);
}

TEST_CASE("subdivide: about a diameter long, four a strut, none below half a diameter") {
    const auto n_elements = [](double diameter) {
        return subdivide(endless("simple_cubic", diameter), {.joints = Joints::None})
            .elements.size();
    };
    CHECK(n_elements(0.25e-3) == 3 * 20); // 5 mm / 0.25 mm
    CHECK(n_elements(1.25e-3) == 3 * 4);
    CHECK(n_elements(2.0e-3) == 3 * 4); // four a strut, 0.63 diameters long
    CHECK(n_elements(4.0e-3) == 3 * 2); // half a diameter is the least
    for (const std::string& name : catalogue_names())
        for (const double rb : {0.05, 0.2}) {
            CAPTURE(name);
            const BeamMesh mesh = build_specimen(
                find_cell(name),
                {.sides = Sides::Periodic, .ends = Ends::Periodic, .densities = {rb}});
            for (const BeamElement& e : mesh.elements)
                CHECK(length(mesh, e) > 0.999 * e.radius);
        }
}

TEST_CASE("subdivide: a refinement shortens all elements alike, by rule and by given length") {
    const auto n_elements = [](double length, double refinement) {
        return subdivide(
                   endless("simple_cubic", 1.25e-3),
                   {.element_length = length, .refinement = refinement, .joints = Joints::None})
            .elements.size();
    };
    for (const double length : {0.0, 1.25e-3}) // both four a strut
        for (const auto& [refinement, parts] :
             {std::pair(1.0, 4U), {1.5, 6U}, {2.25, 9U}, {0.5, 2U}})
            CHECK(n_elements(length, refinement) == 3 * parts);
}

TEST_CASE("subdivide: a given element length is kept, and halving it doubles the elements") {
    const StrutNet net = endless("body_centred", 0.5e-3);
    const double l = std::sqrt(0.75) * 5e-3;
    for (const int n : {4, 8, 16}) {
        const BeamMesh mesh = subdivide(net, {.element_length = l / n, .joints = Joints::None});
        CHECK(mesh.elements.size() == static_cast<std::size_t>(8 * n));
    }
}

TEST_CASE("subdivide: mass is that of the union, with and without joint zones") {
    for (const std::string& name : catalogue_names())
        for (const double rb : {0.05, 0.3}) {
            CAPTURE(name);
            const StrutCell cell = find_cell(name);
            for (const Joints joints : {Joints::None, Joints::Stiffened}) {
                const BeamMesh mesh = build_specimen(cell, {.sides = Sides::Periodic,
                                                            .ends = Ends::Periodic,
                                                            .densities = {rb},
                                                            .beams = {.joints = joints}});
                CHECK(test::rel_err(mass_volume(mesh), mesh.solid_volume) < 1e-12);
                CHECK(test::rel_err(mesh.solid_volume, rb * mesh.box.prod()) < 1e-3);
                for (const BeamElement& e : mesh.elements) {
                    CHECK(e.mass_factor > 0.2);
                    CHECK(e.mass_factor <= 1.0 + 1e-12);
                    CHECK(e.stiffness_factor >= 1.0);
                    CHECK(e.stiffness_factor <=
                          (joints == Joints::None ? 1.0 : BeamOptions{}.joint_stiffness) *
                              (1.0 + 1e-12));
                }
            }
        }
}

TEST_CASE("subdivide: compliance of a strut is that of its plain and stiff lengths in series") {
    // lumped or not, sum l / k = L - (1 - 1/k) (zones), exactly
    const StrutNet net = endless("octet", 0.5e-3);
    const auto zones = joint_zones(net);
    for (const double h : {0.0, 0.1e-3, 0.35e-3, 1.8e-3}) {
        const BeamMesh mesh = subdivide(net, {.element_length = h, .joint_stiffness = 3.0});
        std::vector<double> compliance(net.struts.size(), 0.0);
        for (const BeamElement& e : mesh.elements)
            compliance[e.strut] += length(mesh, e) / e.stiffness_factor;
        for (std::size_t i = 0; i < compliance.size(); ++i) {
            const double want =
                length(net, net.struts[i]) - 2.0 / 3.0 * (zones[i][0] + zones[i][1]);
            CHECK(test::rel_err(compliance[i], want) < 1e-9);
        }
    }
}

TEST_CASE("subdivide: bad options are input errors") {
    const StrutNet net = endless("octet", 0.5e-3);
    CHECK_THROWS_AS((void)subdivide(net, {.element_length = -1.0}), Error);
    CHECK_THROWS_AS((void)subdivide(net, {.joint_stiffness = 0.5}), Error);
    CHECK_THROWS_AS((void)subdivide(net, {.joint_stiffness = std::nan("")}), Error);
}

TEST_CASE("audit: what makes a mesh unfit is told") {
    const BeamMesh good = build_specimen(find_cell("simple_cubic"), {.diameter = 1e-3});
    const auto message = [](const BeamMesh& mesh) -> std::string {
        try {
            check_beam_mesh(mesh);
        } catch (const Error& e) {
            return e.message();
        }
        return "good";
    };
    CHECK(message(good) == "good");
    BeamMesh bad = good;
    bad.elements.push_back(bad.elements[3]);
    CHECK(message(bad).find("given twice") != std::string::npos);
    bad = good;
    std::swap(bad.elements[3].a, bad.elements[3].b);
    bad.elements.push_back(good.elements[3]);
    CHECK(message(bad).find("given twice") != std::string::npos);
    bad = good;
    bad.elements[0].b = bad.elements[0].a;
    CHECK(message(bad).find("no length") != std::string::npos);
    bad = good;
    bad.nodes.emplace_back(1e-3, 1e-3, 1e-3);
    CHECK(message(bad).find("not joined to the lower face") != std::string::npos);
    bad = good;
    bad.nodes[2].z() = -1e-4;
    CHECK(message(bad).find("outside the faces") != std::string::npos);
    bad = good;
    bad.top.clear();
    CHECK(message(bad).find("no joint on its upper face") != std::string::npos);
    bad = good;
    bad.elements[5].radius = 0.0;
    CHECK(message(bad).find("radius 0") != std::string::npos);
}
