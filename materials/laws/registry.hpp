// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/arruda_boyce.hpp"
#include "materials/laws/hill_foam.hpp"
#include "materials/laws/linear_elastic.hpp"
#include "materials/laws/mooney_rivlin.hpp"
#include "materials/laws/neo_hookean.hpp"
#include "materials/laws/ogden.hpp"
#include "materials/laws/tabulated_foam.hpp"
#include "materials/laws/viscous.hpp"
#include "materials/laws/yeoh.hpp"

#include <variant>

namespace cellgrade {

/// A closed list of laws.
template <ElasticLaw... Law>
struct LawList {
    using Elastic = std::variant<Law...>;
    using WithMemory = std::variant<Viscous<Law>...>;

    /// Calls `visit.template operator()<Law>()` for each law in order.
    template <class Visit>
    static void for_each(Visit&& visit) {
        (visit.template operator()<Law>(), ...);
    }
};

/// Every law of the program: a new law is one name here.
using Laws = LawList<NeoHookean,
                     Yeoh,
                     LinearElastic,
                     MooneyRivlin,
                     ArrudaBoyce,
                     Ogden,
                     HillFoam,
                     TabulatedFoam>;

using AnyLaw = Laws::Elastic;           ///< instantaneous law of a card
using AnyViscousLaw = Laws::WithMemory; ///< chosen once per block, outside the element loop

[[nodiscard]] inline InitialModuli initial_moduli(const AnyLaw& law) {
    return std::visit([](const auto& l) { return l.initial_moduli(); }, law);
}

inline void check(const AnyLaw& law) {
    std::visit([](const auto& l) { l.check(); }, law);
}

[[nodiscard]] inline AnyViscousLaw with_memory(const AnyLaw& law,
                                               std::span<const PronyTerm> terms,
                                               const std::optional<MullinsDamage>& damage = {}) {
    return std::visit([&](const auto& l) { return AnyViscousLaw(make_viscous(l, terms, damage)); },
                      law);
}

} // namespace cellgrade
