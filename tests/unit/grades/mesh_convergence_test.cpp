// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/mesh_convergence.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace cellgrade;
using test::rel_err;

namespace {

/// Three plane meshes by their numbers of cells, finest first.
std::array<MeshValue, 3> planes(std::array<double, 3> cells, std::array<double, 3> values) {
    std::array<MeshValue, 3> m{};
    for (std::size_t i = 0; i < 3; ++i)
        m[i] = {1.0 / std::sqrt(cells[i]), values[i]};
    return m;
}

MeshConvergence series(double limit, double C, double p, std::array<double, 3> sizes) {
    std::array<MeshValue, 3> m{};
    for (std::size_t i = 0; i < 3; ++i)
        m[i] = {sizes[i], limit + C * std::pow(sizes[i], p)};
    return mesh_convergence(m, 0);
}

} // namespace

// Problem    the three sample calculations of a published procedure
// Exact      p 1.53, limit 6.1685, index 2.2 %; p 0.75, 10.8801, 1.1 %; p 1.51, 6.0269, 0.5 % (the
//            last one oscillates)
// Source     Celik et al. 2008, J. Fluids Eng. 130, 078001, table 1 (from memory)
// Tolerance  half of the last printed digit
TEST_CASE("mesh convergence: the published sample calculations come out") {
    const MeshConvergence a =
        mesh_convergence(planes({18000, 8000, 4500}, {6.063, 5.972, 5.863}), 0);
    CHECK(a.trend == MeshTrend::Monotone);
    CHECK(std::abs(a.order - 1.53) < 0.005);
    CHECK(std::abs(a.extrapolated - 6.1685) < 5e-5);
    CHECK(std::abs(a.index - 0.022) < 5e-4);
    CHECK(rel_err(2.0 * a.standard, a.index * 6.063) < 1e-12);

    const MeshConvergence b =
        mesh_convergence(planes({18000, 4500, 980}, {10.788, 10.725, 10.605}), 0);
    CHECK(std::abs(b.order - 0.75) < 0.005);
    CHECK(std::abs(b.extrapolated - 10.8801) < 5e-5);
    CHECK(std::abs(b.index - 0.011) < 5e-4);

    const MeshConvergence c =
        mesh_convergence(planes({18000, 4500, 980}, {6.0042, 5.9624, 6.0909}), 0);
    CHECK(c.trend == MeshTrend::Oscillating);
    CHECK(std::abs(c.order - 1.51) < 0.005);
    CHECK(std::abs(c.extrapolated - 6.0269) < 5e-5);
    CHECK(std::abs(c.index - 0.005) < 5e-4);
    // half the range of the three, 0.0643, is wider than the index
    CHECK(rel_err(2.0 * c.standard, 0.5 * (6.0909 - 5.9624)) < 1e-12);
}

// Exact      order 1.786170, limit 0.971300, index 0.103083 % (fine), 0.356249 % (middle)
// Source     worked example of a wind-tunnel pressure recovery, NPARC Alliance, "Examining Spatial
//            (Grid) Convergence"; index of the middle mesh: r^p times that of the fine one
// Tolerance  half of the last printed digit of six, five for the index
TEST_CASE("mesh convergence: halved meshes follow the published example, coarse ones too") {
    const std::array<MeshValue, 3> m{{{1.0, 0.97050}, {2.0, 0.96854}, {4.0, 0.96178}}};
    const MeshConvergence fine = mesh_convergence(m, 0), middle = mesh_convergence(m, 1);
    CHECK(std::abs(fine.order - 1.786170) < 5e-7);
    CHECK(std::abs(fine.extrapolated - 0.971300) < 5e-7);
    CHECK(std::abs(fine.index - 1.03083e-3) < 1e-8);
    CHECK(rel_err(middle.standard, std::pow(2.0, fine.order) * fine.standard) < 1e-12);
    CHECK(std::abs(2.0 * middle.standard / 0.96854 - 3.56249e-3) < 5e-9);
}

