// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/stiffness.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/oriented_cell.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "solver/core/error.hpp"
#include "solver/homogenize/elastic_constants.hpp"

#include <doctest/doctest.h>

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>

#include <string>

using namespace cellgrade;

namespace {

const SectionModuli moduli = section_moduli(50e6, 0.45);

/// A cell without any symmetry: three nodes, six struts of mixed size, sheared lattice.
StrutCell crooked_cell() {
    StrutCell cell;
    cell.name = "crooked";
    cell.lattice << 10e-3, 1e-3, 2e-3, 0.0, 12e-3, -1e-3, 0.0, 0.0, 9e-3;
    cell.nodes = {{0.1, 0.2, 0.3}, {0.6, 0.5, 0.4}, {0.2, 0.8, 0.7}};
    cell.struts = {
        {.a = 0, .b = 1, .image_b = {0, 0, 0}},  {.a = 1, .b = 0, .image_b = {1, 0, 0}},
        {.a = 1, .b = 2, .image_b = {0, 0, 0}},  {.a = 2, .b = 0, .image_b = {0, 1, 0}},
        {.a = 2, .b = 0, .image_b = {0, 0, 1}},  {.a = 2, .b = 1, .image_b = {-1, 0, 1}},
        {.a = 0, .b = 0, .image_b = {1, 0, -1}}, {.a = 1, .b = 2, .image_b = {0, -1, 0}}};
    return cell;
}

std::vector<double> mixed_diameters(const StrutCell& cell) {
    std::vector<double> d;
    for (std::size_t s = 0; s < cell.struts.size(); ++s)
        d.push_back(1e-3 + 0.1e-3 * static_cast<double>(s));
    return d;
}

std::string message_of(const StrutCell& cell, std::span<const double> diameters) {
    try {
        static_cast<void>(elastic_stiffness(cell, diameters, moduli));
    } catch (const Error& error) {
        return error.message();
    }
    return "no error";
}

/// Two copies of a cell side by side along its first lattice vector.
StrutCell doubled(const StrutCell& cell) {
    StrutCell twice = cell;
    twice.lattice.col(0) *= 2.0;
    twice.nodes.clear();
    twice.struts.clear();
    const Index n = static_cast<Index>(cell.nodes.size());
    for (int copy = 0; copy < 2; ++copy)
        for (const Vec3& node : cell.nodes)
            twice.nodes.emplace_back(0.5 * (node.x() + copy), node.y(), node.z());
    for (int copy = 0; copy < 2; ++copy)
        for (const Strut& strut : cell.struts) {
            const int reach = copy + strut.image_b.x() + 2; // >= 0
            twice.struts.push_back(
                {.a = strut.a + copy * n,
                 .b = strut.b + reach % 2 * n,
                 .image_b = Vec3i(reach / 2 - 1, strut.image_b.y(), strut.image_b.z())});
        }
    return twice;
}

} // namespace

TEST_CASE("stiffness: two cells side by side are as stiff as one") {
    const StrutCell cell = crooked_cell();
    std::vector<double> d = mixed_diameters(cell);
    const Mat6 one = elastic_stiffness(cell, d, moduli).C;
    const std::vector<double> copy = d;
    d.insert(d.end(), copy.begin(), copy.end());
    const Mat6 two = elastic_stiffness(doubled(cell), d, moduli).C;
    CHECK((one - two).norm() < 1e-10 * one.norm());
}

TEST_CASE("stiffness: a turned cell gives the turned tensor") {
    const StrutCell cell = crooked_cell();
    const std::vector<double> d = mixed_diameters(cell);
    StrutCell turned = cell;
    const Mat3 R = Eigen::AngleAxisd(0.7, Vec3(1.0, 2.0, -0.5).normalized()).toRotationMatrix();
    turned.lattice = R * cell.lattice;
    const Mat6 S = compliance(elastic_stiffness(cell, d, moduli).C);
    const Mat6 S_turned = compliance(elastic_stiffness(turned, d, moduli).C);
    for (const Vec3& n : {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(1, 1, 1), Vec3(-1, 2, 0.3)}) {
        const double E = youngs_modulus_along(S, n);
        CHECK(std::abs(youngs_modulus_along(S_turned, R * n) - E) < 1e-9 * E);
    }
    CHECK(cubic_misfit(elastic_stiffness(cell, d, moduli).C) > 0.1);
}

TEST_CASE("stiffness: the tensor is positive definite and below the Voigt bound") {
    const StrutCell cell = crooked_cell();
    const ElasticStiffness s = elastic_stiffness(cell, mixed_diameters(cell), moduli);
    const double share = voigt_share(s.C, s.centre_line_density, moduli.youngs);
    CHECK(share > 0.0);
    CHECK(share < 1.0);
}

TEST_CASE("stiffness: joints of factor 1 change nothing, stiffer ones stiffen every direction") {
    const StrutCell cell = crooked_cell();
    const std::vector<double> d = mixed_diameters(cell);
    const Mat6 plain = elastic_stiffness(cell, d, moduli).C;
    const Mat6 same =
        elastic_stiffness(cell, d, moduli, {.joints = Joints::Stiffened, .stiffness = 1.0}).C;
    CHECK((same - plain).norm() < 1e-10 * plain.norm());
    const Mat6 more = elastic_stiffness(cell, d, moduli, {.joints = Joints::Stiffened}).C;
    CHECK(Eigen::SelfAdjointEigenSolver<Mat6>(Mat6(more - plain)).eigenvalues().minCoeff() > 0.0);
    CHECK_THROWS_AS(static_cast<void>(elastic_stiffness(
                        cell, d, moduli, {.joints = Joints::Stiffened, .stiffness = 0.5})),
                    Error);
}

