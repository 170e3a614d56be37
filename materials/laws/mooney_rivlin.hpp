// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/volume.hpp"

#include <array>

namespace cellgrade {

/// Mooney-Rivlin solid (linear in the first two invariants) with densifying volume.
///
///   I1 = J^(-2/3) tr C      I2 = J^(-4/3) tr adj C      W = C10 (I1 - 3) + C01 (I2 - 3) + U(J)
///   S_iso = 2 C10 J^(-2/3) I + 2 C01 J^(-4/3) (tr(C) I - C) - 2/3 (C10 I1 + 2 C01 I2) C^-1
///
/// Source: Mooney (1940), J. Appl. Phys. 11, 582; Rivlin (1948), Phil. Trans. R. Soc. A 241, 379;
/// split form Holzapfel (2000), sec. 6.4 and 6.5; U from DensifyingVolume. One of the two may be
/// below 0; with C01 < 0 compression and equibiaxial tension go soft (see stable_range of the
/// uniaxial table for the former). Valid for elastomers to about 100 % extension (common practice,
/// no source). About 130 flops a call.
struct MooneyRivlin : LawOfSplitVolume<MooneyRivlin> {
    double C10;           ///< instantaneous [Pa]
    double C01;           ///< instantaneous; C10 + C01 is half the initial shear modulus [Pa]
    double kappa;         ///< bulk modulus [Pa]
    double void_fraction; ///< print porosity [-]

    static constexpr std::string_view kind = "mooney_rivlin";
    static constexpr double shape_flops = 97.0; ///< of one shape(), counted by hand
    static constexpr std::array<Parameter<MooneyRivlin>, 4> parameters() {
        return {{{"instantaneous_c10_MPa", &MooneyRivlin::C10, 1e6, ParameterRange::Any},
                 {"instantaneous_c01_MPa", &MooneyRivlin::C01, 1e6, ParameterRange::Any},
                 {"bulk_modulus_MPa", &MooneyRivlin::kappa, 1e6, ParameterRange::Positive},
                 {"void_fraction", &MooneyRivlin::void_fraction, 1.0, ParameterRange::Share}}};
    }
    void check() const {
        check_parameters(*this);
        CELLGRADE_CHECK(C10 + C01 > 0.0,
                        "mooney_rivlin law: c10 + c01, half the initial shear modulus, is {:.9g} "
                        "Pa; a number above 0 is needed",
                        C10 + C01);
    }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(2.0 * (C10 + C01), kappa);
    }

    template <class S>
    [[nodiscard]] CELLGRADE_INLINE ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                          const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J); // root^2 = J^(-2/3), root^3 = 1/J
        const S root2 = root * root, root3 = root2 * root, root4 = root2 * root2;
        const lane::Symmetric<S> cofactor = lane::adjugate(C);
        const lane::Symmetric<S> spread = lane::scaled(root3, cofactor);
        const S tr = trace(C);
        const S I1 = root2 * tr, I2 = root4 * trace(cofactor);
        const S by_C = 2.0 * C01 * root4;
        const S inward = (-2.0 / 3.0) * root3 * (C10 * I1 + 2.0 * C01 * I2);
        const lane::Symmetric<S> rest = lane::combine(inward, spread, S(-by_C), C);
        return {lane::combine(S(2.0 * C10 * root2 + by_C * tr), S(1.0), rest), spread, J};
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J);
        const S root2 = root * root;
        return C10 * (root2 * trace(C) - 3.0) +
               C01 * (root2 * root2 * trace(lane::adjugate(C)) - 3.0);
    }
};

} // namespace cellgrade
