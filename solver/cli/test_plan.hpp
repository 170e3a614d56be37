// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/zone_choice.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// What is handed to the printer with a grade.
struct Coupon {
    std::array<Index, 3> tiles{};
    Vec3 size = Vec3::Zero(); ///< [m]
    double mass_kg = 0.0;     ///< expected, of the whole block
};

/// A plan, in Markdown, by which a laboratory can prove the choice of a zone wrong: what to print,
/// how to crush and drop it, what to measure, what the tool predicts with its interval, and when it
/// has failed.
///
/// Compression: cube of at least `coupon.tiles` cells, the rates of the table's rows, plateau over
/// 20 to 40 % and energy to 50 % as ISO 13314 defines them (from memory). Drops: each blow of the
/// zone, a bare pad on a stiff backing.
/// @param rows  trusted rows of the grade, or of its two neighbours when it lies between
[[nodiscard]] std::string test_plan(const ZonePlan& plan,
                                    const ZoneChoice& choice,
                                    const std::vector<const GradeRow*>& rows,
                                    const Coupon& coupon);

} // namespace cellgrade
