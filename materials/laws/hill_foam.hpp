// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/power_terms.hpp"
#include "materials/laws/principal_axes.hpp"
#include "materials/laws/volume.hpp"
#include "solver/core/lane_powers.hpp"

#include <array>

namespace cellgrade {

/// Compressible foam of one to three terms in the principal stretches, with a void that closes.
///
///   W = sum_p 2 mu_p/alpha_p^2 [l_1^alpha_p + l_2^alpha_p + l_3^alpha_p - 3
///                               + (J^(-alpha_p beta_p) - 1)/beta_p] + U_d(1 - J)
///   tau_i = sum_p 2 mu_p/alpha_p (l_i^alpha_p - J^(-alpha_p beta_p))    beta = nu/(1 - 2 nu)
///   mu = sum mu_p      kappa = sum 2 mu_p (1/3 + beta_p)      U_d: VoidClosure of that kappa
///
/// For homogenised grades: void_fraction is 1 - relative density there. A term's nu is the exponent
/// of its free lateral stretch, l^-nu at any compression, until the closing void is felt; nu = 0
/// crushes without growing wide. The sums for mu and kappa must be above 0; mu_p may have any sign.
///
/// **The energy does not split.** All of it but the closing void counts as shape here: Prony terms
/// relax all of tau, the answer to a change of volume with it, as is right for a foam whose walls
/// bend in either; after a long time the bulk modulus is g_inf kappa, the void closure alone is not
/// relaxed. An element averages only the closure over its points, so nearly incompressible foams
/// (nu above about 0.45) lock as they would with full integration.
///
/// Source: Hill (1979), Adv. Appl. Mech. 18, 1 (from memory); Storakers (1986), J. Mech. Phys.
/// Solids 34, 125. Valid to full closure of the void; exact where stretches are equal. About 900
/// flops.
struct HillFoam : LawOfShape<HillFoam> {
    double mu_1;          ///< instantaneous [Pa]
    double alpha_1;       ///< [-]
    double nu_1;          ///< Poisson's ratio of the term [-]
    double mu_2;          ///< [Pa], 0: no such term
    double alpha_2;       ///< [-]
    double nu_2;          ///< [-]
    double mu_3;          ///< [Pa], 0: no such term
    double alpha_3;       ///< [-]
    double nu_3;          ///< [-]
    double void_fraction; ///< 1 - relative density, or print porosity [-]

    static constexpr std::string_view kind = "hill_foam";
    /// shape() answers to volume too, and mean_stress() only to the void.
    static constexpr bool volume_in_shape = true;
    /// Of one shape() with three terms: values and axes, their logarithms, three times four powers.
    static constexpr double shape_flops = principal_flops + 162.0 + 3.0 * 165.0;
    static constexpr std::array<Parameter<HillFoam>, 10> parameters() {
        return {{{"instantaneous_mu_1_MPa", &HillFoam::mu_1, 1e6, ParameterRange::NonZero},
                 {"alpha_1", &HillFoam::alpha_1, 1.0, ParameterRange::NonZero},
                 {"poissons_ratio_1", &HillFoam::nu_1, 1.0, ParameterRange::Poisson},
                 {"instantaneous_mu_2_MPa", &HillFoam::mu_2, 1e6, ParameterRange::NonZero,
                  Presence::Optional},
                 {"alpha_2", &HillFoam::alpha_2, 1.0, ParameterRange::NonZero, Presence::Optional},
                 {"poissons_ratio_2", &HillFoam::nu_2, 1.0, ParameterRange::Poisson,
                  Presence::Optional},
                 {"instantaneous_mu_3_MPa", &HillFoam::mu_3, 1e6, ParameterRange::NonZero,
                  Presence::Optional},
                 {"alpha_3", &HillFoam::alpha_3, 1.0, ParameterRange::NonZero, Presence::Optional},
                 {"poissons_ratio_3", &HillFoam::nu_3, 1.0, ParameterRange::Poisson,
                  Presence::Optional},
                 {"void_fraction", &HillFoam::void_fraction, 1.0, ParameterRange::Share}}};
    }
    void check() const {
        check_parameters(*this);
        check_pairs(kind,
                    std::array<PowerTerm, 3>{{{mu_1, alpha_1}, {mu_2, alpha_2}, {mu_3, alpha_3}}});
        CELLGRADE_CHECK((nu_2 == 0.0 || mu_2 != 0.0) && (nu_3 == 0.0 || mu_3 != 0.0),
                        "hill_foam law: poissons_ratio_{} is given for a term without "
                        "instantaneous_mu_{}_MPa",
                        mu_2 == 0.0 && nu_2 != 0.0 ? 2 : 3, mu_2 == 0.0 && nu_2 != 0.0 ? 2 : 3);
        const auto [mu, kappa] = moduli();
        CELLGRADE_CHECK(mu > 0.0 && kappa > 0.0,
                        "hill_foam law: the initial shear modulus {:.9g} Pa (sum of mu_i) and bulk "
                        "modulus {:.9g} Pa must both be above 0",
                        mu, kappa);
    }

