// SPDX-License-Identifier: Apache-2.0
// Problem    vibration and buckling of straight round columns with usual ends.
// Exact      roots of the Euler-Bernoulli beam, Timoshenko's frequency equation, wave equation,
//            Euler's and Haringx's loads; each named in its row of verify_modes().
// Source     textbooks; Haringx (1948); see the rows.
// Tolerance  the printed digits, or what the reference leaves out; see the rows.
#include "solver/cli/verify/known_cells.hpp"
#include "solver/cli/verify/verification_row.hpp"
#include "solver/modes/natural_frequencies.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

using namespace cellgrade;

TEST_SUITE_BEGIN("verification");

TEST_CASE("modes: every frequency and buckling load of a column is met") {
    const std::vector<VerificationRow> rows = verify_modes();
    CHECK(rows.size() >= 24);
    for (const VerificationRow& row : rows) {
        INFO(row.id, ": ", row.computed, " for ", row.reference, ", error ", row.relative_error);
        CHECK(row.pass);
    }
}

// Problem    third bending frequency of a pinned thick column, 16, 32 and 64 elements.
// Exact      6513.173 Hz, from (rho r2/kG) w4 - (1 + r2 k2 (1 + E/kG)) w2 + (E r2/rho) k4 = 0.
// Source     Timoshenko's beam with rotary inertia.
// Tolerance  shear is constant along an element: order 2.
TEST_CASE("modes: a shear-flexible column converges at order 2") {
    std::vector<double> error;
    for (const int n : {16, 32, 64}) {
        const BeamMesh column = known_cells::column(10e-3, 0.5e-3, n);
        std::vector<NodeSupport> supports;
        for (Index i = 0; i <= n; ++i) {
            const bool end = i == 0 || i == n;
            supports.push_back({.node = i, .held = {end, true, true, true, false, true}});
        }
        const double omega =
            natural_frequencies(column, section_moduli(50e6, 0.45), 1200.0, supports, 3).omega[2];
        error.push_back(test::rel_err(omega / (2.0 * std::numbers::pi), 6513.173));
    }
    INFO("errors ", error[0], " ", error[1], " ", error[2]);
    CHECK(std::abs(test::order(error[0], error[1]) - 2.0) < 0.05);
    CHECK(std::abs(test::order(error[1], error[2]) - 2.0) < 0.05);
}
