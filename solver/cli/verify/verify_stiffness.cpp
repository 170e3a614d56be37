// SPDX-License-Identifier: Apache-2.0
// Closed forms of rigid-jointed periodic frames. The frame solve is exact for them, so tolerances
// are those of round-off (1e-8) or of the printed digits (1e-6), unless a row says otherwise.
#include "solver/cli/verify/known_cells.hpp"
#include "solver/cli/verify/verification_row.hpp"
#include "solver/homogenize/elastic_constants.hpp"
#include "solver/homogenize/stiffness.hpp"

#include <Eigen/LU>

#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

namespace cellgrade {

namespace {

using Rows = std::vector<VerificationRow>;

/// Shear flexibility of 1e-12 of Timoshenko's: Euler-Bernoulli struts.
constexpr SectionModuli slender_moduli{.youngs = 1.0, .shear = 1.0 / 2.9, .shear_factor = 1e12};
/// A unit modulus makes every stiffness a multiple of the modulus of the solid.
const SectionModuli shear_moduli = section_moduli(1.0, 0.45);
constexpr double edge = 1.0;

void add(Rows& rows,
         std::string id,
         std::string quantity,
         std::pair<double, double> ref_got,
         double tolerance,
         std::string source) {
    rows.push_back(verification_row({.id = "stiffness/" + std::move(id),
                                     .quantity = std::move(quantity),
                                     .unit = "1",
                                     .reference = ref_got.first,
                                     .computed = ref_got.second,
                                     .tolerance = tolerance,
                                     .source = std::move(source)}));
}

double young_100(const Mat6& C) {
    return youngs_modulus_along(compliance(C), Vec3::UnitX());
}

/// All struts of these cells stretch alike under pressure: K = rb E_s / 9.
void add_bulk_moduli(Rows& rows) {
    constexpr double r = 0.04;
    for (const StrutCell& cell :
         {known_cells::simple_cubic(edge), known_cells::body_centred(edge),
          known_cells::face_centred(edge), known_cells::octet(edge), known_cells::kelvin(edge)}) {
        const ElasticStiffness s = elastic_stiffness(cell, 2.0 * r, shear_moduli);
        add(rows, cell.name + "-bulk", "bulk modulus / E of " + cell.name + ", r/a 0.04",
            {s.centre_line_density / 9.0, bulk_modulus(compliance(s.C))}, 1e-8,
            "affine stretch of all struts: K = rb E / 9");
    }
}

/// C11, C12, C44 over relative density and modulus of a cubic cell, against a closed form.
struct CubicForm {
    StrutCell cell;
    double density; ///< rb, overlaps counted twice
    double C11, C12, C44;
    std::string source;
};

std::vector<CubicForm> cubic_forms(double r) {
    const double pi = std::numbers::pi, x2 = r * r / (edge * edge);
    const double bcc = 4.0 * x2, oct = 6.0 * x2; // s = 3 (r/l)^2
    return {
        {known_cells::simple_cubic(edge), 3.0 * pi * x2, 1.0 / 3.0, 0.0, 0.5 * x2,
         "simple cubic frame: C11 = rb/3, C44 = rb s/6 (two guided half struts)"},
        {known_cells::body_centred(edge), 4.0 * std::sqrt(3.0) * pi * x2, (1.0 + 2.0 * bcc) / 9.0,
         (1.0 - bcc) / 9.0, (1.0 + 0.5 * bcc) / 9.0,
         "body-centred frame, nodes do not turn: C11 = (1+2s)/9, C12 = (1-s)/9, C44 = (1+s/2)/9"},
        {known_cells::octet(edge), 12.0 * std::numbers::sqrt2 * pi * x2, (1.0 + oct) / 6.0,
         (1.0 - oct) / 12.0, (1.0 + oct) / 12.0,
         "Deshpande, Fleck & Ashby (2001), J. Mech. Phys. Solids 49, 1747, with strut bending"}};
}

void add_cubic_constants(Rows& rows) {
    constexpr double r = 0.05;
    for (const CubicForm& form : cubic_forms(r)) {
        const ElasticStiffness s = elastic_stiffness(form.cell, 2.0 * r, slender_moduli);
        const double unit = s.centre_line_density;
        const std::string& name = form.cell.name;
        add(rows, name + "-density", "centre-line relative density of " + name + ", r/a 0.05",
            {form.density, unit}, 1e-12, "strut length in a cell");
        add(rows, name + "-C11", "C11 / (rb E) of " + name + ", r/a 0.05",
            {form.C11, s.C(0, 0) / unit}, 1e-8, form.source);
        rows.push_back(
            verification_row_scaled({.id = "stiffness/" + name + "-C12",
                                     .quantity = "C12 / (rb E) of " + name + ", r/a 0.05",
                                     .unit = "1",
                                     .reference = form.C12,
                                     .computed = s.C(0, 1) / unit,
                                     .tolerance = 1e-8,
                                     .source = form.source},
                                    form.C11));
        add(rows, name + "-C44", "C44 / (rb E) of " + name + ", r/a 0.05",
            {form.C44, s.C(3, 3) / unit}, 1e-8, form.source);
    }
}

void add_face_centred(Rows& rows) {
    constexpr double r = 0.05;
    const double s = 6.0 * r * r;
    const double C11 = (1.0 + s) / 6.0, C12 = (1.0 - s) / 12.0;
    const ElasticStiffness k =
        elastic_stiffness(known_cells::face_centred(edge), 2.0 * r, slender_moduli);
    const double unit = k.centre_line_density;
    add(rows, "face-centred-E100", "E100 / (rb E) of face-centred, r/a 0.05",
        {C11 - 2.0 * C12 * C12 / (C11 + C12), young_100(k.C) / unit}, 1e-8,
        "the same function of s as the octet");
    add(rows, "face-centred-C44", "C44 / (rb E) of face-centred, r/a 0.05",
        {0.0837837, k.C(3, 3) / unit}, 1e-6, "independent direct-stiffness frame, 7 digits");
}

void add_kelvin(Rows& rows) {
    constexpr double r = 0.02;
    const double L = edge / (2.0 * std::numbers::sqrt2);
    const double A = std::numbers::pi * r * r, I = 0.25 * A * r * r;
    const std::string source = "Zhu, Knott & Mills (1997), J. Mech. Phys. Solids 45, 319 (citation "
                               "from memory; form re-derived)";
    const ElasticStiffness k =
        elastic_stiffness(known_cells::kelvin(edge), 2.0 * r, slender_moduli);
    add(rows, "kelvin-E100", "E100 / E of kelvin, r/a 0.02",
        {6.0 * std::numbers::sqrt2 * I / (std::pow(L, 4) * (1.0 + 12.0 * I / (A * L * L))),
         young_100(k.C)},
        1e-8, source);
    add(rows, "kelvin-nu", "Poisson ratio along axes of kelvin, r/a 0.02",
        {0.5 * (A * L * L - 12.0 * I) / (A * L * L + 12.0 * I),
         poisson_ratio(compliance(k.C), Vec3::UnitX(), Vec3::UnitY())},
        1e-8, source);
}

/// Struts so slender (r/a = 1e-3) that bending adds s = 4e-6 at most; tolerance 1e-5 covers it.
void add_isotropic_truss(Rows& rows) {
    constexpr double r = 1e-3;
    const StrutCell cell = known_cells::body_centred_with_edges(edge);
    std::vector<double> diameters;
    for (const Strut& strut : cell.struts)
        diameters.push_back(2.0 * r *
                            (strut.a == strut.b ? std::sqrt(4.0 * std::sqrt(3.0) / 9.0) : 1.0));
    const ElasticStiffness k = elastic_stiffness(cell, diameters, slender_moduli);
    const double unit = k.centre_line_density;
    const std::string source = "Gurtner & Durand (2014), Proc. R. Soc. A 470: stiffest isotropic "
                               "truss, E = rb/6";
    add(rows, "isotropic-truss-C11", "C11 / (rb E)", {0.2, k.C(0, 0) / unit}, 1e-5, source);
    add(rows, "isotropic-truss-C12", "C12 / (rb E)", {1.0 / 15.0, k.C(0, 1) / unit}, 1e-5, source);
    add(rows, "isotropic-truss-C44", "C44 / (rb E)", {1.0 / 15.0, k.C(3, 3) / unit}, 1e-5, source);
    add(rows, "isotropic-truss-E111", "E along [111] / (rb E)",
        {1.0 / 6.0, youngs_modulus_along(compliance(k.C), Vec3(1.0, 1.0, 1.0)) / unit}, 1e-5,
        source);
    add(rows, "isotropic-truss-zener", "Zener ratio", {1.0, zener_ratio(k.C)}, 2e-5, source);
}

/// Digits of an independent periodic direct-stiffness frame, r/a = 0.05, 7 digits.
void add_digits(Rows& rows) {
    struct Digits {
        StrutCell cell;
        double E100, C44, E100_shear, C44_shear;
    };
    const std::string source = "independent direct-stiffness frame, 7 digits";
    for (const Digits& d :
         {Digits{known_cells::simple_cubic(edge), 7.853982e-3, 2.945243e-5, 7.853982e-3,
                 2.875512e-5},
          Digits{known_cells::body_centred(edge), 2.707163e-4, 6.076228e-3, 2.622782e-4,
                 6.075281e-3},
          Digits{known_cells::octet(edge), 1.539905e-2, 1.127382e-2, 1.537191e-2, 1.126611e-2}}) {
        const Mat6 slender = elastic_stiffness(d.cell, 0.1, slender_moduli).C;
        const Mat6 shear = elastic_stiffness(d.cell, 0.1, shear_moduli).C;
        const std::string what = " / E of " + d.cell.name + ", r/a 0.05, ";
        const std::string& name = d.cell.name;
        add(rows, name + "-E100-eb", "E100" + what + "Euler-Bernoulli",
            {d.E100, young_100(slender)}, 1e-6, source);
        add(rows, name + "-C44-eb", "C44" + what + "Euler-Bernoulli", {d.C44, slender(3, 3)}, 1e-6,
            source);
        add(rows, name + "-E100-shear", "E100" + what + "nu 0.45", {d.E100_shear, young_100(shear)},
            1e-6, source);
        add(rows, name + "-C44-shear", "C44" + what + "nu 0.45", {d.C44_shear, shear(3, 3)}, 1e-6,
            source);
    }
}

/// Bending of the cell walls only; stretching adds about 3 (r/l)^2 x 4 = 1.2e-3 of it at most at
/// r/l = 0.01, hence the tolerance. The layer does not resist out of plane, so its plane part of C
/// is inverted alone.
void add_honeycomb(Rows& rows) {
    constexpr double side = 1.0, height = 0.2, r = 0.01;
    const Mat6 C =
        elastic_stiffness(known_cells::hexagon_layer(side, height), 2.0 * r, slender_moduli).C;
    Mat3 plane;
    constexpr std::array<int, 3> in_plane = {0, 1, 5};
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j)
            plane(i, j) = C(in_plane[i], in_plane[j]);
    const Mat3 S = plane.inverse();
    // (t/l)^3 of a wall of depth b is 12 I / (b l^3).
    const double cube =
        12.0 * 0.25 * std::numbers::pi * std::pow(r, 4) / (height * side * side * side);
    const std::string source = "Gibson & Ashby (1997), Cellular Solids, table 3.2, (t/l)^3 = "
                               "12 I/(b l^3)";
    add(rows, "honeycomb-E1", "E1 / E of regular hexagons",
        {4.0 / std::sqrt(3.0) * cube, 1.0 / S(0, 0)}, 2e-3, source);
    add(rows, "honeycomb-E2", "E2 / E of regular hexagons",
        {4.0 / std::sqrt(3.0) * cube, 1.0 / S(1, 1)}, 2e-3, source);
    add(rows, "honeycomb-nu12", "Poisson ratio in plane", {1.0, -S(0, 1) / S(0, 0)}, 2e-3, source);
    add(rows, "honeycomb-G12", "G12 / E of regular hexagons",
        {cube / std::sqrt(3.0), 1.0 / S(2, 2)}, 2e-3, source);
}

} // namespace

std::vector<VerificationRow> verify_stiffness() {
    Rows rows;
    add_bulk_moduli(rows);
    add_cubic_constants(rows);
    add_face_centred(rows);
    add_kelvin(rows);
    add_isotropic_truss(rows);
    add_digits(rows);
    add_honeycomb(rows);
    return rows;
}

} // namespace cellgrade
