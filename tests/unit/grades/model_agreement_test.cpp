// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/model_agreement.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace cellgrade;
using test::rel_err;

namespace {

GradeRow row(double stiffness, double collapse, double plateau, double energy) {
    GradeRow r;
    r.grade = {.cell = "octet", .relative_density = 0.1};
    r.status = "trusted";
    r.traits.quasi_elastic_gradient_Pa = stiffness;
    r.traits.collapse_stress_Pa = collapse;
    r.traits.plateau_stress_Pa = plateau;
    r.traits.energy_to_50_J_per_m3 = energy;
    return r;
}

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

} // namespace

// Exact      by hand: 9/10 - 1, 3/2 - 1, 50/50 - 1
TEST_CASE("model agreement: differences are those of beams over solid, less 1") {
    const ModelAgreement a =
        agreement_of(row(9.0, 3.0, unknown, 50.0), row(10.0, 2.0, 4.0, 50.0), 6.0);
    CHECK(rel_err(a.stiffness, -0.1) < 1e-14);
    CHECK(rel_err(a.collapse, 0.5) < 1e-14);
    CHECK(std::isnan(a.plateau));
    CHECK(a.sea == 0.0);
    CHECK(a.slenderness == 6.0);
    CHECK(a.trusted);
    CHECK(worst_class(a) == "apart");
}

TEST_CASE("model agreement: one run without trust takes the trust of both") {
    GradeRow beams = row(1.0, 1.0, 1.0, 1.0);
    beams.status = "untrusted";
    CHECK_FALSE(agreement_of(beams, row(1.0, 1.0, 1.0, 1.0), 6.0).trusted);
}

TEST_CASE("model agreement: classes hold up to their bound, and nothing known has none") {
    CHECK(agreement_class(0.05) == "5 %");
    CHECK(agreement_class(-0.051) == "10 %");
    CHECK(agreement_class(0.2) == "20 %");
    CHECK(agreement_class(-0.21) == "apart");
    CHECK(agreement_class(unknown) == "-");
    const GradeRow none = row(unknown, unknown, unknown, unknown);
    CHECK(worst_class(agreement_of(none, none, 6.0)) == "-");
}
