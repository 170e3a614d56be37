// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/prony_fit.hpp"

#include "materials/calibration/master_curve.hpp"
#include "materials/calibration/nnls.hpp"
#include "materials/calibration/prony_basis.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace cellgrade;

namespace {

constexpr std::array<PronyTerm, 2> terms{{{0.3, 0.01}, {0.2, 0.1}}}; // references D13, D14

TimeCurve frequencies() {
    TimeCurve c{.name = "dynamic", .kind = TimeCurve::Kind::Dynamic};
    for (int i = 0; i <= 40; ++i) {
        const double omega = std::pow(10.0, -1.0 + 0.1 * i);
        c.time_s.push_back(1.0 / omega);
        const DynamicShare at = dynamic_share(terms, omega);
        c.modulus_Pa.push_back(3e6 * at.storage);
        c.loss_Pa.push_back(3e6 * at.loss);
    }
    return c;
}

/// E(t / a_T) of one slow mechanism, its modulus falling as a power of time.
TimeCurve isotherm(double temperature_C, double log10_shift) {
    TimeCurve c{.name = "isotherm", .temperature_C = temperature_C};
    for (int i = 0; i <= 20; ++i) {
        const double t = std::pow(10.0, -1.0 + 0.15 * i);
        c.time_s.push_back(t);
        const double x = std::log10(t) - log10_shift;
        c.modulus_Pa.push_back(std::pow(10.0, 7.0 - 0.1 * x - 0.004 * x * x));
    }
    return c;
}

} // namespace

// Exact      by hand: without bounds x = (2, -1) solves A x = b; with x2 = 0 the first column alone
//            gives x1 = a1.b / a1.a1 = 3/2.
TEST_CASE("non-negative least squares: a bound that holds, and one that does not") {
    Eigen::MatrixXd A(2, 2);
    A << 1.0, 0.0, 1.0, 1.0;
    Eigen::VectorXd b(2);
    b << 2.0, 1.0;
    Eigen::VectorXd x = non_negative_least_squares(A, b);
    CHECK(test::rel_err(x[0], 1.5) < 1e-14);
    CHECK(x[1] == 0.0);
    b << 2.0, 3.0;
    x = non_negative_least_squares(A, b);
    CHECK(test::rel_err(x[0], 2.0) < 1e-14);
    CHECK(test::rel_err(x[1], 1.0) < 1e-14);
}

// Exact      the optimality conditions: gradient 0 where x > 0, not upward where x = 0
TEST_CASE("non-negative least squares: conditions of the minimum on a near-singular matrix") {
    Eigen::MatrixXd A(40, 20);
    Eigen::VectorXd b(40);
    for (int i = 0; i < 40; ++i) {
        for (int k = 0; k < 20; ++k)
            A(i, k) = std::exp(-std::pow(10.0, 0.1 * (i - 2.0 * k)));
        b[i] = 1.0 / (1.0 + 0.1 * i) + 0.01 * std::sin(7.0 * i);
    }
    const Eigen::VectorXd x = non_negative_least_squares(A, b);
    const Eigen::VectorXd gradient = A.transpose() * (b - A * x);
    for (Eigen::Index k = 0; k < 20; ++k) {
        CHECK(x[k] >= 0.0);
        CHECK(gradient[k] < 1e-9);
        if (x[k] > 0.0)
            CHECK(std::abs(gradient[k]) < 1e-9);
    }
    CHECK((A * x - b).norm() < 0.2 * b.norm());
}

// Exact      references D13: stress of a ramp to 0.1 in 0.02 s and its hold, over 0.1
TEST_CASE("Prony basis: ramp and hold") {
    const TimeCurve c{.name = "ramp",
                      .time_s = {0.01, 0.02, 0.03, 0.05, 0.1, 0.5},
                      .modulus_Pa = std::vector<double>(6, 1.0),
                      .ramp_time_s = 0.02};
    const std::array<double, 6> want{.04399807, .08109690, .07117331,
                                     .06407449, .05814930, .05014918};
    const Eigen::VectorXd got = 0.1 * (0.5 * branch_answer(c, HUGE_VAL) +
                                       0.3 * branch_answer(c, 0.01) + 0.2 * branch_answer(c, 0.1));
    for (std::size_t i = 0; i < want.size(); ++i)
        CHECK(test::rel_err(got[static_cast<Eigen::Index>(i)], want[i]) < 2e-7);
}

