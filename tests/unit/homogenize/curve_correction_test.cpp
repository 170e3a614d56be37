// SPDX-License-Identifier: Apache-2.0
// Corrections of measured curves: a curve that is spoilt by a known frame or a known toe comes
// back.
#include "solver/core/error.hpp"
#include "solver/homogenize/curve_branch.hpp"
#include "solver/homogenize/curve_correction.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

namespace {

constexpr double modulus = 10e6, yield = 0.5e6, hardening = 0.1e6; // [Pa]
constexpr double toe_stress = 0.1 * yield, toe_length = 0.012;     // [Pa], [-]

/// Straight to 0.5 MPa at 5 %, then nearly flat to 40 %, and straight back to 30 %.
CrushCurve true_curve() {
    CrushCurve curve;
    for (int i = 0; i <= 400; ++i) {
        const double e = 0.001 * i;
        curve.nominal_strain.push_back(e);
        curve.nominal_stress_Pa.push_back(e < 0.05 ? modulus * e : yield + hardening * (e - 0.05));
    }
    curve.turn = 401;
    const double top = curve.nominal_stress_Pa.back();
    for (int i = 1; i <= 100; ++i) {
        curve.nominal_strain.push_back(0.4 - 0.001 * i);
        curve.nominal_stress_Pa.push_back(top * (1.0 - 0.01 * i));
    }
    return curve;
}

/// Ends that settle: below the toe stress the strain goes like the root of the stress, above it
/// everything lies further by the toe's length. The unloading keeps the shift: what settled stays.
CrushCurve with_toe(CrushCurve curve) {
    for (std::size_t i = 0; i < curve.nominal_strain.size(); ++i) {
        double& e = curve.nominal_strain[i];
        const double share = curve.nominal_stress_Pa[i] / toe_stress;
        const bool settling = static_cast<Index>(i) < curve.turn && share < 1.0;
        e = settling ? (toe_stress / modulus + toe_length) * std::sqrt(share) : e + toe_length;
    }
    return curve;
}

constexpr FrameCompliance frame{
    .compliance_m_per_N = 2e-8, .gross_area_m2 = 2.5e-3, .height_m = 0.025};

CrushCurve with_frame(CrushCurve curve) {
    for (std::size_t i = 0; i < curve.nominal_strain.size(); ++i)
        curve.nominal_strain[i] += frame.compliance_m_per_N * curve.nominal_stress_Pa[i] *
                                   frame.gross_area_m2 / frame.height_m;
    return curve;
}

void check_same(const CrushCurve& found, const CrushCurve& want) {
    const CurveBranch up = loading_branch(found), up_want = loading_branch(want);
    for (const double e : {0.002, 0.01, 0.03, 0.05, 0.1, 0.25, 0.399})
        CHECK(test::rel_err(up.at(e), up_want.at(e)) < 1e-9);
    CHECK(test::rel_err(area_under(up, {0.0, 0.39}), area_under(up_want, {0.0, 0.39})) < 1e-9);
    const auto down = unloading_branch(found), down_want = unloading_branch(want);
    REQUIRE(down.has_value());
    for (const double e : {0.31, 0.35, 0.39})
        CHECK(test::rel_err(down->at(e), down_want->at(e)) < 1e-9);
}

} // namespace

// Exact: strain = measured strain - compliance x stress x area / height, springs in series.
TEST_CASE("without_frame: a known frame is taken out of loading and unloading") {
    const CorrectedCurve c = without_frame(with_frame(true_curve()), frame);
    check_same(c.curve, true_curve());
    // the largest stress is 0.535 MPa
    CHECK(test::rel_err(c.strain_shift, 2e-8 * 0.535e6 * 2.5e-3 / 0.025) < 1e-12);
    CHECK(c.rows_left_out == 0);
    CHECK(c.curve.turn == 401);
}

// Exact by construction: above a tenth of the yield stress the spoilt curve is the true one moved.
TEST_CASE("without_toe: a known toe is taken off, and below it the straight part goes on") {
    const CorrectedCurve c = without_toe(with_toe(true_curve()));
    CHECK(test::rel_err(c.strain_shift, toe_length) < 1e-9);
    CHECK(test::rel_err(c.slope_Pa, modulus) < 1e-9);
    check_same(c.curve, true_curve());
}

TEST_CASE("without_frame, then without_toe: both are taken off") {
    const CorrectedCurve first = without_frame(with_frame(with_toe(true_curve())), frame);
    const CorrectedCurve c = without_toe(first.curve);
    CHECK(test::rel_err(c.strain_shift, toe_length) < 1e-9);
    check_same(c.curve, true_curve());
}

TEST_CASE("without_toe: a curve without a toe stays, and one without loading is kept whole") {
    const CorrectedCurve c = without_toe(true_curve());
    CHECK(std::abs(c.strain_shift) < 1e-12);
    check_same(c.curve, true_curve());
    CrushCurve up = true_curve();
    up.nominal_strain.resize(401);
    up.nominal_stress_Pa.resize(401);
    const CorrectedCurve alone = without_toe(with_toe(up));
    CHECK(alone.curve.turn == static_cast<Index>(alone.curve.nominal_strain.size()));
}

TEST_CASE("corrections: a frame softer than the curve and a curve without a rise are refused") {
    FrameCompliance soft = frame;
    soft.compliance_m_per_N = 1e-6; // 100 /GPa of strain, five times what the straight part shows
    CHECK_THROWS_WITH_AS((void)without_frame(true_curve(), soft),
                         doctest::Contains("more than was measured"), Error);
    CrushCurve flat = true_curve();
    flat.nominal_stress_Pa.assign(flat.nominal_stress_Pa.size(), 0.0);
    CHECK_THROWS_WITH_AS((void)without_toe(flat), doctest::Contains("no straight part"), Error);
}
