// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/row_forces.hpp"

#include <doctest/doctest.h>

#include <vector>

using namespace cellgrade;

// Exact      force 3 x on the way out and 10 - 2 x' on the way back, rows at x = 1, 2, ...: the
// mean
//            over an interval is the force at its middle
TEST_CASE("forces_at_rows: exact for linear forces on both legs") {
    std::vector<double> means, want;
    for (int row = 1; row <= 5; ++row) {
        means.push_back(3.0 * (row - 0.5));
        want.push_back(3.0 * row);
    }
    const auto turn = static_cast<Index>(means.size());
    for (int row = 1; row <= 3; ++row) {
        means.push_back(10.0 - 2.0 * (row - 0.5));
        want.push_back(10.0 - 2.0 * row);
    }
    CHECK(forces_at_rows(means, turn) == want); // halves and small integers: no rounding
}

TEST_CASE("forces_at_rows: a leg of one row keeps its mean, none has none") {
    CHECK(forces_at_rows(std::vector<double>{7.0}, 1) == std::vector<double>{7.0});
    CHECK(forces_at_rows(std::vector<double>{1.0, 2.0, 9.0}, 2).back() == 9.0);
    CHECK(forces_at_rows({}, 0).empty());
}