    [[nodiscard]] InitialModuli initial_moduli() const {
        const auto [mu, kappa] = moduli();
        return moduli_from_shear_and_bulk(mu, kappa);
    }
    [[nodiscard]] double smallest_jacobian() const {
        return void_fraction > 0.0 ? 1.0 - void_fraction : 0.0;
    }

    /// Left as a call: with its powers it is far longer than one.
    template <class S>
    [[nodiscard, gnu::noinline]] ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                        const S& J) const noexcept {
        const PrincipalAxes<S> of = principal_axes(C);
        const LogStretch<S> e = log_stretch(of);
        S tau_x(0.0), tau_y(0.0), tau_z(0.0);
#pragma GCC unroll 1
        for (const Term& term : terms()) {
            if (term.mu == 0.0) // the same for all lanes
                continue;
            const double factor = 2.0 * term.mu / term.alpha;
            const S pressure = lane::exp(S((-term.alpha * term.beta) * e.volume));
            tau_x += factor * (lane::exp(S(term.alpha * e.x)) - pressure);
            tau_y += factor * (lane::exp(S(term.alpha * e.y)) - pressure);
            tau_z += factor * (lane::exp(S(term.alpha * e.z)) - pressure);
        }
        return {
            from_principal(of, S(tau_x / of.value.x), S(tau_y / of.value.y), S(tau_z / of.value.z)),
            lane::scaled(S(1.0 / J), lane::adjugate(C)), J};
    }
    /// Of the closing void alone.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S mean_stress(const S& volume) const noexcept {
        return -closure().slope(S(1.0 - volume));
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& /*J*/) const noexcept {
        const LogStretch<S> e = log_stretch(principal_axes(C));
        S W(0.0);
        for (const Term& term : terms()) {
            if (term.mu == 0.0)
                continue;
            const S sum = lane::exp(S(term.alpha * e.x)) + lane::exp(S(term.alpha * e.y)) +
                          lane::exp(S(term.alpha * e.z)) - 3.0;
            const S power = (-term.alpha) * e.volume; // J^(-alpha beta) = exp(beta power)
            const S volumetric =
                term.beta == 0.0 ? power : S(lane::expm1(S(term.beta * power)) / term.beta);
            W += 2.0 * term.mu / (term.alpha * term.alpha) * (sum + volumetric);
        }
        return W;
    }
    /// Of the closing void alone.
    template <class S>
    [[nodiscard]] S volume_energy(const S& volume) const noexcept {
        return closure().energy(S(1.0 - volume));
    }

private:
    struct Term {
        double mu, alpha, beta;
    };
    template <class S>
    struct LogStretch {
        S x, y, z;
        S volume; ///< ln J
    };
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE static LogStretch<S>
    log_stretch(const PrincipalAxes<S>& of) noexcept {
        const S x = 0.5 * lane::ln(of.value.x), y = 0.5 * lane::ln(of.value.y),
                z = 0.5 * lane::ln(of.value.z);
        return {x, y, z, x + y + z};
    }
    [[nodiscard]] std::array<Term, 3> terms() const noexcept {
        const auto beta = [](double nu) { return nu / (1.0 - 2.0 * nu); };
        return {{{mu_1, alpha_1, beta(nu_1)},
                 {mu_2, alpha_2, beta(nu_2)},
                 {mu_3, alpha_3, beta(nu_3)}}};
    }
    struct Moduli {
        double mu, kappa;
    };
    [[nodiscard]] Moduli moduli() const noexcept {
        Moduli sum{0.0, 0.0};
        for (const Term& term : terms()) {
            sum.mu += term.mu;
            sum.kappa += 2.0 * term.mu * (1.0 / 3.0 + term.beta);
        }
        return sum;
    }
    [[nodiscard]] VoidClosure closure() const noexcept {
        return {moduli().kappa, void_fraction};
    }
};

} // namespace cellgrade
