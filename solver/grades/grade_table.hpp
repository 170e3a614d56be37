// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"
#include "solver/homogenize/crush_curve.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One case of a study: a cell at a density in a polymer, crushed at a speed.
struct GradeCase {
    std::string key; ///< content hash of the resolved case, 64 hex digits
    std::string cell;
    std::string polymer;
    double relative_density = 0.0; ///< asked for; of the periodic cell
    double strut_diameter_m = 0.0;
    double speed_m_per_s = 0.0;     ///< NaN for a case given by strain rate
    double strain_rate_per_s = 0.0; ///< nominal: speed / height
};

/// One row of the grade table. `status` is "trusted", "untrusted" or "failed"; traits of a row that
/// is not trusted are kept but must not be used as results, and `reason` says why. `warning` may
/// stand beside any status.
struct GradeRow {
    GradeCase grade;
    std::string status;
    std::string reason;
    std::string warning; ///< how far beams are from tetrahedra; empty for solids
    CrushTraits traits;
    CrushCurve curve;
    double density_kg_per_m3 = 0.0; ///< of the grade: relative density x solid density
    std::vector<GuardResult> guards;
};

struct GradeTable {
    std::string study_name;
    std::vector<GradeRow> rows; ///< in the order of the study file
};

/// "octet, polymer-a, relative density 0.15, 0.02 m/s", for legends and messages.
[[nodiscard]] std::string grade_label(const GradeCase& grade);

/// Refuses a table that no file should hold: keys that are empty or given twice, an unknown status,
/// a row without trust and without reason, curve columns of different lengths. The message names
/// the row (from 1) and its label.
void check_grade_table(const GradeTable& table);

/// How many rows have this status.
[[nodiscard]] Index count_status(const GradeTable& table, const std::string& status);

} // namespace cellgrade