// Exact      the series itself; ratios of 1.5 and 1.4 that no closed form serves
// Tolerance  rounding: the differences keep 1e-13 of the values
TEST_CASE("mesh convergence: order and limit of a power series for ratios that differ") {
    for (const double p : {0.3, 1.0, 2.0, 3.7}) {
        const MeshConvergence c = series(5.0, -0.4, p, {1.0, 1.5, 2.1});
        CHECK(c.trend == MeshTrend::Monotone);
        CHECK(std::abs(c.order - p) < 1e-10);
        CHECK(rel_err(c.extrapolated, 5.0) < 1e-11);
    }
}

// Exact      1.25 times the true error where the order lies within 0.5 and 2; above, the band of
//            order 2, which is wider
TEST_CASE("mesh convergence: the band holds the true error and a lucky order does not narrow it") {
    CHECK(rel_err(2.0 * series(5.0, -0.4, 1.3, {1.0, 1.5, 2.1}).standard, 1.25 * 0.4) < 1e-9);
    const MeshConvergence lucky = series(5.0, -0.4, 3.7, {1.0, 1.5, 2.1});
    const double e21 = 0.4 * (std::pow(1.5, 3.7) - 1.0);
    CHECK(rel_err(2.0 * lucky.standard, 1.25 * e21 / (2.25 - 1.0)) < 1e-9);
    CHECK(2.0 * lucky.standard > 1.25 * 0.4);
}

// Exact      F = 3, p = 2: 3 |e|/(r^2 - 1) for the fine mesh, r^2 times that for the coarse one
// Source     Roache 1994, J. Fluids Eng. 116, 405
TEST_CASE("mesh convergence: two meshes take an assumed order and the larger factor") {
    const std::array<MeshValue, 2> m{{{2.0, 10.6}, {1.0, 10.0}}};
    const MeshConvergence fine = mesh_convergence(m, 1), coarse = mesh_convergence(m, 0);
    CHECK(fine.trend == MeshTrend::TwoMeshes);
    CHECK(std::isnan(fine.order));
    CHECK(rel_err(fine.extrapolated, 9.8) < 1e-12);
    CHECK(rel_err(2.0 * fine.standard, 0.6) < 1e-12);
    CHECK(rel_err(2.0 * coarse.standard, 2.4) < 1e-12);
}

TEST_CASE("mesh convergence: diverging values are told, without order or limit") {
    for (const double last : {10.1, 9.9}) { // moves less between the coarse meshes
        const std::array<MeshValue, 3> m{{{1.0, 12.0}, {2.0, 10.0}, {4.0, last}}};
        const MeshConvergence c = mesh_convergence(m, 0);
        CHECK(c.trend == MeshTrend::Diverging);
        CHECK(std::isnan(c.order));
        CHECK(std::isnan(c.extrapolated));
        CHECK(rel_err(2.0 * c.standard, 3.0 * (12.0 - std::min(10.0, last))) < 1e-12);
    }
}

TEST_CASE("mesh convergence: equal values leave no doubt, order of the meshes does not matter") {
    const std::array<MeshValue, 3> same{{{1.0, 7.0}, {2.0, 7.0}, {4.0, 7.0}}};
    CHECK(mesh_convergence(same, 1).standard == 0.0);
    CHECK(mesh_convergence(same, 1).trend == MeshTrend::Same);
    const std::array<MeshValue, 3> a{{{1.0, 7.0}, {1.5, 7.2}, {3.0, 8.0}}};
    const std::array<MeshValue, 3> b{{a[2], a[0], a[1]}};
    CHECK(mesh_convergence(a, 1).standard == mesh_convergence(b, 2).standard);
    // equal on the two finer ones only: converged, as far as they tell
    const std::array<MeshValue, 3> settled{{{1.0, 7.0}, {1.5, 7.0}, {3.0, 8.0}}};
    CHECK(mesh_convergence(settled, 0).standard == 0.0);
    CHECK(std::isnan(mesh_convergence(settled, 0).order));
    CHECK(mesh_convergence(settled, 0).extrapolated == 7.0);
    CHECK(rel_err(2.0 * mesh_convergence(settled, 2).standard, 1.25) < 1e-12);
}
