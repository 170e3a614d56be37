// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"
#include "solver/grades/scaling_row.hpp"
#include "solver/grades/uncertainty.hpp"
#include "solver/homogenize/crush_curve.hpp"

#include <array>
#include <limits>
#include <string>
#include <vector>

namespace cellgrade {

/// How the platen moves.
enum class CaseLoad {
    Compression, ///< straight down
    Shear,       ///< down to `precompression`, then sideways along x at that height
    Oblique,     ///< along a straight path at `path_angle_deg` from its normal, towards x
};

/// "compression", "shear", "oblique"; the words of files and studies.
[[nodiscard]] std::string load_name(CaseLoad load);
/// The inverse. @throws Error (Input) for another word
[[nodiscard]] CaseLoad load_from_name(const std::string& name);

/// One case of a study: a cell at a density in a polymer, crushed at a speed.
struct GradeCase {
    std::string key; ///< content hash of the resolved case, 64 hex digits
    std::string cell;
    std::string polymer;
    double relative_density = 0.0; ///< asked for; of the periodic cell
    double strut_diameter_m = 0.0;
    double speed_m_per_s = 0.0;     ///< NaN for a case given by strain rate
    double strain_rate_per_s = 0.0; ///< nominal: speed / height
    std::array<Index, 3> direction{0, 0,
                                   1}; ///< of the cell that is crushed, whole steps of its edges
    double temperature_C = std::numeric_limits<double>::quiet_NaN(); ///< NaN: that of the card
    CaseLoad load = CaseLoad::Compression;
    double precompression = 0.0; ///< nominal strain held while it is sheared [-]
    double path_angle_deg = 0.0; ///< between the path of the platen and its normal
};

/// "[001]", "[110]", "[1 -1 2]": a direction as crystallography writes it.
[[nodiscard]] std::string direction_text(const std::array<Index, 3>& direction);

/// One row of the grade table. `status` is "trusted", "untrusted" or "failed"; traits of a row that
/// is not trusted are kept but must not be used as results, and `reason` says why. `warning` may
/// stand beside any status.
struct GradeRow {
    GradeCase grade;
    std::string status;
    std::string reason;
    std::string warning;      ///< how far beams are from tetrahedra; empty for solids
    std::string outside_card; ///< where the run left what its polymer card was measured for
    CrushTraits traits;
    CrushCurve curve;
    double density_kg_per_m3 = 0.0; ///< of the grade: relative density x solid density
    std::vector<GuardResult> guards;
    ShearTraits shear; ///< NaN without shear
    /// Young's modulus of the polymer at the rate and temperature of the case: secant at 1 % strain
    /// of a ramp at the nominal rate [Pa]; what theories of cellular solids call E_s.
    double polymer_modulus_Pa = std::numeric_limits<double>::quiet_NaN();
    /// One a trait in the order of trait_fields(); empty where nothing was estimated.
    std::vector<TraitUncertainty> uncertainty;
};

/// Small-strain stiffness of an endless lattice, in axes whose third is the crushed direction.
struct GradeStiffness {
    std::string cell;
    double relative_density = 0.0;
    std::array<Index, 3> direction{0, 0, 1};
    double polymer_modulus_Pa = 0.0; ///< that the tensor belongs to; the tensor goes with it
    double polymer_poisson = 0.0;
    /// Order xx yy zz yz xz xy, engineering shear. Not aligned: a program that links the installed
    /// library may be built for another instruction set, where alignment differs.
    Eigen::Matrix<double, 6, 6, Eigen::DontAlign> tensor_Pa = Mat6::Zero();
};

struct GradeTable {
    std::string study_name;
    std::vector<GradeRow> rows;            ///< in the order of the study file
    std::vector<GradeStiffness> stiffness; ///< one a cell, density and direction of the rows
    std::vector<ScalingRow> scaling;       ///< power laws over relative density
};

/// "[110], 5 C, sheared at 0.2": what a case has beside cell, density and rate; empty for a
/// straight crush along [001] at the temperature of the card.
[[nodiscard]] std::string condition_text(const GradeCase& grade);

/// "octet, polymer-a, relative density 0.15, 0.02 m/s", for legends and messages.
[[nodiscard]] std::string grade_label(const GradeCase& grade);

/// Refuses a table that no file should hold: keys that are empty or given twice, an unknown status,
/// a row without trust and without reason, curve columns of different lengths. The message names
/// the row (from 1) and its label.
void check_grade_table(const GradeTable& table);

/// How many rows have this status.
[[nodiscard]] Index count_status(const GradeTable& table, const std::string& status);

} // namespace cellgrade
