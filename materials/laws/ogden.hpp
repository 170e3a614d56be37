// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/power_terms.hpp"
#include "materials/laws/principal_axes.hpp"
#include "materials/laws/volume.hpp"
#include "solver/core/lane_powers.hpp"

#include <array>

namespace cellgrade {

/// Ogden solid of one to four terms in the principal stretches, with densifying volume.
///
///   h_i = J^(-1/3) l_i      W = sum_p mu_p/alpha_p (h_1^alpha_p + h_2^alpha_p + h_3^alpha_p - 3)
///                               + U(J)
///   tau_i = sum_p mu_p (h_i^alpha_p - mean of the three)
///   S_iso = sum_i tau_i / l_i^2 N_i (x) N_i      S_vol = J U'(J) C^-1
///
/// Initial shear modulus 1/2 sum mu_p alpha_p, which must be above 0; single terms may have any
/// sign. A term with mu = 0 is absent. Exact where stretches are equal: nothing is divided by their
/// difference (principal_axes.hpp).
/// Source: Ogden (1972), Proc. R. Soc. A 326, 565; isochoric form Holzapfel (2000), sec. 6.4 and
/// 6.5; U from DensifyingVolume. Valid where the uniaxial slope is positive (`stable_range`); a fit
/// to one test alone says little of the others. About 1200 flops a call with four terms.
struct Ogden : LawOfSplitVolume<Ogden> {
    double mu_1;          ///< instantaneous [Pa]
    double alpha_1;       ///< [-]
    double mu_2;          ///< [Pa], 0: no such term
    double alpha_2;       ///< [-]
    double mu_3;          ///< [Pa], 0: no such term
    double alpha_3;       ///< [-]
    double mu_4;          ///< [Pa], 0: no such term
    double alpha_4;       ///< [-]
    double kappa;         ///< bulk modulus [Pa]
    double void_fraction; ///< print porosity [-]

    static constexpr std::string_view kind = "ogden";
    /// Of one shape() with four terms: values and axes, their logarithms, four times three powers.
    static constexpr double shape_flops = principal_flops + 166.0 + 4.0 * 129.0;
    static constexpr std::array<Parameter<Ogden>, 10> parameters() {
        return {{{"instantaneous_mu_1_MPa", &Ogden::mu_1, 1e6, ParameterRange::NonZero},
                 {"alpha_1", &Ogden::alpha_1, 1.0, ParameterRange::NonZero},
                 {"instantaneous_mu_2_MPa", &Ogden::mu_2, 1e6, ParameterRange::NonZero,
                  Presence::Optional},
                 {"alpha_2", &Ogden::alpha_2, 1.0, ParameterRange::NonZero, Presence::Optional},
                 {"instantaneous_mu_3_MPa", &Ogden::mu_3, 1e6, ParameterRange::NonZero,
                  Presence::Optional},
                 {"alpha_3", &Ogden::alpha_3, 1.0, ParameterRange::NonZero, Presence::Optional},
                 {"instantaneous_mu_4_MPa", &Ogden::mu_4, 1e6, ParameterRange::NonZero,
                  Presence::Optional},
                 {"alpha_4", &Ogden::alpha_4, 1.0, ParameterRange::NonZero, Presence::Optional},
                 {"bulk_modulus_MPa", &Ogden::kappa, 1e6, ParameterRange::Positive},
                 {"void_fraction", &Ogden::void_fraction, 1.0, ParameterRange::Share}}};
    }
    void check() const {
        check_parameters(*this);
        check_pairs(kind, terms());
        CELLGRADE_CHECK(shear_modulus() > 0.0,
                        "ogden law: the initial shear modulus, half the sum of mu_i alpha_i, is "
                        "{:.9g} Pa; a number above 0 is needed",
                        shear_modulus());
    }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(shear_modulus(), kappa);
    }

    /// Left as a call: with its powers it is far longer than one.
    template <class S>
    [[nodiscard, gnu::noinline]] ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                        const S& J) const noexcept {
        const PrincipalAxes<S> of = principal_axes(C);
        const LogStretch<S> h = log_stretch(of);
        S tau_x(0.0), tau_y(0.0), tau_z(0.0);
#pragma GCC unroll 1
        for (const PowerTerm& term : terms()) {
            if (term.mu == 0.0) // the same for all lanes
                continue;
            const S x = lane::exp(S(term.alpha * h.x)), y = lane::exp(S(term.alpha * h.y)),
                    z = lane::exp(S(term.alpha * h.z));
            const S mean = (1.0 / 3.0) * (x + y + z);
            tau_x += term.mu * (x - mean);
            tau_y += term.mu * (y - mean);
            tau_z += term.mu * (z - mean);
        }
        return {
            from_principal(of, S(tau_x / of.value.x), S(tau_y / of.value.y), S(tau_z / of.value.z)),
            lane::scaled(S(1.0 / J), lane::adjugate(C)), J};
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& /*J*/) const noexcept {
        const LogStretch<S> h = log_stretch(principal_axes(C));
        S W(0.0);
        for (const PowerTerm& term : terms())
            if (term.mu != 0.0)
                W += term.mu / term.alpha *
                     (lane::exp(S(term.alpha * h.x)) + lane::exp(S(term.alpha * h.y)) +
                      lane::exp(S(term.alpha * h.z)) - 3.0);
        return W;
    }

private:
    /// Logarithms of the isochoric stretches: their sum is 0.
    template <class S>
    struct LogStretch {
        S x, y, z;
    };
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE static LogStretch<S>
    log_stretch(const PrincipalAxes<S>& of) noexcept {
        const S x = 0.5 * lane::ln(of.value.x), y = 0.5 * lane::ln(of.value.y),
                z = 0.5 * lane::ln(of.value.z);
        const S mean = (1.0 / 3.0) * (x + y + z);
        return {x - mean, y - mean, z - mean};
    }
    [[nodiscard]] std::array<PowerTerm, 4> terms() const noexcept {
        return {{{mu_1, alpha_1}, {mu_2, alpha_2}, {mu_3, alpha_3}, {mu_4, alpha_4}}};
    }
    [[nodiscard]] double shear_modulus() const noexcept {
        double sum = 0.0;
        for (const PowerTerm& term : terms())
            sum += 0.5 * term.mu * term.alpha;
        return sum;
    }
};

} // namespace cellgrade
