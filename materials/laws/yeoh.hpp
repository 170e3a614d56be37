// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/volume.hpp"

#include <array>

namespace cellgrade {

/// Yeoh solid (cubic in the first invariant) with densifying volume.
///
///   q = J^(-2/3) tr C - 3      W = C10 q + C20 q^2 + C30 q^3 + U(J)
///   S_iso = 2 (C10 + 2 C20 q + 3 C30 q^2) J^(-2/3) (I - tr(C)/3 C^-1)      S_vol = J U'(J) C^-1
///
/// Source: Yeoh (1993), Rubber Chem. Technol. 66, 754; U from DensifyingVolume.
/// Valid where dW/dq > 0 (C20 < 0 can break it: see stable_range of the uniaxial table). About 110
/// flops a call.
struct Yeoh : LawOfSplitVolume<Yeoh> {
    double C10;           ///< instantaneous, half the initial shear modulus [Pa]
    double C20;           ///< instantaneous [Pa]
    double C30;           ///< instantaneous [Pa]
    double kappa;         ///< bulk modulus [Pa]
    double void_fraction; ///< print porosity [-]

    static constexpr std::string_view kind = "yeoh";
    static constexpr double shape_flops = 76.0; ///< of one shape(), counted by hand
    static constexpr std::array<Parameter<Yeoh>, 5> parameters() {
        return {{{"instantaneous_c10_MPa", &Yeoh::C10, 1e6, ParameterRange::Positive},
                 {"instantaneous_c20_MPa", &Yeoh::C20, 1e6, ParameterRange::Any},
                 {"instantaneous_c30_MPa", &Yeoh::C30, 1e6, ParameterRange::Any},
                 {"bulk_modulus_MPa", &Yeoh::kappa, 1e6, ParameterRange::Positive},
                 {"void_fraction", &Yeoh::void_fraction, 1.0, ParameterRange::Share}}};
    }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(2.0 * C10, kappa);
    }

    template <class S>
    [[nodiscard]] CELLGRADE_INLINE ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                          const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J); // root^2 = J^(-2/3), root^3 = 1/J
        const S I1 = root * root * trace(C), q = I1 - 3.0;
        const S slope = 2.0 * (C10 + q * (2.0 * C20 + q * (3.0 * C30)));
        const lane::Symmetric<S> spread = lane::scaled(root * root * root, lane::adjugate(C));
        const S inward = (-1.0 / 3.0) * slope * I1 * (root * root * root);
        return {lane::combine(S(slope * (root * root)), inward, spread), spread, J};
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J);
        const S q = root * root * trace(C) - 3.0;
        return q * (C10 + q * (C20 + q * C30));
    }
};

} // namespace cellgrade
