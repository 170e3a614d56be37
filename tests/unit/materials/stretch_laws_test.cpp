// SPDX-License-Identifier: Apache-2.0
// Laws on principal stretches: closed forms in any shape and in the invariants, and equal
// stretches.
#include "materials/laws/uniaxial_table.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/materials/law_samples.hpp"

#include <doctest/doctest.h>

#include <Eigen/LU>

#include <cmath>
#include <span>
#include <string>

using namespace cellgrade;
using test::RandomShapes;
using test::rel_err;

namespace {

template <class Law>
Mat3 pk1(const Law& law, const Mat3& F) {
    return law.advance(F, 0.0, {}).P;
}

HillFoam one_term(double alpha, double nu, double void_fraction = 0.0) {
    return {.mu_1 = 1.0,
            .alpha_1 = alpha,
            .nu_1 = nu,
            .mu_2 = 0.0,
            .alpha_2 = 0.0,
            .nu_2 = 0.0,
            .mu_3 = 0.0,
            .alpha_3 = 0.0,
            .nu_3 = 0.0,
            .void_fraction = void_fraction};
}

Ogden ogden(std::array<PowerTerm, 4> t) {
    return {.mu_1 = t[0].mu,
            .alpha_1 = t[0].alpha,
            .mu_2 = t[1].mu,
            .alpha_2 = t[1].alpha,
            .mu_3 = t[2].mu,
            .alpha_3 = t[2].alpha,
            .mu_4 = t[3].mu,
            .alpha_4 = t[3].alpha,
            .kappa = 5.0,
            .void_fraction = 0.0};
}

/// Shapes that are easy to get wrong: two or three equal stretches, and next to it; then any.
std::vector<Mat3> shapes() {
    RandomShapes random(31);
    std::vector<Mat3> all;
    for (const Vec3& stretch :
         {Vec3(0.4, 0.4, 0.4), Vec3(0.5, 1.2, 1.2), Vec3(2.0, 2.0, 0.3), Vec3(1.0, 1.0, 1.0 + 1e-9),
          Vec3(0.2, 1.0, 1.0), Vec3(1.5, 1.5 + 1e-12, 1.5), Vec3(3.0, 0.7, 0.25)})
        all.push_back(random.rotation() * stretch.asDiagonal() * random.rotation());
    for (int n = 0; n < 50; ++n)
        all.push_back(random.gradient());
    return all;
}

} // namespace

// Problem    one term, free sides (lateral stretch l^-nu), confined, and equal stretch of all axes.
// Exact      P = 2 mu/(alpha l) (l^alpha - J^(-alpha beta)), J = l^(1 - 2 nu), l, l^3.
// Source     references D12 (Storakers 1986); numbers of theirs, seven digits.
TEST_CASE("Hill foam: uniaxial, confined and hydrostatic stress, moduli") {
    struct Row {
        double stretch, uniaxial, confined, hydrostatic;
    };
    const HillFoam foam = one_term(2.0, 0.2);
    for (const Row& row : {Row{0.3, -5.095482, -7.138144, -36.73704},
                           {0.5, -2.139016, -2.674802, -7.5},
                           {0.8, -0.5667026, -0.6504965, -1.153125},
                           {1.2, 0.4252774, 0.4620427, 0.6212963}}) {
        const double l = row.stretch, side = std::pow(l, -0.2);
        INFO("stretch ", l);
        const Mat3 free = pk1(foam, Vec3(l, side, side).asDiagonal());
        CHECK(rel_err(free(0, 0), row.uniaxial) < 1e-6);
        CHECK(std::abs(free(1, 1)) < 1e-14 * std::abs(row.uniaxial));
        CHECK(rel_err(pk1(foam, Vec3(l, 1, 1).asDiagonal())(0, 0), row.confined) < 1e-6);
        CHECK(rel_err(pk1(foam, l * Mat3::Identity())(2, 2), row.hydrostatic) < 1e-6);
    }
    const HillFoam stiffening = one_term(8.0, 0.0);
    const double rows[][2] = {{0.3, -0.8332787}, {0.5, -0.4980469}, {0.8, -0.2600712}};
    for (const auto& [l, P] : rows)
        CHECK(rel_err(pk1(stiffening, Vec3(l, 1, 1).asDiagonal())(0, 0), P) < 1e-6);
    CHECK(rel_err(foam.initial_moduli().E0, 2.0 * 1.2) < 1e-14);
    CHECK(rel_err(foam.initial_moduli().nu0, 0.2) < 1e-14);
    CHECK(rel_err(foam.initial_moduli().kappa0, 2.0 * (1.0 / 3.0 + 0.2 / 0.6)) < 1e-14);
}

