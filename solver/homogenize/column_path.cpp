// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/column_path.hpp"

#include "materials/calibration/coupon_response.hpp"

#include <Eigen/Eigenvalues>

#include <cmath>
#include <limits>
#include <numbers>

namespace cellgrade {

namespace {

Mat3 gradient(const ColumnMoment& at, double a, double b) {
    Mat3 F = Mat3::Zero();
    F.diagonal() = Vec3(a, b, 1.0 - at.strain);
    F(0, 2) = at.shear;
    return F;
}

/// Lateral stretches of one row, starting from those of the row before.
struct Sides {
    double a = 1.0, b = 1.0;
    bool found = true;
};

template <class Stress> // (a, b) to P
Sides free_sides(const Stress& stress, Sides at) {
    const auto lateral = [&](double a, double b) {
        const Mat3 P = stress(a, b);
        return Eigen::Vector2d(P(0, 0), P(1, 1));
    };
    constexpr double d = 1e-6;
    Eigen::Vector2d P = lateral(at.a, at.b);
    for (int n = 0; n < 60; ++n) {
        Eigen::Matrix2d slope;
        slope.col(0) = (lateral(at.a + d, at.b) - lateral(at.a - d, at.b)) / (2.0 * d);
        slope.col(1) = (lateral(at.a, at.b + d) - lateral(at.a, at.b - d)) / (2.0 * d);
        const Eigen::Vector2d step = -slope.inverse() * P;
        if (!step.allFinite())
            break;
        // a closing void is steep on one side: halve until the misfit falls
        double share = std::min(1.0, 0.1 / step.cwiseAbs().maxCoeff());
        Eigen::Vector2d next;
        for (int half = 0; half < 30; ++half, share *= 0.5) {
            next = lateral(at.a + share * step[0], at.b + share * step[1]);
            if (next.norm() < P.norm() || next.norm() == 0.0)
                break;
        }
        at.a += share * step[0];
        at.b += share * step[1];
        P = next;
        if (share * step.cwiseAbs().maxCoeff() < 1e-11)
            return at;
    }
    at.found = false;
    return at;
}

} // namespace

std::vector<ColumnAnswer> column_path(const PolymerCard& card, std::span<const ColumnMoment> path) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    std::vector<ColumnAnswer> answers(path.size(), {nan, nan, nan});
    std::visit(
        [&]<class Law>(const Law& law) {
            typename Law::History history;
            Sides sides;
            double time = 0.0;
            for (std::size_t n = 0; n < path.size(); ++n) {
                const double dt = path[n].time_s - time;
                sides = free_sides(
                    [&](double a, double b) {
                        return law.advance(gradient(path[n], a, b), dt, history).P;
                    },
                    sides);
                if (!sides.found)
                    return;
                const auto now = law.advance(gradient(path[n], sides.a, sides.b), dt, history);
                answers[n] = {-now.P(2, 2), now.P(0, 2), sides.a};
                history = now.history;
                time = path[n].time_s;
            }
        },
        with_memory(card.law, card.prony, card.damage));
    return answers;
}

namespace {

template <class Law>
bool is_elliptic(const Law& law, const Mat3& F) {
    constexpr double d = 1e-6;
    std::array<std::array<Mat3, 3>, 3> A; // A[k][L] = dP/dF_kL
    for (int k = 0; k < 3; ++k)
        for (int l = 0; l < 3; ++l) {
            Mat3 up = F, down = F;
            up(k, l) += d;
            down(k, l) -= d;
            A[k][l] = (law.advance(up, 0.0, {}).P - law.advance(down, 0.0, {}).P) / (2.0 * d);
        }
    for (int degrees = 0; degrees <= 90; degrees += 2) {
        const double angle = degrees * std::numbers::pi / 180.0;
        const Vec3 n(std::sin(angle), 0.0, std::cos(angle));
        Mat3 acoustic = Mat3::Zero();
        for (int k = 0; k < 3; ++k)
            for (int l = 0; l < 3; ++l)
                acoustic.col(k) += n[l] * (A[k][l] * n);
        const Mat3 symmetric = 0.5 * (acoustic + acoustic.transpose());
        Eigen::SelfAdjointEigenSolver<Mat3> solver;
        if (!(solver.computeDirect(symmetric, Eigen::EigenvaluesOnly).eigenvalues()[0] > 0.0))
            return false;
    }
    return true;
}

} // namespace

double elliptic_to(const AnyLaw& law, double to_strain) {
    double last = 0.0;
    for (int n = 1; 0.01 * n <= to_strain + 1e-12; ++n) {
        const double stretch = 1.0 - 0.01 * n;
        const double side = free_stretch(law, CouponMode::UniaxialCompression, stretch);
        const Mat3 F = Vec3(side, side, stretch).asDiagonal();
        if (!std::isfinite(side) ||
            !std::visit([&](const auto& l) { return is_elliptic(l, F); }, law))
            break;
        last = 0.01 * n;
    }
    return last;
}

} // namespace cellgrade
