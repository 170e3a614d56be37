// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_answer.hpp"
#include "solver/crush/drop_record.hpp"
#include "solver/crush/drop_setup.hpp"
#include "solver/grades/grade_table.hpp"

#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// One trait of a blow, computed strut by strut and from a grade table.
struct ComparedTrait {
    const ImpactField* field = nullptr; ///< name and units
    double drop = 0.0;                  ///< of the drop run; NaN: not known
    double table = 0.0;                 ///< of the table
    /// (table - drop) / |drop|; NaN where either is not known.
    double difference = 0.0;
};

/// What a grade table makes of the blow of a drop run, beside what the run gave.
struct DropAgainstTable {
    std::vector<ComparedTrait> traits;
    bool bottomed = false; ///< the table's pad bottoms: nothing of it is a result
    std::vector<std::string> notes;

    /// Of peak acceleration and largest depth, in magnitude; NaN when a side is not a result.
    [[nodiscard]] double largest_difference() const;
};

/// Whether a drop can be compared with a table, before it is run.
/// @throws Error (Input) for a slanting striker, or a grade that the table does not hold
void check_comparable(const GradeTable& table,
                      const GradeCase& grade,
                      const std::vector<PadLayer>& layers,
                      const DropStriker& striker);

/// Answers the straight blow of a drop from the table (answer_impact) and compares. The pad of the
/// table has the drop's gross area, height, cell, polymer, density and temperature.
///
/// What the two have in common are the crush curves. The table's pad has no inertia, its columns do
/// not feel one another, and the rate of a column is one number (Foundation); the drop's
/// acceleration has gone through its channel filter.
/// @param grade of the drop's pad
/// @param layers of a graded pad, the struck side first; empty: one density
/// @throws Error (Input) as check_comparable()
[[nodiscard]] DropAgainstTable drop_against_table(const GradeTable& table,
                                                  const GradeCase& grade,
                                                  const std::vector<PadLayer>& layers,
                                                  const DropRecord& record,
                                                  const DropStriker& striker);

} // namespace cellgrade
