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
    std::string meaning; ///< its definition, as in `trait_definitions`
    std::string source;  ///< of the definition
    double CrushTraits::*member;
};

/// All traits in the order of `trait_definitions`, which is that of every table.
[[nodiscard]] std::span<const TraitField> trait_fields();

/// "MEANING [UNITS]; source: SOURCE", for attributes and footnotes.
[[nodiscard]] std::string definition_text(const TraitField& field);

} // namespace cellgrade
