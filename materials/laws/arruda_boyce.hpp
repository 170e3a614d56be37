// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/volume.hpp"

#include <array>

namespace cellgrade {

/// Arruda-Boyce solid (chains of limited length, eight to a cube) with densifying volume.
///
///   W = mu sum_{i=1..5} c_i / lambda_L^(2i-2) (I1^i - 3^i) + U(J)      I1 = J^(-2/3) tr C
///   c = 1/2, 1/20, 11/1050, 19/7000, 519/673750
///   S_iso = 2 dW/dI1 J^(-2/3) (I - tr(C)/3 C^-1)      S_vol = J U'(J) C^-1
///
/// lambda_L is the stretch of a chain drawn straight, sqrt(N) for N links. mu is the parameter of
/// the series, not the initial shear modulus: that is mu sum 2 i c_i 3^(i-1) / lambda_L^(2i-2),
/// 1.07 mu at lambda_L = 3 (`initial_moduli`).
/// Source: Arruda & Boyce (1993), J. Mech. Phys. Solids 41, 389, the inverse Langevin function to
/// five terms; U from DensifyingVolume. The series has no wall at the locking stretch and lies
/// below the full law as I1 nears 3 lambda_L^2. Stable for any parameters in range. About 110 flops
/// a call.
struct ArrudaBoyce : LawOfSplitVolume<ArrudaBoyce> {
    double mu;              ///< instantaneous, of the series [Pa]
    double locking_stretch; ///< of a chain, sqrt(links) [-]
    double kappa;           ///< bulk modulus [Pa]
    double void_fraction;   ///< print porosity [-]

    static constexpr std::string_view kind = "arruda_boyce";
    static constexpr double shape_flops = 81.0; ///< of one shape(), counted by hand
    static constexpr std::array<Parameter<ArrudaBoyce>, 4> parameters() {
        return {{{"instantaneous_mu_MPa", &ArrudaBoyce::mu, 1e6, ParameterRange::Positive},
                 {"locking_stretch", &ArrudaBoyce::locking_stretch, 1.0, ParameterRange::Positive},
                 {"bulk_modulus_MPa", &ArrudaBoyce::kappa, 1e6, ParameterRange::Positive},
                 {"void_fraction", &ArrudaBoyce::void_fraction, 1.0, ParameterRange::Share}}};
    }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(2.0 * slope(3.0), kappa);
    }

    template <class S>
    [[nodiscard]] CELLGRADE_INLINE ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                          const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J); // root^2 = J^(-2/3), root^3 = 1/J
        const S I1 = root * root * trace(C);
        const S twice = 2.0 * slope(I1);
        const lane::Symmetric<S> spread = lane::scaled(root * root * root, lane::adjugate(C));
        const S inward = (-1.0 / 3.0) * twice * I1 * (root * root * root);
        return {lane::combine(S(twice * (root * root)), inward, spread), spread, J};
    }
    /// With I1 - 3 taken out of each term, so that a small energy keeps its digits.
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const S root = lane::inverse_cbrt(J);
        const S I1 = root * root * trace(C);
        S quotient(1.0), sum(0.0); // quotient = (I1^i - 3^i) / (I1 - 3)
        double power_of_3 = 1.0, per_links = 1.0;
        for (const double c : series) {
            sum += c * per_links * quotient;
            power_of_3 *= 3.0;
            per_links /= locking_stretch * locking_stretch;
            quotient = I1 * quotient + power_of_3;
        }
        return mu * (I1 - 3.0) * sum;
    }

private:
    static constexpr std::array<double, 5> series = {1.0 / 2.0, 1.0 / 20.0, 11.0 / 1050.0,
                                                     19.0 / 7000.0, 519.0 / 673750.0};
    /// dW/dI1.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S slope(const S& I1) const noexcept {
        const S x = (1.0 / (locking_stretch * locking_stretch)) * I1;
        const S tail = 4.0 * series[3] + x * (5.0 * series[4]);
        return mu * (series[0] + x * (2.0 * series[1] + x * (3.0 * series[2] + x * tail)));
    }
};

} // namespace cellgrade
