// SPDX-License-Identifier: Apache-2.0
// Problem    whole crushes with known curves: a clamped column, an endless body-centred cell.
// Exact      elastica by elliptic integrals and by shooting, named in each row of verify_crush().
// Source     see the row.
// Tolerance  see the head of verify_crush.cpp.
#include "solver/cli/verify/verification_row.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

TEST_SUITE_BEGIN("verification");

TEST_CASE("crush: a clamped column and an endless body-centred cell follow their elasticas") {
    const std::vector<VerificationRow> rows = verify_crush();
    CHECK(rows.size() >= 19);
    for (const VerificationRow& row : rows) {
        INFO(row.id, ": ", row.computed, " for ", row.reference, ", error ", row.relative_error);
        CHECK(row.pass);
    }
}
