// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_case.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// A blow as a user describes it, with gaps that presets fill.
struct ImpactDraft {
    std::string name;
    std::optional<std::string> rule;                ///< of drop_rules()
    std::optional<double> headform_circumference_m; ///< of headforms(): mass, radius, inertia
    std::optional<double> mass_kg;
    std::optional<double> speed_m_per_s, drop_height_m; ///< one of them
    std::optional<std::string> shape;
    std::optional<double> radius_m, face_area_m2;
    std::optional<std::array<double, 3>> semi_axes_m;
    bool with_weight = false;
    Index hits = 1;
    double recovery_share = 0.0;
    std::vector<double> temperatures_C;
    double tangential_speed_m_per_s = 0.0;
    std::optional<double> friction, inertia_kg_m2, lever_m;
    std::string rotation_axis = "unknown"; ///< x, y, z, unknown
    ImpactLimits limits;                   ///< go before those of the rule, each by itself
};

/// The words of rotation_axis.
[[nodiscard]] const std::vector<std::string>& rotation_axes();

/// Fills the gaps: mass as given, else of the rule, else of the headform; speed as given, else
/// sqrt(2 g h), else of the rule; without a shape a headform is a sphere of its girth; the lever of
/// a sphere is its radius; inertia only of a headform. Says in `sources` what came from where.
/// @throws Error (Input) whose key is the one that is missing, doubled or out of range
[[nodiscard]] ImpactCase complete_impact(const ImpactDraft& draft);

} // namespace cellgrade
