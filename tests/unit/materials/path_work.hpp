// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/viscous.hpp"

namespace cellgrade::test {

/// Work of P over a path from t_start to t_end by the trapezoidal rule; the point starts at 0,
/// where it is at rest.
template <class Law, class Path>
double path_work(const Viscous<Law>& law, Path path, double t_start, double t_end, int steps) {
    typename Viscous<Law>::Response now;
    Mat3 F = path(0.0), P = Mat3::Zero();
    double sum = 0.0;
    for (int n = 1; n <= steps; ++n) {
        const double t = t_end * n / steps;
        const Mat3 next = path(t);
        now = law.advance(next, t_end / steps, now.history);
        if (t > t_start * (1.0 + 1e-12))
            sum += 0.5 * (P + now.P).cwiseProduct(next - F).sum();
        F = next;
        P = now.P;
    }
    return sum;
}

} // namespace cellgrade::test
