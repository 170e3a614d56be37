// SPDX-License-Identifier: Apache-2.0
// Problem    stiffness tensors of periodic strut cells (simple cubic, body-centred, face-centred,
//            octet, Kelvin, isotropic truss, hexagons) as rigid-jointed frames.
// Exact      closed forms and independent digits, each named in its row of verify_stiffness().
// Source     see the row.
// Tolerance  round-off 1e-8, printed digits 1e-6, or the neglected stretching; see the row.
#include "solver/cli/verify/verification_row.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

TEST_SUITE_BEGIN("verification");

TEST_CASE("stiffness: every closed form of a strut cell is met") {
    const std::vector<VerificationRow> rows = verify_stiffness();
    CHECK(rows.size() >= 40);
    for (const VerificationRow& row : rows) {
        INFO(row.id, ": ", row.computed, " for ", row.reference, ", error ", row.relative_error);
        CHECK(row.pass);
    }
}
