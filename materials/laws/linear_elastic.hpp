// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/stretch_tensor.hpp"
#include "materials/laws/volume.hpp"

#include <array>

namespace cellgrade {

/// Isotropic solid whose Biot stress is linear in the stretch U = sqrt(C).
///
///   e = tr(U - I)      W = mu |dev(U - I)|^2 + kappa/2 e^2 + U_d(-e)
///   T = 2 mu dev(U - I) + (kappa e - U_d'(-e)) I      S = U^-1 T      P = F S
///
/// This is what "linear elastic" means here, for one reason: under uniaxial stress it gives exactly
///   nominal stress = E (stretch - 1),      lateral stretch = 1 - nu (stretch - 1)
/// when there is no void, so a beam section of it has constant EA and EI at any strain, and
/// elastica and frame formulae hold without a small-strain remainder. A law linear in the Green
/// strain goes soft under compression, one linear in the log strain is not linear in force.
/// Volume is counted by e, which equals J - 1 to first order; the void closes at e =
/// -void_fraction. Source: Biot (1965), Mechanics of Incremental Deformations; Ogden (1984),
/// Non-Linear Elastic Deformations, sec. 3.5 (U_d: VoidClosure). Valid as a description of a
/// polymer to about 5 % strain; lateral stretch would reach 0 at stretch 1 + 1/nu. U by its
/// invariants, without eigenvectors (stretch_tensor.hpp).
struct LinearElastic : LawOfShape<LinearElastic> {
    double E;             ///< instantaneous Young's modulus [Pa]
    double nu;            ///< instantaneous Poisson's ratio [-]
    double void_fraction; ///< print porosity [-]

    static constexpr std::string_view kind = "linear";
    static constexpr double shape_flops = 247.0; ///< of one shape(), counted by hand
    static constexpr std::array<Parameter<LinearElastic>, 3> parameters() {
        return {
            {{"instantaneous_youngs_modulus_MPa", &LinearElastic::E, 1e6, ParameterRange::Positive},
             {"instantaneous_poissons_ratio", &LinearElastic::nu, 1.0, ParameterRange::Poisson},
             {"void_fraction", &LinearElastic::void_fraction, 1.0, ParameterRange::Share}}};
    }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return {.E0 = E, .nu0 = nu, .mu0 = mu(), .kappa0 = kappa()};
    }
    [[nodiscard]] double smallest_jacobian() const {
        return void_fraction > 0.0 ? 1.0 - void_fraction : 0.0;
    }

    template <class S>
    [[nodiscard]] CELLGRADE_INLINE ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                          const S& J) const noexcept {
        const StretchTensor<S> U = stretch_tensor(C, J);
        const S inward = (-2.0 / 3.0) * mu() * U.i1;
        return {lane::combine(S(2.0 * mu()), inward, U.U_inv), U.U_inv, U.i1 - 2.0};
    }
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S mean_stress(const S& volume) const noexcept {
        return kappa() * (volume - 1.0) - closure().slope(S(1.0 - volume));
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const StretchTensor<S> U = stretch_tensor(C, J);
        const lane::Symmetric<S> dev = lane::combine(S((-1.0 / 3.0) * U.i1), S(1.0), U.U);
        return mu() * lane::contract(dev, dev);
    }
    template <class S>
    [[nodiscard]] S volume_energy(const S& volume) const noexcept {
        return 0.5 * kappa() * (volume - 1.0) * (volume - 1.0) + closure().energy(S(1.0 - volume));
    }

private:
    [[nodiscard]] double mu() const noexcept { return E / (2.0 * (1.0 + nu)); }
    [[nodiscard]] double kappa() const noexcept { return E / (3.0 * (1.0 - 2.0 * nu)); }
    [[nodiscard]] VoidClosure closure() const noexcept {
        return {kappa(), 3.0 - 3.0 * std::cbrt(1.0 - void_fraction)};
    }
};

} // namespace cellgrade
