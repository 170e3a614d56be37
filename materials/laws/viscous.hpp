// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/damage.hpp"
#include "materials/laws/point_law.hpp"
#include "materials/laws/prony.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <span>

namespace cellgrade {

/// A law with a Prony series on its isochoric stress, which may soften by damage before it relaxes;
/// the law itself is the instantaneous response.
///
///   S = S_vol + g_inf S_iso + sum_i Q_i      dQ_i/dt + Q_i/time_i = share_i dS_iso/dt
///   Q_i(t + dt) = a^2 Q_i + a share_i (S_iso(t + dt) - S_iso(t)),   a = exp(-dt / (2 time_i))
///
/// Source: Simo (1987), CMAME 60, 153; Holzapfel (2000), sec. 6.10; midpoint recurrence, error
/// ~ (dt/time)^2, stable for any dt. Objective, because Q lives on the reference shape. A history
/// of zeros is a solid at rest. Valid for isothermal runs. The dissipation of a closed cycle is not
/// negative where strain grows monotonely with S_iso (tested); no stored branch energy is defined,
/// so a run counts internal work, not stored and lost parts, at such a point.
/// Damage: S_iso -> eta S_iso first, see MullinsDamage.
/// Memory: 72 (max_terms + 1) + 8 bytes a point.
template <ElasticLaw Law, int max_terms = 8>
struct Viscous {
    Law law;                                ///< instantaneous
    std::array<PronyTerm, max_terms> terms; ///< the first n_terms count
    int n_terms;
    std::optional<MullinsDamage> damage = {}; ///< unset: none

    struct History {
        Mat3 S_iso = Mat3::Zero();          ///< instantaneous isochoric stress at t_n [Pa]
        double W_max = 0.0;                 ///< largest isochoric energy so far [J/m^3]
        std::array<Mat3, max_terms> Q = {}; ///< stress of the branches at t_n [Pa]

        History() {
            for (Mat3& q : Q)
                q.setZero();
        }
    };
    struct Response {
        Mat3 P = Mat3::Zero(); ///< 1st Piola-Kirchhoff stress at t_n + dt [Pa]
        History history;
    };

    void check() const {
        law.check();
        CELLGRADE_CHECK(n_terms >= 0 && n_terms <= max_terms,
                        "prony: {} terms; at most {} are possible", n_terms, max_terms);
        check_prony(active());
        if (damage)
            damage->check();
    }
    /// Of the instantaneous response, which bounds the step.
    [[nodiscard]] InitialModuli initial_moduli() const { return law.initial_moduli(); }
    [[nodiscard]] double smallest_jacobian() const { return law.smallest_jacobian(); }

    [[nodiscard]] Response advance(const Mat3& F, double dt, const History& old) const noexcept {
        const Mat3 C = F.transpose() * F;
        SplitStress S = law.split_stress(C);
        Response now;
        now.history.W_max = old.W_max;
        if (damage) {
            const double W = law.shape_energy(lane::symmetric_of(C), F.determinant());
            now.history.W_max = std::max(old.W_max, W);
            S.isochoric *= damage->kept(W, now.history.W_max);
        }
        now.history.S_iso = S.isochoric;
        Mat3 total = S.volumetric;
        double left = 1.0;
        for (int i = 0; i < n_terms; ++i) {
            const double half = std::exp(-0.5 * dt / terms[i].time_s);
            const Mat3 Q =
                half * half * old.Q[i] + half * terms[i].share * (S.isochoric - old.S_iso);
            total += Q;
            left -= terms[i].share;
            now.history.Q[i] = Q;
        }
        now.P = F * (total + left * S.isochoric);
        return now;
    }

private:
    [[nodiscard]] std::span<const PronyTerm> active() const {
        return std::span(terms).first(static_cast<std::size_t>(n_terms));
    }
};

/// Law with the given terms and damage; throws an input Error when there are more than fit or one
/// is wrong.
template <ElasticLaw Law, int max_terms = 8>
[[nodiscard]] Viscous<Law, max_terms>
make_viscous(const Law& law,
             std::span<const PronyTerm> terms,
             const std::optional<MullinsDamage>& damage = {}) {
    CELLGRADE_CHECK(terms.size() <= static_cast<std::size_t>(max_terms),
                    "prony: {} terms; at most {} are possible", terms.size(), max_terms);
    Viscous<Law, max_terms> viscous{
        .law = law, .terms = {}, .n_terms = static_cast<int>(terms.size()), .damage = damage};
    for (std::size_t i = 0; i < terms.size(); ++i)
        viscous.terms[i] = terms[i];
    viscous.check();
    return viscous;
}

} // namespace cellgrade
