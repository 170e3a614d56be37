// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/coupon_response.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace cellgrade {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double eps = std::numeric_limits<double>::epsilon();

/// Branches of the isochoric stress over one step, as S_total = share * S_iso + carried.
struct Memory {
    double share = 1.0;          ///< of the stress at the end of the step
    Mat3 carried = Mat3::Zero(); ///< from before the step
};

/// A law whose isochoric stress is softened by the largest energy so far.
template <class Law>
struct Softening {
    const Law& law;
    const std::optional<MullinsDamage>& damage;
    double W_max = 0.0;

    [[nodiscard]] SplitStress split_stress(const Mat3& C) const {
        SplitStress S = law.split_stress(C);
        if (damage) {
            const double W = energy(C);
            S.isochoric *= damage->kept(W, std::max(W, W_max));
        }
        return S;
    }
    /// The point has been at C.
    void remember(const Mat3& C) {
        if (damage)
            W_max = std::max(W_max, energy(C));
    }

private:
    [[nodiscard]] double energy(const Mat3& C) const {
        return law.shape_energy(lane::symmetric_of(C), std::sqrt(C.determinant()));
    }
};

Mat3 gradient(CouponMode mode, double stretch, double free) {
    switch (mode) {
    case CouponMode::UniaxialTension:
    case CouponMode::UniaxialCompression:
    case CouponMode::UniaxialCycle:
        return Vec3(stretch, free, free).asDiagonal();
    case CouponMode::Equibiaxial:
        return Vec3(stretch, stretch, free).asDiagonal();
    case CouponMode::Planar:
        return Vec3(stretch, 1.0, free).asDiagonal();
    case CouponMode::Volumetric:
        return Mat3::Identity() * std::cbrt(stretch);
    case CouponMode::SimpleShear:
        break;
    }
    Mat3 F = Mat3::Identity();
    F(0, 1) = stretch;
    return F;
}

bool has_free_side(CouponMode mode) {
    return mode != CouponMode::SimpleShear && mode != CouponMode::Volumetric;
}

double incompressible_side(CouponMode mode, double stretch) {
    if (mode == CouponMode::Equibiaxial)
        return 1.0 / (stretch * stretch);
    return mode == CouponMode::Planar ? 1.0 / stretch : 1.0 / std::sqrt(stretch);
}

template <class Law>
Mat3 pk1(const Law& law, const Memory& memory, const Mat3& F) {
    const SplitStress S = law.split_stress(F.transpose() * F);
    return F * (S.volumetric + memory.share * S.isochoric + memory.carried);
}

// A closed void answers NaN: the sides are too near, which is the compressed end of the bracket.
bool is_low(double stress) {
    return !(stress >= 0.0);
}

