// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"
#include "solver/results/hdf5.hpp"

#include <string>
#include <utility>
#include <vector>

namespace cellgrade {

/// A grade table as its file holds it: columns by name. Files of older versions are brought to the
/// newest form here, before one reader makes the struct of it.
struct GradeTableContent {
    std::string study_name;
    h5::Table cases;                ///< one row a case
    h5::Table uncertainty;          ///< one row a case and trait
    h5::Table stiffness;            ///< one row a tensor
    h5::Table scaling;              ///< one row a cell, direction, rate, temperature and trait
    std::vector<double> tensors_Pa; ///< 36 a row of `stiffness`, row-major
    std::vector<CrushCurve> curves; ///< one a case
    std::vector<std::vector<GuardResult>> guards; ///< one list a case
};

/// Everything but the curves and guards, which a file holds case by case.
[[nodiscard]] GradeTableContent content_of(const GradeTable& table);

/// @param file goes into messages
[[nodiscard]] GradeTable table_from(const GradeTableContent& content, const std::string& file);

/// Brings the content of an older file to the newest version, one function a step.
void migrate(GradeTableContent& content, std::pair<int, int> version);

} // namespace cellgrade
