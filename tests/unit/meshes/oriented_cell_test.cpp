// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/oriented_cell.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <Eigen/LU>

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

using namespace cellgrade;

namespace {

using Direction = std::array<Index, 3>;

StrutCell turned(const StrutCell& cell, const Direction& direction) {
    return std::get<StrutCell>(oriented(cell, direction));
}

double strut_length_per_volume(const StrutCell& cell) {
    double sum = 0.0;
    for (const Strut& strut : cell.struts)
        sum += length(cell, strut);
    return sum / cell_volume(cell);
}

/// |cosine| of every strut to z, sorted; each strut counted once for each unit of volume.
std::vector<double> slopes(const StrutCell& cell, const Vec3& axis) {
    std::vector<double> all;
    for (const Strut& strut : cell.struts) {
        const Vec3 e = cell.lattice *
                       (cell.nodes[strut.b] + strut.image_b.cast<double>() - cell.nodes[strut.a]);
        all.push_back(std::abs(e.normalized().dot(axis.normalized())));
    }
    std::sort(all.begin(), all.end());
    return all;
}

} // namespace

TEST_CASE("oriented cell: the box of a cubic cell is the one of crystallography") {
    const Mat3 cube = 5e-3 * Mat3::Identity();
    const auto box_110 = right_angled_box(cube, {1, 1, 0});
    CHECK(box_110.col(2) == Vec3i(1, 1, 0));
    CHECK(std::abs(box_110.cast<double>().determinant() - 2.0) < 1e-12);
    // Smallest orthogonal box along [111]: a/sqrt2 is not in a primitive cube, so sqrt2 x sqrt6 x
    // sqrt3 edges, 6 cells.
    const auto box_111 = right_angled_box(cube, {2, 2, 2}); // common factors do not matter
    CHECK(box_111.col(2) == Vec3i(1, 1, 1));
    CHECK(std::abs(box_111.cast<double>().determinant() - 6.0) < 1e-9);
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < i; ++j)
            CHECK(box_111.col(i).dot(box_111.col(j)) == 0);
    CHECK(std::abs(right_angled_box(cube, {1, 2, 3}).cast<double>().determinant() - 42.0) < 1e-9);
}

TEST_CASE("oriented cell: what has no right-angled box is refused with its direction") {
    Mat3 brick = Mat3::Identity();
    brick(2, 2) = 1.3; // whole steps at right angles to [111] are hundreds of cells long
    CHECK_THROWS_WITH_AS((void)right_angled_box(brick, {1, 1, 1}),
                         doctest::Contains("direction [1 1 1] has no right-angled box"), Error);
    CHECK_THROWS_WITH_AS((void)right_angled_box(brick, {0, 0, 0}),
                         doctest::Contains("[000] is no direction"), Error);
    CHECK_NOTHROW((void)right_angled_box(brick, {1, 1, 0}));
}

TEST_CASE("oriented cell: every catalogue cell keeps struts, density and slopes") {
    for (const std::string& name : catalogue_names()) {
        const StrutCell cell = find_cell(name);
        const Mat3& L = cell.lattice;
        const bool cubic = L.isDiagonal() && std::abs(L(0, 0) - L(1, 1)) < 1e-9 * L(0, 0) &&
                           std::abs(L(0, 0) - L(2, 2)) < 1e-9 * L(0, 0);
        if (!cubic)
            continue;
        CAPTURE(name);
        for (const Direction& d : {Direction{1, 0, 0}, Direction{1, 1, 0}, Direction{1, 1, 1}}) {
            const StrutCell t = turned(cell, d);
            CHECK(t.lattice.isDiagonal());
            CHECK(test::rel_err(strut_length_per_volume(t), strut_length_per_volume(cell)) < 1e-12);
            const std::size_t cells = t.struts.size() / cell.struts.size();
            REQUIRE(t.struts.size() == cells * cell.struts.size());
            const std::vector<double> was =
                slopes(cell, L * Vec3(static_cast<double>(d[0]), static_cast<double>(d[1]),
                                      static_cast<double>(d[2])));
            const std::vector<double> is = slopes(t, Vec3::UnitZ());
            double worst = 0.0;
            for (std::size_t s = 0; s < is.size(); ++s)
                worst = std::max(worst, std::abs(is[s] - was[s / cells]));
            CHECK(worst < 1e-9);
        }
    }
}

TEST_CASE("oriented cell: overlaps at joints are the same, so the density is") {
    const StrutCell cell = find_cell("octet");
    const double edge = cell.lattice(0, 0);
    const auto density = [&](const StrutCell& c) {
        return solid_fraction(c, strut_diameters(c, 0.1 * edge)).relative_density;
    };
    // The integral over the joints' rods is one and the same up to its quadrature.
    CHECK(test::rel_err(density(turned(cell, {1, 1, 1})), density(cell)) < 1e-4);
}

TEST_CASE("oriented cell: a level set is asked at the turned places") {
    const AnyCell cell = find_any_cell("gyroid_wall");
    const auto& plain = std::get<LevelSetCell>(cell);
    const AnyCell other = oriented(cell, {1, 1, 1});
    const auto& t = std::get<LevelSetCell>(other);
    CHECK(test::rel_err(t.size.prod(), 6.0 * plain.size.prod()) < 1e-12);
    const std::vector<Vec3> places{{0.1, 0.2, 0.3}, {0.77, 0.05, 0.93}, {0.0, 0.0, 0.5}};
    std::vector<double> values(places.size()), expected(places.size());
    t.function(places, values);
    const Mat3 box = right_angled_box(Mat3(plain.size.asDiagonal()), {1, 1, 1}).cast<double>();
    std::vector<Vec3> at;
    for (const Vec3& u : places)
        at.emplace_back(box * u);
    plain.function(at, expected); // periodic: asked beyond 0 to 1 here, on purpose
    for (std::size_t k = 0; k < places.size(); ++k)
        CHECK(std::abs(values[k] - expected[k]) < 1e-12);
}
