// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/grade_response.hpp"
#include "solver/choice/table_caveats.hpp"
#include "solver/grades/grade_table.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One grade at one temperature, ready to be struck in the page.
struct ExplorerGrade {
    std::string label;     ///< "octet 0.12", with the direction where it is not [001]
    std::string label_end; ///< of it, what follows the density: direction and temperature
    std::string cell, polymer;
    double relative_density = 0.0;
    double temperature_C = 0.0; ///< NaN: the only one of the table
    double density_kg_per_m3 = 0.0;
    double steepest_Pa = 0.0;
    double uncertainty_share = 0.0; ///< NaN: not known
    TableCaveats caveats;           ///< of its family
    bool unloads = true;
    double lowest_rate_per_s = 0.0, highest_rate_per_s = 0.0;
    GradeResponse::Knots knots;
};

/// Every trusted grade of a table that was pressed straight, at every temperature of its family.
/// @param left_out gets what cannot be struck, each with its reason
[[nodiscard]] std::vector<ExplorerGrade> explorer_grades(const GradeTable& table,
                                                         std::vector<std::string>& left_out);

} // namespace cellgrade