// Exact      alpha = 2: W = mu/2 (tr C - 3 + (J^(-2 beta) - 1)/beta), S = mu (I - J^(-2 beta) C^-1)
//            alpha = -2: W = mu/2 (tr C^-1 - 3 + (J^(2 beta) - 1)/beta), S = mu (J^(2 beta) C^-1 -
//            C^-2)
// Source     Blatz & Ko (1962), Trans. Soc. Rheol. 6, 223, f = 1 and f = 0 (form from memory; the
//            stresses follow by hand from dJ/dC = J C^-1/2).
// Tolerance  rounding of C and J: a spread of stretches of 12 costs two digits.
TEST_CASE("Hill foam: exponents 2 and -2 are the Blatz-Ko solids in any shape") {
    const double nu = 0.25, beta = 0.5;
    for (const Mat3& F : shapes()) {
        const Mat3 C = F.transpose() * F, C_inv = C.inverse(), I = Mat3::Identity();
        const double J = std::abs(F.determinant());
        const Mat3 swelling = F * (I - std::pow(J, -2.0 * beta) * C_inv);
        const Mat3 foam = F * (std::pow(J, 2.0 * beta) * C_inv - C_inv * C_inv);
        CHECK((pk1(one_term(2.0, nu), F) - swelling).norm() < 1e-13 * (1.0 + swelling.norm()));
        CHECK((pk1(one_term(-2.0, nu), F) - foam).norm() < 1e-13 * (1.0 + foam.norm()));
        const double W = 0.5 * (C.trace() - 3.0 + (std::pow(J, -2.0 * beta) - 1.0) / beta);
        CHECK(std::abs(one_term(2.0, nu).energy(F) - W) < 1e-13 * (1.0 + W));
    }
}

// Exact      alpha = 2 and -2 span the invariants: C10 = mu_1/2, C01 = -mu_2/2 (Ogden 1984,
// sec. 4.3).
TEST_CASE("Ogden: exponents 2 and -2 are the Mooney-Rivlin solid in any shape") {
    const Ogden law = ogden({{{0.8, 2.0}, {-0.2, -2.0}, {0.0, 0.0}, {0.0, 0.0}}});
    const MooneyRivlin mooney{.C10 = 0.4, .C01 = 0.1, .kappa = 5.0, .void_fraction = 0.0};
    for (const Mat3& F : shapes()) {
        const Mat3 want = pk1(mooney, F);
        CHECK((pk1(law, F) - want).norm() < 1e-13 * (1.0 + want.norm()));
        CHECK(std::abs(law.energy(F) - mooney.energy(F)) < 1e-13 * (1.0 + mooney.energy(F)));
    }
}

TEST_CASE("Ogden: the same term once or in four parts, at any place, is the same law") {
    const Ogden whole = ogden({{{0.7, 3.5}, {0.0, 0.0}, {0.0, 0.0}, {0.0, 0.0}}});
    const Ogden parts = ogden({{{0.1, 3.5}, {0.3, 3.5}, {-0.2, 3.5}, {0.5, 3.5}}});
    const Ogden last = ogden({{{0.1, 3.5}, {0.0, 0.0}, {0.0, 0.0}, {0.6, 3.5}}});
    for (const Mat3& F : shapes()) {
        const Mat3 want = pk1(whole, F);
        CHECK((pk1(parts, F) - want).norm() < 1e-14 * (1.0 + want.norm()));
        CHECK((pk1(last, F) - want).norm() < 1e-14 * (1.0 + want.norm()));
    }
}

