// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/foundation.hpp"

#include "tests/support/compare.hpp"
#include "tests/unit/choice/choice_samples.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;
using test::rel_err;
using test::sample_response;
using test::SampleGrade;

namespace {

/// A linear material whose stress relaxes as t^-n, crushed at constant rate r:
/// stress = c r integral of s^-n = c e^(1-n) r^n / (1 - n).
SampleGrade relaxing_grade(double n) {
    SampleGrade sample;
    sample.rates_per_s = {1.0, 10.0, 100.0, 1000.0};
    sample.stress_Pa = [n](double e, double r) {
        return 1e6 * std::pow(e, 1.0 - n) * std::pow(r, n) / (1.0 - n);
    };
    return sample;
}

/// Integral of x^-n sin x over 0 to pi / 2; x = u^2 takes the singularity away, midpoints.
double sine_approach(double n) {
    double sum = 0.0;
    const int steps = 20000;
    const double end = std::sqrt(std::numbers::pi / 2.0);
    for (int i = 0; i < steps; ++i) {
        const double u = end * (i + 0.5) / steps;
        sum += std::pow(u, 1.0 - 2.0 * n) * std::sin(u * u) * 2.0 * end / steps;
    }
    return sum;
}

} // namespace

// Problem    a flat body at constant speed; rates of the table and between them.
// Exact      the table's own power law. Tolerance: straight lines over the logarithm of the rate
//            between four samples a decade: (0.1 ln 10 / 4)^2 / 8 = 4e-4.
TEST_CASE("foundation: at constant speed the stress is that of the crush at that rate") {
    const double n = 0.1, h = 0.02, area = 1e-3;
    const GradeResponse grade = sample_response(relaxing_grade(n));
    for (const double rate : {1.0, 7.0, 100.0, 450.0}) {
        Foundation pad(grade, Striker::flat(), {.thickness_m = h, .area_m2 = area});
        pad.begin_hit(0.0);
        double force = pad.move_to(0.0, 0.0);
        for (int i = 1; i <= 100; ++i) {
            const double e = 0.006 * i;
            force = pad.move_to(e * h, e / rate);
            CHECK(rel_err(force / area,
                          1e6 * std::pow(e, 1.0 - n) * std::pow(rate, n) / (1.0 - n)) < 6e-4);
        }
        CHECK(rel_err(pad.rate_per_s(), rate) < 1e-12);
    }
}

// Problem    the same material, approached as E sin(w t) up to its turn; quiet thereafter.
// Exact      linear viscoelasticity: c E w^n integral of x^-n sin x, 0 to pi/2.
// Source     Boltzmann superposition, e.g. Ferry (1980), ch. 1.
// Tolerance  the rate "strain over time since touch" is an approximation: (2/pi)^n / (1 - n) over
//            the integral, 1.06 at n = 0.1. With the momentary rate, which is 0 at the turn and
//            held at the table's lowest, 1 1/s, (E w)^-n / (1 - n) over it, 0.74 at E w = 50 1/s.
TEST_CASE("foundation: at the turn of an impact the stress of a relaxing polymer is near") {
    const double n = 0.1, h = 0.02, area = 1e-3, E = 0.5, w = 100.0;
    const GradeResponse grade = sample_response(relaxing_grade(n));
    Foundation pad(grade, Striker::flat(), {.thickness_m = h, .area_m2 = area});
    pad.begin_hit(0.0);
    double force = 0.0;
    const int steps = 1000;
    for (int i = 1; i <= steps; ++i) {
        const double t = std::numbers::pi / 2.0 / w * i / steps;
        force = pad.move_to(E * std::sin(w * t) * h, t);
    }
    const double exact = 1e6 * E * std::pow(w, n) * sine_approach(n);
    CHECK(force / area > exact);
    CHECK(force / area < 1.07 * exact);
    // and it is what the header says it is
    const double said = 1e6 * E * std::pow(w, n) * std::pow(2.0 / std::numbers::pi, n) / (1.0 - n);
    CHECK(rel_err(force / area, said) < 6e-4);
    // the momentary rate is 0 at the turn: held at the lowest of the table, a quarter low
    const double momentary = std::pow(E * w, -n) / (1.0 - n) / sine_approach(n);
    CHECK(rel_err(grade.stress_Pa(E, 0.0) / exact, momentary) < 6e-4);
    CHECK(momentary < 0.75);
}

TEST_CASE("foundation: rates outside the table hold its ends") {
    const GradeResponse grade = sample_response(relaxing_grade(0.1));
    CHECK(grade.lowest_rate_per_s() == 1.0);
    CHECK(grade.highest_rate_per_s() == 1000.0);
    CHECK(grade.stress_Pa(0.3, 1e-3) == grade.stress_Pa(0.3, 1.0));
    CHECK(grade.stress_Pa(0.3, 1e5) == grade.stress_Pa(0.3, 1000.0));
    CHECK(grade.stress_Pa(0.3, 0.0) == grade.stress_Pa(0.3, 1.0));
}

TEST_CASE("grade response: past the table the stress goes on without a jump and only rises") {
    const GradeResponse grade = sample_response(test::linear_grade(1e6));
    CHECK(rel_err(grade.stress_Pa(0.7 + 1e-9, 1.0), 0.7e6) < 1e-6);
    double before = 0.7e6;
    for (double e = 0.71; e < 1.2; e += 0.01) {
        const double stress = grade.stress_Pa(e, 1.0);
        CHECK(stress > before);
        before = stress;
    }
    // K = max(1 MPa, 0.7 MPa / 0.3): at half the remaining height s_l + K w
    CHECK(rel_err(grade.stress_Pa(0.85, 1.0), 0.7e6 + 0.7e6) < 1e-9);
}

TEST_CASE("grade response: the share that comes back, with and without unloading") {
    const GradeResponse half = sample_response(test::linear_grade(1e6, 0.5));
    CHECK(half.unloads());
    CHECK(half.return_share(1.0, 1.0) == 1.0);
    for (const double x : {0.999, 0.5, 0.01, 0.0})
        CHECK(rel_err(half.return_share(x, 1.0), 0.5) < 1e-9);
    const GradeResponse none = sample_response(test::linear_grade(1e6, -1.0));
    CHECK_FALSE(none.unloads());
    CHECK(none.return_share(0.3, 1.0) == 1.0);
}

// Problem    a column that turns at half the table's strain and goes back.
// Exact      L(e) h(e / e_m): here half the loading stress, nothing lost to a jump of the force at
// 0.
TEST_CASE("foundation: a column goes back along its own softened path") {
    const GradeResponse grade = sample_response(test::linear_grade(1e6, 0.5));
    Foundation pad(grade, Striker::flat(), {.thickness_m = 0.01, .area_m2 = 1e-4});
    pad.begin_hit(0.0);
    CHECK(rel_err(pad.move_to(0.0035, 0.01), 1e6 * 0.35 * 1e-4) < 1e-9);
    CHECK(rel_err(pad.move_to(0.0020, 0.02), 0.5 * 1e6 * 0.20 * 1e-4) < 1e-9);
    CHECK(pad.move_to(0.0, 0.03) == 0.0);
    CHECK(pad.move_to(-0.001, 0.04) == 0.0);
}
