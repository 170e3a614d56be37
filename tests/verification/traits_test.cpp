// SPDX-License-Identifier: Apache-2.0
// Problem    crush traits of an elastic-plateau-densification curve and of a triangular loop.
// Exact      by hand from the definitions; each named in its row of verify_traits().
// Source     ISO 13314:2011, Miltz & Gruenbaum (1981), Li, Magkiriadis & Harrigan (2006).
// Tolerance  1e-4: rows 5e-4 of strain apart, see verify_traits().
#include "solver/cli/verify/verification_row.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

TEST_SUITE_BEGIN("verification");

TEST_CASE("traits: every trait of a curve drawn by hand is met") {
    const std::vector<VerificationRow> rows = verify_traits();
    CHECK(rows.size() >= 18);
    for (const VerificationRow& row : rows) {
        INFO(row.id, ": ", row.computed, " for ", row.reference, ", error ", row.relative_error);
        CHECK(row.pass);
    }
}
