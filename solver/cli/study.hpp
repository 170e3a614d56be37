// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/card_doubt.hpp"
#include "meshes/solids/print_check.hpp"
#include "solver/cli/study_striker.hpp"
#include "solver/cli/uncertainty_choice.hpp"
#include "solver/core/types.hpp"
#include "solver/crush/crush_setup.hpp"

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// The schema number that a study file begins with.
inline constexpr Index study_schema = 1;

/// How far swept cases are sheared where [loading] does not say.
inline constexpr double usual_shear_strain = 0.5;

/// Which cell, and how large: a name of the catalogue or a cell file.
struct CellChoice {
    std::string name;           ///< catalogue name; empty when `file` is given
    std::filesystem::path file; ///< relative paths are relative to the study file
    std::filesystem::path nodes_file, struts_file; ///< instead of a cell: a whole lattice
    std::optional<double> scale; ///< edge of the cell along x [m]; unset: as the cell says
    std::array<Index, 3> direction{0, 0, 1}; ///< along which it is crushed, in edges of the cell
};

/// Size and faults of the specimen; see examples/README.md for the keys.
struct SpecimenChoice {
    std::array<Index, 3> tiles{2, 2, 2};
    std::optional<double> relative_density;       ///< exactly one of these three, or the
    std::optional<double> diameter;               ///< cell's own diameters [m]
    std::vector<double> layer_relative_densities; ///< from the lower face up, one a layer of cells
    bool periodic_sides = false;
    SpecimenSides sides = SpecimenSides::Free;
    SpecimenEnds ends = SpecimenEnds::Platen;
    std::optional<double> element_length;    ///< [m]; unset: about one strut diameter
    std::optional<Index> elements_per_strut; ///< instead: parts of the shortest strut
    double element_refinement = 1.0;         ///< elements smaller by this than the above says
    bool stiffened_joints = true;
    double joint_stiffness = 3.0;   ///< factor inside joint zones, see BeamOptions
    double elements_across = 2.0;   ///< solids: grid cubes across the narrowest wall or strut
    double fillet_radius = 0.0;     ///< solids of struts: at the joints [m]
    double node_offset_share = 0.0; ///< standard deviation / mean strut length
    double diameter_scatter = 0.0;  ///< standard deviation / diameter
    Index seed = 1;
    double buckling_shape = 0.0; ///< largest move along the lowest buckling mode / strut diameter
    double min_diameter = 0.0;   ///< thinnest strut that prints [m]; 0: no limit
};

/// What of the card's print effects a study takes.
struct PrintChoice {
    bool as_drawn = false;             ///< without the diameter offset
    std::optional<int> build_axis;     ///< 0, 1, 2: x, y, z of the specimen; unset: no factor
    std::optional<Index> scatter_seed; ///< one print out of the card's scatter; unset: the mean
};

enum class ModelKind {
    Beams, ///< strut cells alone
    Solid, ///< tetrahedra; the only one for level-set cells
};

/// Cells x relative densities x directions x temperatures x rates x loads; empty lists mean "as in
/// the other tables". Every combination is crushed straight down, and sheared or crushed obliquely
/// once for each entry of the last two.
struct SweepAxes {
    std::vector<std::string> cells; ///< names of the catalogue or files ending in .toml
    std::vector<double> relative_densities;
    std::vector<std::array<Index, 3>> directions;
    std::vector<double> temperatures_C;
    std::vector<double> strain_rates_per_s;    ///< quasi-static cases, before the impact cases
    std::vector<double> speeds_m_per_s;        ///< impact cases
    std::vector<double> shear_precompressions; ///< sheared at these nominal strains
    std::vector<double> path_angles_deg;       ///< oblique cases

    bool operator==(const SweepAxes&) const = default;
};

/// A study file with every default filled in; SI.
struct StudyConfig {
    std::string name;
    std::string about;   ///< free text; the place to say that data are invented
    std::string polymer; ///< catalogue name or file ending in .toml
    CellChoice cell;
    SpecimenChoice specimen;
    std::optional<ModelKind> model; ///< unset: beams for strut cells, solid for level-set cells
    SectionKind section = SectionKind::Fibres;
    std::optional<double> temperature_C;   ///< of the polymer; unset: as its card is given
    std::optional<double> platen_friction; ///< Coulomb; unset: of the polymer card, else 0
    std::optional<double> strut_friction;  ///< the same between struts
    bool self_contact = true;
    CrushLoading loading;
    CrushNumerics numerics;
    double solver_speed_share = 1.0; ///< of the first platen speed of a quasi-static run
    CrushLimits limits;
    PrintLimits print; ///< 0: no limit
    PrintChoice printed;
    std::optional<StrikerChoice> striker; ///< of a drop
    SweepAxes sweep;
    UncertaintyChoice uncertainty;
    std::optional<CardChange> card_change; ///< of a variant; no key of the file

    std::filesystem::path path; ///< of the file itself
    std::string text;           ///< the file as read, for provenance
};

enum class StudyUse {
    OneCrush, ///< `crush`: a cell, a density and one rate are needed
    Table,    ///< `table`: a [sweep] table is needed
    Geometry, ///< `mesh`: no loading is needed
    Drop,     ///< `drop`: a cell, a density and a [striker] table are needed
};

/// Reads a study file. Errors (input): unreadable, unknown or missing key, wrong type, a value out
/// of range, contradictory keys; each with file, line, column and key.
[[nodiscard]] StudyConfig read_study(const std::filesystem::path& path, StudyUse use);

} // namespace cellgrade
