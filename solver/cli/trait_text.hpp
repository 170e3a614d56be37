// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"
#include "solver/homogenize/crush_curve.hpp"

#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// A trait for people: its name with a unit of handy size, and what one unit is in SI.
struct ReadableTrait {
    const char* name;
    double unit;
    double CrushTraits::*member;
};

/// All traits in the order of trait_fields().
[[nodiscard]] std::span<const ReadableTrait> readable_traits();

/// Traits for people: stresses in MPa, energies in MJ/m^3 and J/g, unknown ones as "-".
[[nodiscard]] std::string traits_text(const CrushTraits& traits);

/// Shear traits in the same units; empty for a case without shear.
[[nodiscard]] std::string shear_text(const ShearTraits& traits);

/// Guards: reached, limit, whether it was met, whether it is enforced.
[[nodiscard]] std::string guards_text(const std::vector<GuardResult>& guards);

} // namespace cellgrade
