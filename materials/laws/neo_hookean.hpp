// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/volume.hpp"

#include <array>

namespace cellgrade {

/// Neo-Hookean solid with densifying volume.
///
///   W = mu/2 (J^(-2/3) tr C - 3) + U(J)
///   S_iso = mu J^(-2/3) (I - tr(C)/3 C^-1)      S_vol = J U'(J) C^-1
///
/// Source: Treloar (1975), The Physics of Rubber Elasticity; split form Holzapfel (2000), sec. 6.4;
/// U from DensifyingVolume. Valid for elastomers to about 40 % compression and 50 % extension
/// (common practice, no source); no upturn at large stretch. About 100 flops a call.
struct NeoHookean : LawOfSplitVolume<NeoHookean> {
    double mu;            ///< instantaneous shear modulus [Pa]
    double kappa;         ///< bulk modulus [Pa]
    double void_fraction; ///< print porosity [-]

    static constexpr std::string_view kind = "neo_hookean";
    static constexpr double shape_flops = 69.0; ///< of one shape(), counted by hand
    static constexpr std::array<Parameter<NeoHookean>, 3> parameters() {
        return {
            {{"instantaneous_shear_modulus_MPa", &NeoHookean::mu, 1e6, ParameterRange::Positive},
             {"bulk_modulus_MPa", &NeoHookean::kappa, 1e6, ParameterRange::Positive},
             {"void_fraction", &NeoHookean::void_fraction, 1.0, ParameterRange::Share}}};
    }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(mu, kappa);
    }

    template <class S>
    [[nodiscard]] CELLGRADE_INLINE ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                          const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J); // root^2 = J^(-2/3), root^3 = 1/J
        const S scale = mu * (root * root);
        const lane::Symmetric<S> spread = lane::scaled(root * root * root, lane::adjugate(C));
        const S inward = (-1.0 / 3.0) * scale * trace(C) * (root * root * root);
        return {lane::combine(scale, inward, spread), spread, J};
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J);
        return 0.5 * mu * (root * root * trace(C) - 3.0);
    }
};

} // namespace cellgrade
