// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/zone_choice.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// A block that is handed to the printer with a grade.
struct PrintedBlock {
    std::vector<std::string> files; ///< their names in the folder, all of the same block
    std::string grade;              ///< "octet 0.12"
    std::array<Index, 3> tiles{};
    Vec3 size = Vec3::Zero(); ///< [m]
    double mass_kg = 0.0;     ///< expected, of the whole block
};

/// A plan, in Markdown, by which a laboratory can prove the choice of a zone wrong: what to print,
/// how to crush and drop it, what to measure, what the tool predicts with its interval, and when it
/// has failed.
///
/// Compression: a cube of cells of every grade in the pad, the rates of the table's rows, plateau
/// over 20 to 40 % and energy to 50 % as ISO 13314 defines them (from memory). Drops: each blow of
/// the zone, a bare pad on a stiff backing.
/// @param rows  trusted rows of the grade or of its layers, or of the two neighbours of one that
/// lies between
[[nodiscard]] std::string test_plan(const ZonePlan& plan,
                                    const ZoneChoice& choice,
                                    const std::vector<const GradeRow*>& rows,
                                    const std::vector<PrintedBlock>& coupons);

} // namespace cellgrade