TEST_CASE("stiffness: a joint zone stretches in series with its strut") {
    // simple cubic along an axis: one strut of length a, zones z at both ends k times as stiff,
    // E100 / plain = 1 / (1 - 2 z/a (1 - 1/k)); equal struts at right angles part at z = r
    StrutCell cell;
    cell.name = "simple cubic";
    cell.lattice = 10e-3 * Mat3::Identity();
    cell.nodes = {Vec3::Zero()};
    cell.struts = {{.a = 0, .b = 0, .image_b = {1, 0, 0}},
                   {.a = 0, .b = 0, .image_b = {0, 1, 0}},
                   {.a = 0, .b = 0, .image_b = {0, 0, 1}}};
    const double plain = elastic_stiffness(cell, 1e-3, moduli).C(0, 0);
    const double stiff =
        elastic_stiffness(cell, 1e-3, moduli, {.joints = Joints::Stiffened, .stiffness = 2.0})
            .C(0, 0);
    CHECK(std::abs(stiff / plain - 1.0 / (1.0 - 2.0 * 0.05 * 0.5)) < 1e-10);
}

TEST_CASE("stiffness: bad cells are refused in one clear line") {
    StrutCell cell = crooked_cell();
    std::vector<double> d = mixed_diameters(cell);
    d.pop_back();
    CHECK(message_of(cell, d) == "cell 'crooked' has 8 struts but 7 diameters were given");
    d.push_back(-1e-3);
    CHECK(message_of(cell, d) ==
          "cell 'crooked': diameter -0.001 m of strut 7 must be greater than 0");
    d = mixed_diameters(cell);
    cell.lattice.col(2) = cell.lattice.col(0) - cell.lattice.col(1);
    CHECK(message_of(cell, d) == "cell 'crooked': the three lattice vectors lie in one plane");
    cell = crooked_cell();
    cell.nodes.emplace_back(0.9, 0.9, 0.9);
    CHECK(message_of(cell, d).find("no chain of struts joins nodes 0 and 3") != std::string::npos);
    cell = crooked_cell();
    cell.struts[0].b = 0;
    CHECK(message_of(cell, d).find("strut 0 has no length") != std::string::npos);
}

TEST_CASE("stiffness: a frame that can turn freely is refused") {
    StrutCell chain;
    chain.name = "chain";
    chain.lattice = 10e-3 * Mat3::Identity();
    chain.nodes = {Vec3::Zero()};
    chain.struts = {{.a = 0, .b = 0, .image_b = {1, 0, 0}}};
    const std::vector<double> d = {1e-3};
    CHECK(message_of(chain, d).find("can move without strain") != std::string::npos);
}

TEST_CASE("elastic constants: an isotropic tensor gives back its constants") {
    const double E = 3.0, nu = 0.3, mu = E / (2.0 * (1.0 + nu)),
                 lambda = 2.0 * mu * nu / (1 - 2 * nu);
    Mat6 C = Mat6::Zero();
    C.topLeftCorner<3, 3>().setConstant(lambda);
    C.diagonal().head<3>().array() += 2.0 * mu;
    C.diagonal().tail<3>().setConstant(mu);
    const Mat6 S = compliance(C);
    const Vec3 n(0.3, -0.8, 0.6), m(0.8, 0.3, 0.0);
    CHECK(std::abs(youngs_modulus_along(S, n) - E) < 1e-12);
    CHECK(std::abs(poisson_ratio(S, n, m) - nu) < 1e-12);
    CHECK(std::abs(bulk_modulus(S) - E / (3.0 * (1.0 - 2.0 * nu))) < 1e-12);
    CHECK(std::abs(zener_ratio(C) - 1.0) < 1e-12);
    CHECK(cubic_misfit(C) < 1e-15);
    CHECK_THROWS_AS(static_cast<void>(poisson_ratio(S, n, n)), Error);
    C(3, 3) = 0.0;
    CHECK_THROWS_AS(static_cast<void>(compliance(C)), Error);
}

// Exact      1 / E(n) = n_i n_j n_k n_l S_ijkl of the cell itself.
// Source     Nye (1957), Physical Properties of Crystals, ch. 8
// Tolerance  rounding of two sparse solutions of the same frame
TEST_CASE("stiffness: a turned cell is as stiff along z as the cell along that direction") {
    for (const char* name : {"octet", "body_centred", "kelvin"}) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name);
        const double d = 0.08 * cell.lattice(0, 0);
        const auto stiffness = [&](const StrutCell& c) {
            return elastic_stiffness(c, strut_diameters(c, d), moduli).C;
        };
        const Mat6 S = compliance(stiffness(cell));
        for (const std::array<Index, 3>& n :
             {std::array<Index, 3>{1, 1, 0}, std::array<Index, 3>{1, 1, 1},
              std::array<Index, 3>{1, 0, 0}, std::array<Index, 3>{2, 1, 0}}) {
            const Mat6 turned_S = compliance(stiffness(std::get<StrutCell>(oriented(cell, n))));
            const Vec3 along(static_cast<double>(n[0]), static_cast<double>(n[1]),
                             static_cast<double>(n[2]));
            const double expected = youngs_modulus_along(S, along);
            CHECK(std::abs(1.0 / turned_S(2, 2) / expected - 1.0) < 1e-8);
        }
    }
}
