// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"
#include "solver/elements/lane_math.hpp"

#include <array>
#include <limits>

/// Point-wise parts of the beam element on a lane type; beam_forces.hpp has the equations.
/// Inside `solver/elements` only.
namespace cellgrade::lane {

/// k(z) = (1 - atan(sqrt z) / sqrt z) / z = 1/3 - z/5 + z^2/7 ..., for 0 <= z <= 0.75.
/// Interpolation at the 18 Chebyshev nodes in 60 digits, rounded; |error| < 4e-17 + rounding.
inline constexpr std::array<double, 18> atan_rest = {
    0.3333333333333333,    -0.19999999999997878,   0.14285714285408013,  -0.1111111109351333,
    0.09090908555076277,   -0.07692297710729616,   0.06666542784964488,  -0.058812701827747595,
    0.05256234905147635,   -0.04728636859183395,   0.04225282590388163,  -0.03648758957936171,
    0.029103939998008012,  -0.020179360192155656,  0.011309252645000068, -0.0046821902324013604,
    0.0012506179651312805, -0.00015984253559933942};

/// tan^2(0.9 pi / 4): the rotation between the ends at which an element fails.
inline constexpr double largest_turn = 0.729453817281745;

/// Where the element is and how it is strained.
template <class S>
struct BeamState {
    Rotation<S> R;   ///< mid frame
    Vector<S> d;     ///< from a to b in the mid frame [m]
    Vector<S> t;     ///< tan(phi/4) n, the same in all three frames
    S c;             ///< (phi/2) / sin(phi/2)
    S rest;          ///< (1 - c) / |t|^2
    Vector<S> Gamma; ///< [-]
    Vector<S> kappa; ///< [1/m]
    S turn;          ///< |t|^2
    S length2;       ///< |d|^2 [m^2]
};

/// Strains of an element from its end frames. With 1 + w = 2/(1 + z), z = |t|^2:
///   g = 1 - z k(z)    c = (1 + z) g    (1 - c)/z = (1 + z) k - 1
/// 209 flops: frames 56, from_to 28, t 6, mid frame 8 + 32, d 15, turn 5, k 38, g c rest 7, strains
/// 9, length 5.
template <class S>
[[nodiscard]] CELLGRADE_INLINE BeamState<S> beam_state(const Quaternion<S>& q_a,
                                                       const Quaternion<S>& q_b,
                                                       const Quaternion<S>& q0,
                                                       const Vector<S>& a_to_b,
                                                       const S& inv_h) noexcept {
    const Quaternion<S> d_a = q_a * q0;
    const Quaternion<S> d_b = q_b * q0;
    const Quaternion<S> r = from_to(d_a, d_b);
    const S sign = select(r.w < 0.0, S(-1.0), S(1.0)); // q and -q are the same frame
    const S inv = sign / (1.0 + sign * r.w);
    BeamState<S> s;
    s.t = inv * Vector<S>{r.x, r.y, r.z};
    s.R = rotation_of(Quaternion<S>{d_a.w + sign * d_b.w, d_a.x + sign * d_b.x,
                                    d_a.y + sign * d_b.y, d_a.z + sign * d_b.z});
    s.d = s.R.turn_back(a_to_b);
    s.turn = dot(s.t, s.t);
    const S k = polynomial(atan_rest, s.turn);
    const S g = 1.0 - s.turn * k;
    s.c = g + s.turn * g;
    s.rest = k + s.turn * k - 1.0;
    s.Gamma = {s.d.x * inv_h - 1.0, s.d.y * inv_h, s.d.z * inv_h};
    s.kappa = (4.0 * inv_h * g) * s.t;
    s.length2 = dot(s.d, s.d);
    return s;
}

/// False where the ends are turned too far apart or anything is not finite.
template <class S>
[[nodiscard]] CELLGRADE_INLINE auto is_sound(const BeamState<S>& s) noexcept {
    return s.turn <= largest_turn && s.length2 <= std::numeric_limits<double>::max();
}

/// Loads on the two nodes, spatial axes.
template <class S>
struct BeamLoads {
    Vector<S> force_a, moment_a, force_b, moment_b;
};

/// Minus the gradient of the energy from the resultants N [N] and M [N m]:
///   half = m/2 with m = N x d      bend = c M + (1 - c)/z t (t . M)
///   m_a = R (bend - half - half x t)      m_b = R (-bend - half + half x t)
/// 90 flops: half 12, bend 15, skew 12, ends 6, turns 45.
template <class S>
[[nodiscard]] CELLGRADE_INLINE BeamLoads<S>
beam_loads(const BeamState<S>& s, const Vector<S>& N, const Vector<S>& M) noexcept {
    const Vector<S> half = S(0.5) * cross(N, s.d);
    const Vector<S> bend = s.c * M + (s.rest * dot(s.t, M)) * s.t;
    const Vector<S> skew = bend - cross(half, s.t);
    const Vector<S> force = s.R.turn(N);
    return {force,
            s.R.turn(skew - half),
            {-force.x, -force.y, -force.z},
            s.R.turn(Vector<S>{-skew.x - half.x, -skew.y - half.y, -skew.z - half.z})};
}

} // namespace cellgrade::lane
