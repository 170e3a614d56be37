// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_draft.hpp"

#include <array>
#include <filesystem>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// Who wears the product: takes the place of the body that an impact describes.
struct Wearer {
    std::string name;
    std::optional<double> headform_circumference_m; ///< gives mass and radius (headforms())
    std::optional<double> mass_kg;                  ///< of what strikes, goes before the headform's
    std::optional<double> radius_m;                 ///< likewise
};

/// One place of a product that gets one grade.
struct Zone {
    std::string name;
    std::vector<double> thicknesses_m; ///< that could be built, rising
    double area_m2 = 0.0;              ///< of the pad, gross
    /// Radius of the face that is struck [m]: above 0 hollow, as the inside of a helmet; below 0
    /// bulging; infinite: flat.
    double face_radius_m = std::numeric_limits<double>::infinity();
    /// How many layers of different density and equal thickness a pad may have, rising; 1: one
    /// grade all through.
    std::vector<Index> layers{1};
    std::vector<std::string> impacts; ///< names of them
    std::vector<std::string> wearers; ///< names; empty: the impacts as they stand
};

/// What ranks grades that pass, first word first.
enum class RankBy { PeakAcceleration, Mass, Thickness, Cost, ThroughView };

/// "peak_acceleration", "mass", "thickness", "cost", "through_view"; the words of files.
[[nodiscard]] const std::vector<std::string>& rank_words();

/// Zones, wearers and impacts of a product, and what its maker can print.
struct ZonePlan {
    std::string name, about;
    std::vector<ImpactDraft> impacts;
    std::vector<Wearer> wearers;
    std::vector<Zone> zones;
    double price_per_kg =
        std::numeric_limits<double>::quiet_NaN(); ///< of the polymer; NaN: unknown
    std::string currency;
    double least_strut_m = 0.0;   ///< thinnest that prints; 0: any
    double least_opening_m = 0.0; ///< that powder or resin leaves by; 0: any
    double least_through_view = 0.0;
    Index densities_between = 0; ///< interpolated grades between two of the table
    std::vector<RankBy> rank_by{RankBy::PeakAcceleration, RankBy::Mass, RankBy::Thickness,
                                RankBy::Cost, RankBy::ThroughView};
};

/// Reads a plan: TOML, keys as in examples/README.md.
/// @throws Error (Input) with file, line and key: what is missing, unknown, doubled or out of range
[[nodiscard]] ZonePlan read_zone_plan(const std::filesystem::path& path);

/// An impact of the plan as it hits a wearer in a zone: mass and radius are the wearer's, and the
/// radius is that of the sphere which leaves the same gap to a flat face,
///
///   1 / radius = 1 / radius of the body - 1 / face radius
///
/// to second order in depth (gap of two paraboloids; Hertz; Johnson (1985), Contact Mechanics, sec.
/// 4.1, from memory). A body that fits a hollow face to 1 % strikes as a flat one.
/// @throws Error (Input) for a body that is rounder out than the face is in: it touches at a rim
[[nodiscard]] ImpactCase
impact_on(const ImpactDraft& impact, const Wearer* wearer, const Zone& zone);

} // namespace cellgrade
