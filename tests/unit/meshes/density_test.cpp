// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/solid_fraction.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/rod_union.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <random>

using namespace cellgrade;

namespace {

const double pi = std::numbers::pi;
const double r2 = std::sqrt(2.0);
const double r3 = std::sqrt(3.0);
const double r6 = std::sqrt(6.0);

// Closed forms in x = radius / cell edge, valid while the struts of different nodes do not touch.
// Source: overlap of a joint by the integral over directions, (1/3) int (sum t_i^3 - max t_i^3),
// t_i = r / sin(angle to strut i); derived and checked by quadrature for this project.
const std::map<std::string, std::function<double(double)>> closed_form = {
    {"simple_cubic", [](double x) { return 3 * pi * x * x - 8 * r2 * x * x * x; }},
    {"body_centred", [](double x) { return 4 * r3 * pi * x * x - 16 * r6 * x * x * x; }},
    {"diamond", [](double x) { return 4 * r3 * pi * x * x - 16 * r6 * x * x * x; }},
    {"octet", [](double x) { return 12 * r2 * pi * x * x - 64 * (1 + r2) * x * x * x; }},
    {"face_centred", [](double x) { return 6 * r2 * pi * x * x - (32 + 16 * r2) * x * x * x; }},
    {"kelvin", [](double x) { return 6 * r2 * pi * x * x - 128 * r2 / 3 * x * x * x; }},
};

double fraction(const StrutCell& cell, double diameter) {
    return solid_fraction(cell, strut_diameters(cell, diameter)).relative_density;
}

/// Independent measure: one random point in each of n^3 boxes of the cell, counted inside when it
/// is nearer to an axis segment than the radius. Its error falls with n^-2 on smooth bodies.
double counted_fraction(const StrutCell& cell, const std::vector<double>& diameters, int n) {
    struct Segment {
        Vec3 from, along;
        double squared_length, squared_radius;
    };
    std::vector<Segment> segments;
    for (std::size_t s = 0; s < cell.struts.size(); ++s)
        for (int k = 0; k < 125; ++k) {
            const Vec3 shift(k % 5 - 2, k / 5 % 5 - 2, k / 25 - 2);
            const Strut& strut = cell.struts[s];
            const Vec3 a = cell.nodes[strut.a] + shift;
            const Vec3 b = cell.nodes[strut.b] + strut.image_b.cast<double>() + shift;
            const double reach = 0.25; // radii below are less than a quarter of the cell
            if (a.cwiseMin(b).maxCoeff() > 1.0 + reach || a.cwiseMax(b).minCoeff() < -reach)
                continue;
            const Vec3 along = cell.lattice * (b - a);
            segments.push_back(
                {cell.lattice * a, along, along.squaredNorm(), 0.25 * diameters[s] * diameters[s]});
        }
    std::mt19937_64 bits(20240229);
    const auto unit = [&] { return static_cast<double>(bits() >> 11) * 0x1p-53; };
    long inside = 0;
    for (int z = 0; z < n; ++z)
        for (int y = 0; y < n; ++y)
            for (int x = 0; x < n; ++x) {
                const Vec3 f((x + unit()) / n, (y + unit()) / n, (z + unit()) / n);
                const Vec3 p = cell.lattice * f;
                for (const Segment& s : segments) {
                    const Vec3 w = p - s.from;
                    const double t = std::clamp(w.dot(s.along) / s.squared_length, 0.0, 1.0);
                    if ((w - t * s.along).squaredNorm() < s.squared_radius) {
                        ++inside;
                        break;
                    }
                }
            }
    return static_cast<double>(inside) / (static_cast<double>(n) * n * n);
}

} // namespace

TEST_CASE("solid fraction: thin struts follow the closed forms") {
    for (const auto& [name, exact] : closed_form) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name);
        const double a = cell.lattice(0, 0);
        CHECK(test::rel_err(fraction(cell, 0.06 * a), exact(0.03)) < 1e-4);
        CHECK(test::rel_err(fraction(cell, 0.10 * a), exact(0.05)) < 1e-4);
        const StrutNet net = periodic_net(cell, strut_diameters(cell, 0.10 * a));
        CHECK(test::rel_err(union_volume(net, Effort::Coarse), exact(0.05) * a * a * a) < 5e-4);
    }
}

TEST_CASE("solid fraction: agrees with counted random points at 5, 10 and 20 per cent") {
    // Tolerance 0.3 %: about four standard deviations of the count at the lowest density.
    const auto check = [](const std::string& name, double rb, int n) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name);
        const std::vector<double> diameters = diameters_for_density(cell, rb);
        const double counted = counted_fraction(cell, diameters, n);
        CHECK(test::rel_err(solid_fraction(cell, diameters).relative_density, counted) < 3e-3);
        CHECK(test::rel_err(rb, counted) < 3e-3);
    };
    check("asymmetric", 0.05, 120);
    check("re_entrant", 0.10, 100);
    check("isotropic_mix", 0.10, 100); // two diameters
    check("kelvin", 0.20, 72);
    check("octet", 0.20, 64);
    check("weaire_phelan", 0.20, 56);
}