// Exact      references D14: at 10 Hz G' = .7799721, G'' = .1661878 of the instantaneous modulus
TEST_CASE("Prony fit: storage and loss moduli give the series back") {
    const std::vector<TimeCurve> curves{frequencies()};
    const PronyFit fit = fit_prony(curves, {});
    REQUIRE(fit.terms.size() == 2);
    CHECK(test::rel_err(fit.instantaneous_modulus_Pa, 3e6) < 1e-6);
    const DynamicShare at = dynamic_share(fit.prony(), 2.0 * 3.14159265358979 * 10.0);
    CHECK(test::rel_err(at.storage, .7799721) < 1e-6);
    CHECK(test::rel_err(at.loss, .1661878) < 1e-6);
    for (std::size_t k = 0; k < 2; ++k) {
        CHECK(test::rel_err(fit.terms[k].term.share, terms[k].share) < 1e-6);
        CHECK(test::rel_err(fit.terms[k].term.time_s, terms[k].time_s) < 1e-6);
    }
}

TEST_CASE("Prony fit: relaxation and frequency tests of specimens of other stiffness agree") {
    TimeCurve relax{.name = "relaxation"};
    for (int i = 0; i <= 30; ++i) {
        const double t = std::pow(10.0, -3.0 + 0.1 * i);
        relax.time_s.push_back(t);
        relax.modulus_Pa.push_back(1.2 * 3e6 * relaxation(terms, t));
    }
    const std::vector<TimeCurve> curves{frequencies(), relax};
    const PronyFit fit = fit_prony(curves, {});
    REQUIRE(fit.terms.size() == 2);
    CHECK(test::rel_err(fit.scales[1], 1.2) < 1e-4);
    CHECK(test::rel_err(fit.terms[0].term.share, 0.3) < 1e-3);
}

TEST_CASE("Prony fit: data without a plateau say so") {
    TimeCurve c{.name = "falling"};
    for (int i = 0; i <= 20; ++i) {
        c.time_s.push_back(std::pow(10.0, -2.0 + 0.1 * i));
        c.modulus_Pa.push_back(1e6 * std::exp(-c.time_s.back() / 0.3));
    }
    const PronyFit fit = fit_prony(std::vector<TimeCurve>{c}, {});
    REQUIRE(fit.notes.size() == 1);
    CHECK(fit.notes[0].find("no plateau") != std::string::npos);
    CHECK(long_term_share(fit.prony()) > 0.0);
}

// Problem    isotherms of one curve shifted by the universal constants (references D15)
// Exact      log10 aT = -2.831169, -4.871508, -8.582677 at +10, 20, 50 K; C1 = 17.44, C2 = 51.6
TEST_CASE("master curve: shifts, and the WLF constants in them") {
    const std::vector<TimeCurve> isotherms{isotherm(30.0, -4.871508), isotherm(10.0, 0.0),
                                           isotherm(20.0, -2.831169), isotherm(60.0, -8.582677)};
    const MasterCurve master = master_curve(isotherms, 12.0);
    CHECK(master.reference_C == 10.0);
    // Straight lines between readings of a parabola, second derivative 0.008: its error along log
    // modulus is at most 0.008 0.15^2 / 8, over the slope 0.1 that is 2.3e-4 a step.
    CHECK(std::abs(master.shifts[1].log10_shift + 2.831169) < 3e-4);
    CHECK(std::abs(master.shifts[2].log10_shift + 4.871508) < 6e-4);
    REQUIRE(master.wlf);
    CHECK(master.notes.size() == 1); // the last two share no modulus
}

TEST_CASE("master curve: WLF constants and an activation energy") {
    std::vector<TimeCurve> wlf, arrhenius;
    for (int i = 0; i <= 8; ++i) {
        const double T = 5.0 * i;
        wlf.push_back(isotherm(T, -17.44 * T / (51.6 + T)));
        // 100 kJ/mol between T and 0 C
        arrhenius.push_back(
            isotherm(T, 1e5 / 8.314462618 / std::log(10.0) * (1.0 / (T + 273.15) - 1.0 / 273.15)));
    }
    const MasterCurve a = master_curve(wlf, 0.0), b = master_curve(arrhenius, 0.0);
    REQUIRE(a.wlf);
    // Errors of 2e-4 a step in shifts of 0.9 to 1.5.
    CHECK(test::rel_err(a.wlf->c1, 17.44) < 0.01);
    CHECK(test::rel_err(a.wlf->c2_K, 51.6) < 0.01);
    CHECK(a.wlf->rms_decades < a.arrhenius->rms_decades);
    CHECK(test::rel_err(b.arrhenius->activation_J_per_mol, 1e5) < 1e-3);
}
