// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace cellgrade {

/// Fibre of a round section of radius 1.
struct DiscPoint {
    double y;     ///< along e2 [-]
    double z;     ///< along e3 [-]
    double share; ///< of the area [-]; all add up to 1
};

/// Fibres of a round section. Degree d: every moment y^i z^j with i + j <= d is exact, so area,
/// second and fourth moments are exact in all of them.
enum class DiscRule {
    Seven,  ///< centre and hexagon, degree 5
    Twelve, ///< degree 7
    Rings,  ///< 6 Gauss rings of 16, degree 15: for reference, four to five times the cost
};

/// Source: Stroud (1971), Approximate Calculation of Multiple Integrals, S2: 5-1 and 7-1 (from
/// memory; the tests check every moment). Rings: Gauss-Legendre in the squared radius.
[[nodiscard]] std::vector<DiscPoint> disc_points(DiscRule rule);

} // namespace cellgrade