TEST_CASE("solid fraction: the choice of lattice vectors does not matter") {
    const StrutCell oblique = parse_strut_cell(R"(
vectors_mm = [[-2.5, 2.5, 2.5], [2.5, -2.5, 2.5], [2.5, 2.5, -2.5]]
nodes = [[0, 0, 0]]
struts = [[0, 0], [0, 0], [0, 0], [0, 0]]
images = [[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 1]]
)",
                                               "primitive body-centred");
    const StrutCell box = find_cell("body_centred");
    for (const double d : {0.4e-3, 1.1e-3, 2.0e-3})
        CHECK(test::rel_err(fraction(oblique, d), fraction(box, d)) < 2e-4);
    CHECK(test::rel_err(fraction(scaled(box, 3.0), 3.3e-3), fraction(box, 1.1e-3)) < 1e-12);
}

TEST_CASE("solid fraction: overlap share is what centre lines count too often") {
    const StrutCell cell = find_cell("simple_cubic");
    const SolidFraction f = solid_fraction(cell, strut_diameters(cell, 0.5e-3));
    CHECK(test::rel_err(f.centre_line_density, 3 * pi * 0.0025) < 1e-12);
    CHECK(test::rel_err(f.overlap_share, 8 * r2 * 0.05 / (3 * pi)) < 5e-3);
}

TEST_CASE("rod union: two balls, a bent pair and flat ends have their textbook volumes") {
    // One rounded rod: cylinder and ball. Two rods in line: the joint adds nothing.
    StrutNet net{.nodes = {Vec3(0, 0, 0), Vec3(3, 0, 0), Vec3(7, 0, 0)},
                 .is_cut = {false, false, false},
                 .struts = {{.a = 0, .b = 1, .radius = 0.5, .whole_length = 3}},
                 .lattice = 10.0 * Mat3::Identity()};
    const double ball = 4.0 / 3.0 * pi * 0.125;
    CHECK(test::rel_err(union_volume(net), 0.75 * pi + ball) < 2e-3); // caps: 400 directions
    net.struts.push_back({.a = 1, .b = 2, .radius = 0.5, .whole_length = 4});
    CHECK(test::rel_err(union_volume(net), 1.75 * pi + ball) < 2e-3);
    net.is_cut = {true, false, true};
    CHECK(test::rel_err(union_volume(net), 1.75 * pi) < 1e-6);
    // Right-angled crossing through the middle: Steinmetz solid of two cylinders, 16 r^3 / 3.
    net.nodes = {Vec3(-3, 0, 0), Vec3(3, 0, 0), Vec3(0, -3, 0), Vec3(0, 3, 0)};
    net.is_cut = {true, true, true, true};
    net.struts = {{.a = 0, .b = 1, .radius = 0.5, .whole_length = 6},
                  {.a = 2, .b = 3, .radius = 0.5, .whole_length = 6}};
    CHECK(test::rel_err(union_volume(net), 3.0 * pi - 16.0 / 3.0 * 0.125) < 2e-4);
}

TEST_CASE("diameter for density: the density comes back, for every cell of the catalogue") {
    for (const std::string& name : catalogue_names())
        for (const double rb : {0.05, 0.3}) {
            CAPTURE(name);
            const StrutCell cell = find_cell(name);
            CHECK(test::rel_err(fraction(cell, diameter_for_density(cell, rb)), rb) < 1e-5);
        }
    const StrutCell cubic = find_cell("simple_cubic"); // closed form at x = 0.1
    CHECK(test::rel_err(diameter_for_density(cubic, 0.0829341), 1e-3) < 2e-4);
}

TEST_CASE("diameter for density: own diameters keep their ratio") {
    const StrutCell cell = find_cell("isotropic_mix");
    const std::vector<double> d = diameters_for_density(cell, 0.15);
    CHECK(test::rel_err(d[9] / d[0], cell.diameters[9] / cell.diameters[0]) < 1e-12);
    CHECK(test::rel_err(d[0], diameter_for_density(cell, 0.15)) < 1e-12);
}

TEST_CASE("diameter for density: what cannot be reached is an input error with the limit") {
    const StrutCell cell = find_cell("kelvin");
    for (const double rb : {0.0, -0.1, 1.0, 0.99, std::nan("")})
        try {
            (void)diameter_for_density(cell, rb);
            FAIL("no error");
        } catch (const Error& e) {
            CHECK(e.fault() == Fault::Input);
            CHECK(e.message().find("at most 0.98 is possible") != std::string::npos);
        }
    CHECK(test::rel_err(fraction(cell, diameter_for_density(cell, 0.95)), 0.95) < 1e-5);
}
