// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"
#include "solver/homogenize/crush_traits.hpp"

#include <span>

namespace cellgrade {

/// Shear traits of a curve; all NaN for one without shear, single ones NaN where it does not reach.
/// Definitions: shear_fields().
/// @throws Error (Input) for columns of unequal length
[[nodiscard]] ShearTraits shear_traits(const CrushCurve& curve);

/// One shear trait as files and reports call it.
struct ShearField {
    const char* name; ///< the member's name
    const char* units;
    const char* meaning; ///< its definition in plain words
    double ShearTraits::*member;
};

/// All members of ShearTraits, in their order.
[[nodiscard]] std::span<const ShearField> shear_fields();

} // namespace cellgrade