template <class SideStress>
double solve_side(const SideStress& stress, double guess) {
    double low = guess, high = guess;
    double at = guess, f = stress(guess);
    // Newton from the guess; the bracket is only looked for when it leaves it.
    for (int n = 0; n < 12 && std::isfinite(f); ++n) {
        const double d = 1e-6 * at;
        const double slope = (stress(at + d) - stress(at - d)) / (2.0 * d);
        const double step = -f / slope;
        if (!std::isfinite(step) || std::abs(step) > 0.2 * at)
            break;
        at += step;
        if (std::abs(step) <= 4.0 * eps * at)
            return at;
        f = stress(at);
    }
    while (!is_low(stress(low))) {
        low *= 0.8;
        if (low < 1e-3)
            return nan;
    }
    while (is_low(stress(high))) {
        high *= 1.1;
        if (high > 1e3)
            return nan;
    }
    while (high - low > 2.0 * eps * high) {
        const double middle = 0.5 * (low + high);
        if (middle <= low || middle >= high)
            break;
        (is_low(stress(middle)) ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

/// F of the test at a stretch; nothing without equilibrium. `side_ratio` is the free stretch over
/// the incompressible one, kept from row to row as the next guess.
template <class Law>
std::optional<Mat3> equilibrium(
    const Law& law, const Memory& memory, CouponMode mode, double stretch, double& side_ratio) {
    if (!(mode == CouponMode::SimpleShear || stretch > 0.0) || !std::isfinite(stretch))
        return std::nullopt;
    if (!has_free_side(mode))
        return gradient(mode, stretch, 1.0);
    const double side = incompressible_side(mode, stretch);
    const double free =
        solve_side([&](double t) { return pk1(law, memory, gradient(mode, stretch, t))(2, 2); },
                   side * side_ratio);
    if (std::isnan(free))
        return std::nullopt;
    side_ratio = free / side;
    return gradient(mode, stretch, free);
}

double told_stress(CouponMode mode, const Mat3& P, const Mat3& F) {
    if (mode == CouponMode::SimpleShear)
        return P(0, 1);
    if (mode == CouponMode::Volumetric)
        return P(0, 0) / (F(0, 0) * F(0, 0));
    return P(0, 0);
}

/// A place on the path of a test.
struct Place {
    double stretch, time_s;
};

/// Path from one reading to the next: readings of a cycle lie far apart where they were thinned, so
/// its stretch is followed in steps of at most 0.02.
std::vector<Place> steps_between(CouponMode mode, const Place& from, const Place& to) {
    constexpr double longest = 0.02;
    const double way = std::abs(to.stretch - from.stretch);
    const int n = mode == CouponMode::UniaxialCycle && way < 1e3
                      ? std::max(1, static_cast<int>(std::ceil(way / longest)))
                      : 1;
    std::vector<Place> places;
    for (int k = 1; k < n; ++k)
        places.push_back({from.stretch + (to.stretch - from.stretch) * k / n,
                          from.time_s + (to.time_s - from.time_s) * k / n});
    places.push_back(to);
    return places;
}

/// (1 - e^-x) / x.
double ramp_share(double x) {
    return x < 1e-6 ? 1.0 - 0.5 * x : -std::expm1(-x) / x;
}

template <class Law>
std::vector<double> follow(Softening<Law> law,
                           std::span<const PronyTerm> prony,
                           CouponMode mode,
                           std::span<const double> stretch,
                           std::span<const double> time_s) {
    std::vector<double> stress(stretch.size(), nan);
    std::vector<Mat3> Q(prony.size(), Mat3::Zero());
    Mat3 S_iso = Mat3::Zero();
    const double rest = long_term_share(prony);
    double side_ratio = 1.0;
    Place before{rest_stretch(mode), 0.0};
    for (std::size_t n = 0; n < stretch.size(); ++n) {
        const double time = time_s.empty() ? 0.0 : time_s[n];
        for (const Place& at : steps_between(mode, before, {stretch[n], time})) {
            const double dt = at.time_s - before.time_s;
            Memory memory{.share = rest};
            for (std::size_t i = 0; i < prony.size(); ++i) {
                const double x = dt / prony[i].time_s, now = prony[i].share * ramp_share(x);
                Q[i] = std::exp(-x) * Q[i] - now * S_iso;
                memory.share += now;
                memory.carried += Q[i];
            }
            const auto F = equilibrium(law, memory, mode, at.stretch, side_ratio);
            if (!F)
                return stress;
            stress[n] = told_stress(mode, pk1(law, memory, *F), *F);
            const Mat3 C = F->transpose() * *F;
            law.remember(C);
            S_iso = law.split_stress(C).isochoric;
            for (std::size_t i = 0; i < prony.size(); ++i)
                Q[i] += prony[i].share * ramp_share(dt / prony[i].time_s) * S_iso;
            before = at;
        }
    }
    return stress;
}

/// Told stress of an isochoric stress at F, its free side cleared by a pressure.
double cleared_stress(CouponMode mode, const Mat3& S, const Mat3& F) {
    if (!has_free_side(mode))
        return told_stress(mode, F * S, F);
    return F(0, 0) * S(0, 0) - F(2, 2) * F(2, 2) * S(2, 2) / F(0, 0);
}

template <class Law>
Eigen::MatrixXd split(Softening<Law> law,
                      std::span<const double> times_s,
                      CouponMode mode,
                      std::span<const double> stretch,
                      std::span<const double> time_s) {
    const auto rows = static_cast<Eigen::Index>(stretch.size());
    Eigen::MatrixXd answer =
        Eigen::MatrixXd::Constant(rows, static_cast<Eigen::Index>(times_s.size()) + 1, nan);
    std::vector<Mat3> Q(times_s.size(), Mat3::Zero());
    Mat3 S_iso = Mat3::Zero();
    double side_ratio = 1.0;
    Place before{rest_stretch(mode), 0.0};
    for (Eigen::Index n = 0; n < rows; ++n) {
        const auto row = static_cast<std::size_t>(n);
        Mat3 F = Mat3::Identity();
        for (const Place& at : steps_between(mode, before, {stretch[row], time_s[row]})) {
            const auto found = equilibrium(law, {}, mode, at.stretch, side_ratio);
            if (!found)
                return answer;
            F = *found;
            const Mat3 C = F.transpose() * F;
            law.remember(C);
            const Mat3 S = law.split_stress(C).isochoric;
            for (std::size_t i = 0; i < times_s.size(); ++i) {
                const double x = (at.time_s - before.time_s) / times_s[i];
                Q[i] = std::exp(-x) * Q[i] + ramp_share(x) * (S - S_iso);
            }
            S_iso = S;
            before = at;
        }
        answer(n, 0) = cleared_stress(mode, S_iso, F);
        for (std::size_t i = 0; i < times_s.size(); ++i)
            answer(n, static_cast<Eigen::Index>(i) + 1) = cleared_stress(mode, Q[i], F);
    }
    return answer;
}

template <class Law>
double static_stress(const Law& law, CouponMode mode, double stretch, double& side_ratio) {
    const auto F = equilibrium(law, {}, mode, stretch, side_ratio);
    return F ? told_stress(mode, pk1(law, {}, *F), *F) : nan;
}

} // namespace

double coupon_stress(const AnyLaw& any, CouponMode mode, double stretch) {
    double side_ratio = 1.0;
    return std::visit(
        [&](const auto& law) { return static_stress(law, mode, stretch, side_ratio); }, any);
}

double free_stretch(const AnyLaw& any, CouponMode mode, double stretch) {
    double side_ratio = 1.0;
    return std::visit(
        [&](const auto& law) {
            const auto F = equilibrium(law, {}, mode, stretch, side_ratio);
            return F ? (*F)(2, 2) : nan;
        },
        any);
}

Eigen::MatrixXd branch_stresses(const AnyLaw& any,
                                std::span<const double> times_s,
                                CouponMode mode,
                                std::span<const double> stretch,
                                std::span<const double> time_s,
                                const std::optional<MullinsDamage>& damage) {
    return std::visit(
        [&]<class Law>(const Law& law) {
            return split(Softening<Law>{law, damage}, times_s, mode, stretch, time_s);
        },
        any);
}

std::vector<double> coupon_stresses(const AnyLaw& any,
                                    std::span<const PronyTerm> prony,
                                    CouponMode mode,
                                    std::span<const double> stretch,
                                    std::span<const double> time_s,
                                    const std::optional<MullinsDamage>& damage) {
    return std::visit(
        [&]<class Law>(const Law& law) {
            const std::span<const PronyTerm> acting =
                time_s.empty() ? std::span<const PronyTerm>{} : prony;
            if (!acting.empty() || damage)
                return follow(Softening<Law>{law, damage}, acting, mode, stretch, time_s);
            std::vector<double> stress;
            double side_ratio = 1.0;
            for (const double l : stretch) {
                stress.push_back(static_stress(law, mode, l, side_ratio));
                side_ratio = std::isfinite(side_ratio) ? side_ratio : 1.0;
            }
            return stress;
        },
        any);
}

} // namespace cellgrade
