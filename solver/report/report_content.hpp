// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/zone_choice.hpp"
#include "solver/grades/grade_table.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/drop_file.hpp"
#include "solver/results/provenance.hpp"
#include "solver/results/saved_shapes.hpp"

#include <string>
#include <vector>

namespace cellgrade {

struct ReportedTable {
    std::string file; ///< its name without folders
    GradeTable table;
    Provenance provenance;
};

struct ReportedCrush {
    std::string file;
    CrushResult result;
};

struct ReportedDrop {
    std::string file;
    DropResult result;
};

struct ReportedShapes {
    std::string file;
    std::string of; ///< file of the crush or drop that they are of; empty: none was given
    SavedShapes shapes;
};

struct ReportedZones {
    std::string file;
    std::string table_file; ///< whose grades were tried
    ZonePlan plan;
    std::vector<ZoneChoice> zones;
};

/// All that one report is about; a part that is not there gets no section.
struct ReportContent {
    std::string title;
    std::vector<ReportedTable> tables;
    std::vector<ReportedCrush> crushes;
    std::vector<ReportedDrop> drops;
    std::vector<ReportedShapes> shapes;
    std::vector<ReportedZones> zones;
};

} // namespace cellgrade
