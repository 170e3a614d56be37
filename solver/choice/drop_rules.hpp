// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_case.hpp"

#include <span>
#include <string>

namespace cellgrade {

/// A blow as a public rule for helmets describes it. The rule tests a whole helmet; here it lends
/// speed, mass and limits to a bare pad, which certifies nothing.
struct DropRule {
    const char* name;
    const char* what;     ///< which test of which kind of helmet
    double mass_kg;       ///< NaN: that of the headform
    double speed_m_per_s; ///< the lowest that the rule allows
    double height_m;      ///< NaN: the rule gives the speed
    ImpactLimits limits;
    const char* anvil;  ///< what the helmet falls on or is struck by; no shape is taken from it
    const char* source; ///< and which values are from memory
};

[[nodiscard]] std::span<const DropRule> drop_rules();

/// @throws Error (Input), key rule, that names the nearest
[[nodiscard]] const DropRule& drop_rule(const std::string& name);

} // namespace cellgrade
