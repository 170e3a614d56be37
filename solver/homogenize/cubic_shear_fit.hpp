// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"
#include "materials/laws/cubic_shear.hpp"
#include "solver/homogenize/test_rows.hpp"

#include <span>
#include <vector>

namespace cellgrade {

struct CubicShearFit {
    CubicShear shear{};
    std::vector<bool> falls; ///< a test whose shear stress falls by 5 % of its mean, by test
};

/// Shear tables that a TabulatedFoam needs beside its answer to stretches to meet shear tests.
///
///   minimise sum over tests and rows [(tau(slopes) - tau_test) / mean tau_test]^2
///   d tau / d gamma >= 0.02 mean tau / largest gamma, so that the law is stable
///
/// tau is column_path's, sides free, with relaxation; Newton's steps with the slopes by
/// differences, each a linear problem for non-negative unknowns above the least slopes. Eight knots
/// over the largest shear; a second table, for the volume lost at the most pressed test, when one
/// is pressed by more than 2 %. Where no row tells a slope apart it is that of its neighbour.
/// About a second.
/// @param card   with a TabulatedFoam whose shear tables are to be found
/// @throws Error (Run) when the card's column has no equilibrium somewhere on a test
[[nodiscard]] CubicShearFit fit_cubic_shear(const PolymerCard& card,
                                            std::span<const TestRows> tests);

} // namespace cellgrade
