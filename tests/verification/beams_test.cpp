// SPDX-License-Identifier: Apache-2.0
// Problem    beams under small and large loads, columns past buckling, snap-through, waves, flight.
// Exact      closed forms, elliptic integrals and shooting, each named in its row.
// Source     see the row.
// Tolerance  derived at the head of each verify_*.cpp.
#include "solver/cli/verify/verification_row.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

namespace {

void check_all(const std::vector<VerificationRow>& rows, std::size_t at_least) {
    CHECK(rows.size() >= at_least);
    for (const VerificationRow& row : rows) {
        INFO(row.id, ": ", row.computed, " for ", row.reference, ", error ", row.relative_error);
        CHECK(row.pass);
    }
}

} // namespace

TEST_SUITE_BEGIN("verification");

TEST_CASE("beams: deflection, twist, ring, frequencies and rigid motion meet their formulae") {
    check_all(verify_beams_linear(), 15);
}

TEST_CASE(
    "beams: cantilevers in large rotation meet the elastica, circles and the 45 degree bend") {
    check_all(verify_beams_large(), 40);
}

TEST_CASE("beams: columns and inclined struts follow the elastica to 60 % shortening") {
    check_all(verify_columns(), 60);
}

TEST_CASE("beams: limit loads of two bars, Lee's frame and a deep arch are met") {
    check_all(verify_snap_through(), 9);
}

TEST_CASE("beams: waves, step limit, free flight, spin-up and a dropped mass meet theory") {
    check_all(verify_beams_dynamic(), 20);
}

TEST_CASE("beams: 100,000 steps of free flight keep momenta and energy" * doctest::skip()) {
    check_all(verify_long_flights(), 9);
}
