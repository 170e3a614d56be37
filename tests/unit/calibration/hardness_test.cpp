// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/hardness.hpp"

#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

// Exact      at S = 0 the relation is 0.0981 * 56 / (0.137505 * 254) = 0.1573 MPa per its own form;
// S
//            = 50 by hand: 0.0981 * 437.168 / (0.137505 * 127) = 2.4558 MPa. Tables of rubber
//            makers give 2 to 3 MPa at Shore A 50 (from memory).
TEST_CASE("hardness: Gent's relation at Shore A 50, and its limits") {
    const HardnessGuess guess = guess_from_shore_A(50.0);
    CHECK(test::rel_err(guess.youngs_modulus_Pa, 2.4558e6) < 1e-4);
    CHECK(guess.low_Pa < guess.youngs_modulus_Pa);
    CHECK(guess.youngs_modulus_Pa < guess.high_Pa);
    CHECK_THROWS_AS((void)guess_from_shore_A(99.0), Error);
    CHECK_THROWS_AS((void)guess_from_shore_A(5.0), Error);
}
