// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/rounded_line.hpp"
#include "solver/core/symmetric.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>

namespace cellgrade {

/// What a homogenised grade has against shear of its cell axes beside its answer to stretches: the
/// three angles between x, y and z alike, so of cubic symmetry about the axes of the model.
///
///   W = sum_(ij = yz, xz, xy) o(c) A(g_ij) + p(c) B(g_ij)      g_ij = |C_ij|, A' = a, B' = b
///   o = 1 - r(c / c_p)      p = r(c / c_p) - r((c - c_p) / (v - c_p))      c = 1 - J
///   r from 0 at 0 to 1 at 1, straight in between, its ends rounded off over a quarter
///
/// a and b are lines through tables, a for the open grade, b for one that has lost the share c_p of
/// its volume. What was not tested further in fades until the void v is closed. A block whose cell
/// axes keep their right angles feels nothing of it, so that a table fitted to compression stays as
/// it is. The values may be negative: a law of stretches alone has a shear modulus of half its
/// first slope, and some cells have less.
///
/// C_ij is the measure of two crossing struts in the plane ij, whose lengths squared are
/// (C_ii + C_jj)/2 +- C_ij. Source: the project's own choice; that a cubic solid has three shears
/// and nothing else beside three stretches: Nye (1985), Physical Properties of Crystals, ch. VIII
/// (from memory).
struct CubicShear {
    static constexpr int knots = 8;
    using Table = std::array<double, knots>;

    double spacing;      ///< h of both tables [-]; 0: no shear beside the stretches
    Table open, pressed; ///< a and b at h, 2 h, ... [Pa]
    double pressed_loss; ///< c_p [-]; 0: no b, and a fades
    double closed_loss;  ///< v [-]; 0: nothing fades

    /// Entries of the 2nd Piola-Kirchhoff stress, and dW/dJ [Pa].
    template <class S>
    struct Stress {
        S yz, xz, xy, by_volume;
    };

    /// Left as a call: it is long.
    template <class S>
    [[nodiscard, gnu::noinline]] Stress<S> stress(const lane::Symmetric<S>& C,
                                                  const S& J) const noexcept {
        const RoundedLine<knots> a(spacing, open, knots), b(spacing, pressed, knots);
        const Weights<S> w = weights(J);
        Stress<S> out{S(0.0), S(0.0), S(0.0), S(0.0)};
        const auto add = [&](const S& g, S& entry) {
            const S size = select(g < 0.0, S(-g), g);
            const S sum = w.open.value * a.value(size) + w.pressed.value * b.value(size);
            entry = select(g < 0.0, S(-sum), sum);
            out.by_volume -= w.open.slope * a.integral(size) + w.pressed.slope * b.integral(size);
        };
        add(C.yz, out.yz);
        add(C.xz, out.xz);
        add(C.xy, out.xy);
        return out;
    }
    /// W [J/m^3].
    template <class S>
    [[nodiscard]] S energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const RoundedLine<knots> a(spacing, open, knots), b(spacing, pressed, knots);
        const Weights<S> w = weights(J);
        S sum(0.0);
        for (const S& g : {C.yz, C.xz, C.xy}) {
            const S size = select(g < 0.0, S(-g), g);
            sum += w.open.value * a.integral(size) + w.pressed.value * b.integral(size);
        }
        return sum;
    }

    /// At or above the largest eigenvalue of d2W/dF2 [Pa], for the stable step.
    ///
    /// Its parts: W''(g) grad g (x) grad g by the Gram matrix of the three gradients, which has
    /// C_ii + C_jj and the third C_kl as entries; W' times the second derivative of C_ij, a
    /// symmetric matrix of the W' on the columns of F; what changes with J by norms.
    [[nodiscard]] double largest_stiffness(const Mat3& C, double J) const noexcept {
        const RoundedLine<knots> a(spacing, open, knots), b(spacing, pressed, knots);
        const Weights<double> w = weights(J);
        const Vec3 g = Vec3(C(1, 2), C(0, 2), C(0, 1)).cwiseAbs();
        Vec3 slope, force;
        double first = 0.0, second = 0.0, mixed = 0.0; // dW/dc, d2W/dc2, |d2W/dc dg|
        for (int i = 0; i < 3; ++i) {
            const double x = g[i], A = a.integral(x), B = b.integral(x);
            slope[i] = std::max(0.0, w.open.value * a.slope(x) + w.pressed.value * b.slope(x));
            force[i] = w.open.value * a.value(x) + w.pressed.value * b.value(x);
            first += w.open.slope * A + w.pressed.slope * B;
            second += w.open.curve * A + w.pressed.curve * B;
            mixed += std::abs(w.open.slope * a.value(x) + w.pressed.slope * b.value(x));
        }
        Mat3 gram;
        gram << C(1, 1) + C(2, 2), C(0, 1), C(0, 2), C(0, 1), C(0, 0) + C(2, 2), C(1, 2), C(0, 2),
            C(1, 2), C(0, 0) + C(1, 1);
        const Vec3 root = slope.cwiseSqrt();
        gram = root.asDiagonal() * gram * root.asDiagonal();
        Eigen::SelfAdjointEigenSolver<Mat3> solver;
        const double straight = solver.computeDirect(gram, Eigen::EigenvaluesOnly).eigenvalues()[2];
        const double size = std::sqrt(C.trace());
        const double volume = size * size / std::sqrt(3.0); // at or above |dJ/dF|
        return straight + std::sqrt(2.0) * force.norm() + std::abs(first) * size +
               2.0 * mixed * size * volume + std::abs(second) * volume * volume;
    }

private:
    /// r and its first two derivatives by the volume lost.
    template <class S>
    struct Rise {
        S value, slope, curve;
    };
    template <class S>
    struct Weights {
        Rise<S> open, pressed;
    };

    /// r((c - from) / (to - from)).
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE static Rise<S>
    rise(const S& c, double from, double to) noexcept {
        // 4/3 of slope between the quarters, so that it comes to 1
        constexpr double steep = 4.0 / 3.0, end = 0.25, bend = steep / end;
        const double per = 1.0 / (to - from);
        const S past = per * (c - from);
        const S y = select(past < 0.0, S(0.0), select(past > 1.0, S(1.0), past));
        const S rest = 1.0 - y;
        const S curve = select(y < end, S(bend), select(rest < end, S(-bend), S(0.0)));
        return {select(y < end, S(0.5 * bend * y * y),
                       select(rest < end, S(1.0 - 0.5 * bend * rest * rest),
                              S(steep * (y - 0.5 * end)))),
                per * select(y < end, S(bend * y), select(rest < end, S(bend * rest), S(steep))),
                per * per * select(past < 0.0, S(0.0), select(past > 1.0, S(0.0), curve))};
    }
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE Weights<S> weights(const S& J) const noexcept {
        const S c = 1.0 - J, zero(0.0);
        const Rise<S> none{zero, zero, zero};
        const double gone = pressed_loss > 0.0 ? pressed_loss : closed_loss;
        const Rise<S> to_pressed = gone > 0.0 ? rise(c, 0.0, gone) : none;
        const Rise<S> of_open{1.0 - to_pressed.value, -to_pressed.slope, -to_pressed.curve};
        if (pressed_loss == 0.0)
            return {of_open, none};
        if (closed_loss <= pressed_loss)
            return {of_open, to_pressed};
        const Rise<S> fade = rise(c, pressed_loss, closed_loss);
        return {of_open,
                {to_pressed.value - fade.value, to_pressed.slope - fade.slope,
                 to_pressed.curve - fade.curve}};
    }
};

} // namespace cellgrade
