// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"

#include <span>
#include <string>

namespace cellgrade {

/// How one crush trait is called and what it is, for every file, table and report alike.
struct TraitField {
    std::string name;    ///< ends in its unit, the member's name
    std::string units;   ///< as written in files; "1" when dimensionless
    std::string meaning; ///< one line
    double CrushTraits::*member;
};

/// All traits in the order in which tables show them.
[[nodiscard]] std::span<const TraitField> trait_fields();

} // namespace cellgrade
