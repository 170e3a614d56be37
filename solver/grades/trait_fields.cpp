// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/trait_fields.hpp"

#include "solver/core/error.hpp"
#include "solver/homogenize/crush_traits.hpp"

#include <array>
#include <utility>
#include <vector>

namespace cellgrade {

namespace {

using Member = double CrushTraits::*;

constexpr std::array<std::pair<const char*, Member>, 14> members{
    {{"quasi_elastic_gradient_Pa", &CrushTraits::quasi_elastic_gradient_Pa},
     {"collapse_stress_Pa", &CrushTraits::collapse_stress_Pa},
     {"collapse_strain", &CrushTraits::collapse_strain},
     {"plateau_stress_Pa", &CrushTraits::plateau_stress_Pa},
     {"plateau_end_strain", &CrushTraits::plateau_end_strain},
     {"densification_strain", &CrushTraits::densification_strain},
     {"densification_stress_Pa", &CrushTraits::densification_stress_Pa},
     {"energy_to_50_J_per_m3", &CrushTraits::energy_to_50_J_per_m3},
     {"energy_J_per_m3", &CrushTraits::energy_J_per_m3},
     {"sea_J_per_kg", &CrushTraits::sea_J_per_kg},
     {"efficiency", &CrushTraits::efficiency},
     {"ideality", &CrushTraits::ideality},
     {"dissipated_fraction", &CrushTraits::dissipated_fraction},
     {"residual_strain", &CrushTraits::residual_strain}}};
static_assert(sizeof(CrushTraits) == members.size() * sizeof(double), "one entry a trait");

std::vector<TraitField> made_fields() {
    std::vector<TraitField> fields;
    for (const TraitDefinition& definition : trait_definitions())
        for (const auto& [name, member] : members)
            if (definition.name == name)
                fields.push_back(
                    {definition.name, definition.unit, definition.text, definition.source, member});
    CELLGRADE_CHECK(fields.size() == members.size(),
                    "{} of {} traits have a definition: the two lists have come apart",
                    fields.size(), members.size());
    return fields;
}

} // namespace

std::span<const TraitField> trait_fields() {
    static const std::vector<TraitField> fields = made_fields();
    return fields;
}

std::string definition_text(const TraitField& field) {
    return fmt::format("{} [{}]; source: {}", field.meaning, field.units, field.source);
}

} // namespace cellgrade