// Exact      free lateral stretch l^-nu while the void is open, and P as above; what the table says
//            between its knots is right to h^4 (uniaxial_table.hpp).
TEST_CASE("Hill foam: a beam fibre grows wide as its Poisson's ratio says") {
    for (const double nu : {0.0, 0.2, 0.4}) {
        const HillFoam foam = one_term(4.0, nu);
        const UniaxialTable table = make_uniaxial_table(foam);
        CHECK(table.stretch_max() > 3.99);
        for (const double l : {0.2503, 0.5003, 0.9007, 1.1011, 2.5001}) {
            INFO("nu ", nu, " stretch ", l);
            CHECK(rel_err(free_lateral_stretch(foam, l), std::pow(l, -nu)) < 1e-10);
            const double J = std::pow(l, 1.0 - 2.0 * nu);
            const double P =
                0.5 / l * (std::pow(l, 4.0) - std::pow(J, -4.0 * nu / (1.0 - 2.0 * nu)));
            CHECK(rel_err(evaluate(table, l).stress_Pa, P) < 1e-7);
        }
        CHECK(stable_range(table).min < 0.21);
    }
}

// Exact      J stays above 1 - 0.7 = 0.3, so at stretch 0.25 the sides, which would not move in an
//            open foam of nu = 0, are pushed out beyond sqrt(0.3/0.25).
TEST_CASE("Hill foam: a fibre whose void closes is pushed wide, stiffer, and in equilibrium") {
    const HillFoam open = one_term(2.0, 0.0), foam = one_term(2.0, 0.0, 0.7);
    const UniaxialTable with_void = make_uniaxial_table(foam), without = make_uniaxial_table(open);
    CHECK(evaluate(with_void, 0.25).stress_Pa < 1.05 * evaluate(without, 0.25).stress_Pa);
    const double side = free_lateral_stretch(foam, 0.25);
    CHECK(side > std::sqrt(0.3 / 0.25));
    CHECK(std::abs(pk1(foam, Vec3(0.25, side, side).asDiagonal())(1, 1)) < 1e-9);
}

TEST_CASE("stretch laws: what is wrong with several parameters together") {
    const auto message = [](const auto& law) -> std::string {
        try {
            law.check();
        } catch (const Error& e) {
            return e.what();
        }
        return "";
    };
    const auto has = [](const std::string& text, const char* part) {
        return text.find(part) != std::string::npos;
    };
    CHECK(message(ogden({{{0.8, 2.0}, {-0.2, -2.0}, {}, {}}})).empty());
    CHECK(has(message(ogden({{{0.8, 2.0}, {0.2, 0.0}, {}, {}}})), "alpha_2 belong together"));
    CHECK(has(message(ogden({{{0.8, 2.0}, {}, {}, {0.0, 3.0}}})), "alpha_4 belong together"));
    CHECK(has(message(ogden({{{0.8, -2.0}, {}, {}, {}}})), "is -0.8 Pa"));
    CHECK(has(message(ogden({{{0.0, 0.0}, {0.8, 2.0}, {}, {}}})), "instantaneous_mu_1_MPa = 0"));
    HillFoam foam = one_term(2.0, 0.2);
    CHECK(message(foam).empty());
    foam.nu_3 = 0.1;
    CHECK(has(message(foam), "poissons_ratio_3 is given for a term without"));
    foam.nu_3 = 0.0;
    foam.mu_2 = -1.5, foam.alpha_2 = 1.0;
    CHECK(has(message(foam), "must both be above 0"));
    const MooneyRivlin soft{.C10 = 0.1, .C01 = -0.2, .kappa = 1.0, .void_fraction = 0.0};
    CHECK(has(message(soft), "c10 + c01"));
}
