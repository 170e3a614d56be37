// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/curve_forms.hpp"

#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

using namespace cellgrade;
using test::rel_err;

namespace {

CrushCurve curve_of(const std::function<double(double)>& stress) {
    CrushCurve curve;
    for (int i = 0; i <= 700; ++i) {
        curve.nominal_strain.push_back(0.001 * i);
        curve.nominal_stress_Pa.push_back(stress(0.001 * i));
    }
    curve.turn = 701;
    return curve;
}

double value(const CurveForm& form, const char* name) {
    for (const FormValue& v : form.values)
        if (v.name == name)
            return v.value;
    return NAN;
}

} // namespace

// Tolerance  straight lines between rows 0.1 % apart: the error of a power at its first rows, 1e-4
// of
//            the mean stress, moves exponents by a few thousandths
TEST_CASE("curve forms: Rusch's two powers are found again") {
    const CurveForm form = fit_rusch(
        curve_of([](double e) { return 4e4 * std::pow(e, 0.3) + 9e5 * std::pow(e, 7.0); }), 0.65);
    CHECK(rel_err(value(form, "A_Pa"), 4e4) < 0.005);
    CHECK(rel_err(value(form, "m"), 0.3) < 0.01);
    CHECK(rel_err(value(form, "B_Pa"), 9e5) < 0.02);
    CHECK(rel_err(value(form, "n"), 7.0) < 0.01);
    CHECK(form.area < 1e-3);
    CHECK(rel_err(form.stress_Pa(0.5), 4e4 * std::pow(0.5, 0.3) + 9e5 * std::pow(0.5, 7.0)) < 1e-3);
    for (const FormValue& v : form.values)
        CHECK((v.low < v.value && v.value < v.high));
}

TEST_CASE("curve forms: elastic region, plateau and densification are found again") {
    const auto truth = [](double e) {
        const double past = e - 0.08;
        return past <= 0.0 ? 5e5 * e : 4e4 * std::pow(0.8 / (0.8 - past), 0.6);
    };
    const CurveForm form = fit_gibson(curve_of(truth), 0.68);
    CHECK(rel_err(value(form, "E_Pa"), 5e5) < 0.02);
    CHECK(rel_err(value(form, "collapse_Pa"), 4e4) < 0.01);
    CHECK(rel_err(value(form, "densification_strain"), 0.8) < 0.02);
    CHECK(rel_err(value(form, "m"), 0.6) < 0.03);
    CHECK(form.area < 2e-3);
    CHECK(std::abs(form.energy) < 2e-3);
}

TEST_CASE("curve forms: a curve that is too short or pulls is refused") {
    CHECK_THROWS_AS(static_cast<void>(fit_rusch(curve_of([](double e) { return e; }), 0.004)),
                    Error);
    CHECK_THROWS_AS(static_cast<void>(fit_gibson(curve_of([](double e) { return -e; }), 0.5)),
                    Error);
}
