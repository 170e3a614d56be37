// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/lane_math.hpp"

#include <array>

/// Nearest points of two segments, or of a vertex and a triangle, on a lane type S (double or
/// Pack). Without branches: every case is computed and the right one selected.
namespace cellgrade::lane {

template <class S>
[[nodiscard]] CELLGRADE_INLINE S clamp_to_unit(const S& x) noexcept {
    const S above = select(x < 0.0, S(0.0), x);
    return select(above > 1.0, S(1.0), above);
}

/// Places on two segments, see closest_points() of segment_distance.hpp.
template <class S>
struct SegmentPlaces {
    S s, t;
    Vector<S> difference;
};

template <class S>
[[nodiscard]] CELLGRADE_INLINE SegmentPlaces<S> nearest_on_segments(const Vector<S>& d0,
                                                                    const Vector<S>& u,
                                                                    const Vector<S>& v,
                                                                    const S& w) noexcept {
    // Half gradient: a s - b t + d = 0 and -b s + c t - e = 0.
    const S a = dot(u, u) + w, b = dot(u, v), c = dot(v, v) + w;
    const S d = dot(u, d0) - 0.5 * w, e = dot(v, d0) + 0.5 * w;
    const S first = clamp_to_unit<S>((b * e - c * d) / (a * c - b * b));
    const S free = (b * first + e) / c;
    const S t = clamp_to_unit(free);
    // where t was outside, s belongs to the wrong t: best on the edge instead
    const S s = select(t != free, clamp_to_unit<S>((b * t - d) / a), first);
    return {s, t, d0 + s * u - t * v};
}

/// Weights of the corners a, b, c at the point of a triangle nearest to x; each in [0, 1], sum 1.
///
/// The distance to that point is once continuously differentiable in x and the corners wherever it
/// is positive (Danskin: the nearest point of a convex set is unique). A triangle without area is
/// met on one of its edges. Source: Ericson (2005), Real-Time Collision Detection, sec. 5.1.5.
template <class S>
[[nodiscard]] CELLGRADE_INLINE std::array<S, 3> nearest_on_triangle(const Vector<S>& x,
                                                                    const Vector<S>& a,
                                                                    const Vector<S>& b,
                                                                    const Vector<S>& c) noexcept {
    const Vector<S> ab = b - a, ac = c - a, ax = x - a, bx = x - b, cx = x - c;
    const S d1 = dot(ab, ax), d2 = dot(ac, ax);
    const S d3 = dot(ab, bx), d4 = dot(ac, bx);
    const S d5 = dot(ab, cx), d6 = dot(ac, cx);
    // areas opposite to the corners, signed: weights of a point inside, before their sum
    S wa = d3 * d6 - d5 * d4, wb = d5 * d2 - d1 * d6, wc = d1 * d4 - d3 * d2;
    const auto on_ab = wc <= 0.0 && d1 >= 0.0 && d3 <= 0.0;
    const auto on_ac = wb <= 0.0 && d2 >= 0.0 && d6 <= 0.0;
    const auto on_bc = wa <= 0.0 && d4 >= d3 && d5 >= d6;
    const auto at_a = d1 <= 0.0 && d2 <= 0.0;
    const auto at_b = d3 >= 0.0 && d4 <= d3;
    const auto at_c = d6 >= 0.0 && d5 <= d6;
    const S zero(0.0), one(1.0);
    const auto take = [&](const auto& where, const S& a_, const S& b_, const S& c_)
        __attribute__((always_inline)) {
        wa = select(where, a_, wa);
        wb = select(where, b_, wb);
        wc = select(where, c_, wc);
    };
    // the last that holds wins
    take(on_bc, zero, d5 - d6, d4 - d3);
    take(on_ac, -d6, zero, d2);
    take(on_ab, -d3, d1, zero);
    take(at_c, zero, zero, one);
    take(at_b, zero, one, zero);
    take(at_a, one, zero, zero);
    const S over = 1.0 / (wa + wb + wc);
    return {over * wa, over * wb, over * wc};
}

} // namespace cellgrade::lane
