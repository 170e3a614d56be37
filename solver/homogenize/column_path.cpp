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
    return column_gradient(at, {.lateral = a, .across = b});
}

/// Lateral stretches of one row, starting from those of the row before.
struct Sides {
    double a = 1.0, b = 1.0;
    bool found = true;
};

constexpr double difference = 1e-6, converged = 1e-10;
constexpr int most_iterations = 60, most_halvings = 30;

/// Newton's iteration on x, a number or a pair: halved where a step does not lower the misfit,
/// because a closing void is steep on one side.
template <class X, class Misfit, class Solve>
bool find_root(X& x, const Misfit& misfit, const Solve& newton_step) {
    X f = misfit(x);
    for (int n = 0; n < most_iterations; ++n) {
        const X step = newton_step(x, f);
        const double size = step.cwiseAbs().maxCoeff();
        if (!std::isfinite(size))
            return false;
        double share = std::min(1.0, 0.1 / size);
        X next = f;
        for (int half = 0; half < most_halvings; ++half, share *= 0.5) {
            next = misfit(x + share * step);
            if (next.norm() < f.norm() || next.norm() == 0.0)
                break;
        }
        x += share * step;
        f = next;
        if (share * size < converged)
            return true;
    }
    return false;
}

/// Both sides alike.
template <class Stress> // (a, b) to P
Sides even_sides(const Stress& stress, Sides at) {
    using One = Eigen::Matrix<double, 1, 1>;
    const auto lateral = [&](const One& a) { return One(stress(a[0], a[0])(0, 0)); };
    One a(at.a);
    at.found = find_root(a, lateral, [&](const One& x, const One& f) {
        const One ahead(x[0] + difference);
        return One(-f[0] * difference / (lateral(ahead)[0] - f[0]));
    });
    at.a = at.b = a[0];
    return at;
}

template <class Stress>
Sides free_sides(const Stress& stress, Sides at) {
    using Pair = Eigen::Vector2d;
    const auto lateral = [&](const Pair& x) {
        const Mat3 P = stress(x[0], x[1]);
        return Pair(P(0, 0), P(1, 1));
    };
    Pair x(at.a, at.b);
    at.found = find_root(x, lateral, [&](const Pair& y, const Pair& f) {
        Eigen::Matrix2d slope;
        slope.col(0) = (lateral(y + Pair(difference, 0.0)) - f) / difference;
        slope.col(1) = (lateral(y + Pair(0.0, difference)) - f) / difference;
        return Pair(-(slope.inverse() * f));
    });
    at.a = x[0];
    at.b = x[1];
    return at;
}

} // namespace

Mat3 column_gradient(const ColumnMoment& at, const ColumnAnswer& answer) {
    Mat3 F = Mat3::Zero();
    F.diagonal() = Vec3(answer.lateral, answer.across, 1.0 - at.strain);
    F(0, 2) = at.shear;
    return F;
}

std::vector<ColumnAnswer> column_path(const PolymerCard& card, std::span<const ColumnMoment> path) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    std::vector<ColumnAnswer> answers(path.size(), {nan, nan, nan, nan});
    std::visit(
        [&]<class Law>(const Law& law) {
            typename Law::History history;
            Sides sides;
            double time = 0.0;
            for (std::size_t n = 0; n < path.size(); ++n) {
                const double dt = path[n].time_s - time;
                const auto stress = [&](double a, double b) {
                    return law.advance(gradient(path[n], a, b), dt, history).P;
                };
                sides = path[n].shear == 0.0 && sides.a == sides.b ? even_sides(stress, sides)
                                                                   : free_sides(stress, sides);
                if (!sides.found)
                    return;
                const auto now = law.advance(gradient(path[n], sides.a, sides.b), dt, history);
                answers[n] = {-now.P(2, 2), now.P(0, 2), sides.a, sides.b};
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
    for (int turn = 0; turn < 180; turn += 15)
        for (int degrees = 0; degrees <= 90; degrees += 2) {
            const double around = turn * std::numbers::pi / 180.0;
            const double angle = degrees * std::numbers::pi / 180.0;
            const Vec3 n(std::sin(angle) * std::cos(around), std::sin(angle) * std::sin(around),
                         std::cos(angle));
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

bool elliptic_at(const AnyLaw& law, const Mat3& F) {
    return F.allFinite() && std::visit([&](const auto& l) { return is_elliptic(l, F); }, law);
}

double elliptic_to(const AnyLaw& law, double to_strain) {
    double last = 0.0;
    for (int n = 1; 0.01 * n <= to_strain + 1e-12; ++n) {
        const double stretch = 1.0 - 0.01 * n;
        const double side = free_stretch(law, CouponMode::UniaxialCompression, stretch);
        const Mat3 F = Vec3(side, side, stretch).asDiagonal();
        if (!elliptic_at(law, F))
            break;
        last = 0.01 * n;
    }
    return last;
}

} // namespace cellgrade
