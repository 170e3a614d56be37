// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/layers.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

using namespace cellgrade;
using test::message_of;
using test::rel_err;

namespace {

GradeCurve curve_of(const std::function<double(double)>& stress, double last, int points = 400) {
    GradeCurve curve;
    curve.relative_density = 0.1;
    curve.strain_rate_per_s = 1.0;
    curve.energy_J_per_m3.push_back(0.0);
    for (int i = 0; i <= points; ++i) {
        curve.nominal_strain.push_back(last * i / points);
        curve.nominal_stress_Pa.push_back(stress(curve.nominal_strain.back()));
    }
    return curve;
}

GradeCurve straight(double modulus, double last) {
    return curve_of([=](double e) { return modulus * e; }, last, 4);
}

} // namespace

// Problem    layers of linear materials of moduli 1 and 3 MPa, a third and two thirds thick.
// Exact      1 / E = share_1 / E_1 + share_2 / E_2 (Reuss 1929, mechanics), up to where the first
//            of them ends: there it is rigid and the other goes on alone.
TEST_CASE("layers: linear ones in series, and rigid past their end") {
    const GradeCurve soft = straight(1e6, 0.5), firm = straight(3e6, 0.5);
    const GradeCurve stack = in_series({soft, firm}, {1.0, 2.0});
    const double E = 1.0 / (1.0 / 3.0 / 1e6 + 2.0 / 3.0 / 3e6);
    // soft ends at 0.5 MPa, firm is at 1/6 there: 1/3 * 1/2 + 2/3 * 1/6
    const double turn = 1.0 / 6.0 + 1.0 / 9.0;
    for (const double e : {0.05, 0.15, 0.25, turn})
        CHECK(rel_err(stack.stress_at(e), E * e) < 1e-12);
    CHECK(rel_err(stack.last_strain(), 0.5) < 1e-12);
    CHECK(rel_err(stack.nominal_stress_Pa.back(), 1.5e6) < 1e-12);
    const double later = 0.4; // 2/3 of the firm layer's strain is what the soft one does not take
    CHECK(rel_err(stack.stress_at(later), 3e6 * (later - 1.0 / 6.0) * 1.5) < 1e-12);
    // and what goes in is what the layers took
    CHECK(rel_err(stack.energy_to(stack.last_strain()),
                  (0.5 * 0.5e6 * 0.5) / 3.0 + 2.0 * (0.5 * 1.5e6 * 0.5) / 3.0) < 1e-12);
    CHECK(rel_err(stack.relative_density, 0.1) < 1e-12);
}

// Problem    a layer whose stress falls after its peak and rises past it again, on one like it.
// Exact      at a held stress it goes on to where it rises through the peak: 0.1 to 0.5 of strain.
TEST_CASE("layers: past its peak a layer goes on to where it carries the stress again") {
    const auto snap = [](double e) {
        return e < 0.1 ? 1e6 * e / 0.1 : e < 0.3 ? 1e6 - 2e6 * (e - 0.1) : 0.6e6 + 2e6 * (e - 0.3);
    };
    const GradeCurve one = curve_of(snap, 0.7, 700);
    const GradeCurve stack = in_series({one, one}, {1.0, 1.0});
    CHECK(rel_err(stack.stress_at(0.05), 0.5e6) < 1e-9);
    for (const double e : {0.1, 0.3, 0.499})
        CHECK(rel_err(stack.stress_at(e), 1e6) < 1e-9);
    CHECK(rel_err(stack.stress_at(0.6), 1.2e6) < 1e-9);
    for (std::size_t i = 1; i < stack.nominal_strain.size(); ++i) {
        CHECK(stack.nominal_strain[i] > stack.nominal_strain[i - 1]);
        CHECK(stack.nominal_stress_Pa[i] >= stack.nominal_stress_Pa[i - 1]);
    }
}

// Problem    plateaus of 0.1 and 0.3 MPa that end at 0.6 by a steep rise, half and half.
// Exact      the soft one first, over half of 0.6 of strain, then the firm one.
TEST_CASE("layers: plateaus are taken one after the other") {
    const auto plateau = [](double p) {
        return [p](double e) {
            return e < 0.01 ? p * e / 0.01 : e < 0.6 ? p : p + 100.0 * p * (e - 0.6);
        };
    };
    const GradeCurve stack = in_series(
        {curve_of(plateau(0.1e6), 0.7, 700), curve_of(plateau(0.3e6), 0.7, 700)}, {0.5, 0.5});
    CHECK(rel_err(stack.stress_at(0.15), 0.1e6) < 1e-6);
    CHECK(rel_err(stack.stress_at(0.29), 0.1e6) < 1e-6);
    CHECK(rel_err(stack.stress_at(0.45), 0.3e6) < 1e-6);
    CHECK(rel_err(stack.stress_at(0.60), 0.3e6) < 1e-6);
}

// Problem    a linear layer that gives back a third, under one that gives back all.
// Exact      strains on the way back at stress s: 3 s / E and s / E.
TEST_CASE("layers: the ways back add up") {
    GradeCurve third = straight(1e6, 0.5), all = straight(1e6, 0.5);
    for (int i = 100; i >= 0; --i) {
        const double e = 0.5 * i / 100.0;
        third.unloading_strain.push_back(e);
        third.unloading_stress_Pa.push_back(1e6 * e / 3.0);
        all.unloading_strain.push_back(e);
        all.unloading_stress_Pa.push_back(1e6 * e);
    }
    const GradeCurve stack = in_series({third, all}, {0.5, 0.5});
    const double s = 0.1e6;
    CHECK(rel_err(stack.unloading_stress_at(0.5 * (3.0 * s + s) / 1e6), s) < 1e-9);
    all.unloading_strain.clear();
    all.unloading_stress_Pa.clear();
    CHECK(in_series({third, all}, {0.5, 0.5}).unloading_strain.empty());
}

TEST_CASE("layers: shares that are none are refused") {
    const GradeCurve one = straight(1e6, 0.5);
    CHECK(message_of([&] {
              (void)in_series({one, one}, {1.0});
          }) == "2 layers need as many shares of the thickness, not 1");
    CHECK(message_of([&] {
              (void)in_series({one, one}, {1.0, 0.0});
          }) == "a layer's share of the thickness must be above 0, not 0");
}
