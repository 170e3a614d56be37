// SPDX-License-Identifier: Apache-2.0
// Damage of the first loading. Closed forms: simple shear of a neo-Hookean solid, S_iso,xy = mu g
// at J = 1 and W = mu g^2/2, with the C library's erf in eta of Ogden & Roxburgh (1999), Proc. R.
// Soc. A 455, 2861.
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"
#include "tests/unit/materials/law_samples.hpp"
#include "tests/unit/materials/path_work.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

using namespace cellgrade;
using test::RandomShapes;
using test::rel_err;
using test::sample_law;

namespace {

const MullinsDamage damage{.r = 1.6, .m = 0.05, .beta = 0.2};

Mat3 shear(double g) {
    Mat3 F = Mat3::Identity();
    F(0, 1) = g;
    return F;
}

/// The shear stress P_xy after each amount of shear, one after the other.
template <class Law>
std::vector<double> shear_stresses(const Viscous<Law>& law, const std::vector<double>& amounts) {
    typename Viscous<Law>::Response now;
    std::vector<double> stress;
    for (const double g : amounts) {
        now = law.advance(shear(g), 0.0, now.history);
        stress.push_back(now.P(0, 1));
    }
    return stress;
}

double eta(double W, double W_max) {
    return 1.0 - std::erf((W_max - W) / (damage.m + damage.beta * W_max)) / damage.r;
}

template <class Law, class Path>
double work(const Viscous<Law>& law, Path path, int steps) {
    return test::path_work(law, path, 0.0, 1.0, steps);
}

} // namespace

// Tolerance  rounding: the fitted erf is good to 1e-15, and P_xy is (mu - pressure-free) g exactly.
TEST_CASE("damage: shear up, down, up again and on follows the closed form") {
    constexpr double mu = 1.0;
    const auto law =
        make_viscous(NeoHookean{.mu = mu, .kappa = 50.0, .void_fraction = 0.0}, {}, damage);
    const std::vector<double> way = {0.3, 0.8, 0.5, 0.1, 0.0, 0.4, 0.8, 1.2, 0.6};
    const std::vector<double> got = shear_stresses(law, way);
    double most = 0.0;
    for (std::size_t i = 0; i < way.size(); ++i) {
        const double g = way[i], W = 0.5 * mu * g * g;
        most = std::max(most, W);
        CHECK(std::abs(got[i] - eta(W, most) * mu * g) < 4e-15);
    }
    CHECK(got[5] < 0.85 * mu * 0.4); // and it is a softening one can see
}

// Exact      integral of eta dW by Simpson's rule on 2000 parts; lost is the rest of the work.
TEST_CASE("damage: stored energy is what unloading gives back") {
    for (const double top : {0.01, 0.3, 5.0})
        for (const double share : {0.2, 0.7, 1.0}) {
            const double W = share * top;
            constexpr int n = 2000;
            double area = 0.0;
            for (int i = 0; i <= n; ++i)
                area += (i == 0 || i == n ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0)) * eta(W * i / n, top);
            area *= W / (3.0 * n);
            CHECK(rel_err(damage.stored(W, top), area) < 1e-10);
            CHECK(rel_err(damage.stored(Pack(W), Pack(top))[0], area) < 1e-10);
        }
    CHECK(damage.stored(0.0, 5.0) == 0.0);
    double last = 0.0;
    for (double top = 1e-4; top < 100.0; top *= 1.3) {
        CHECK(damage.lost(top) > last);
        last = damage.lost(top);
    }
}

// Exact      eta'(W) is largest at W = W_max and for the least W_max = W: 2/(sqrt(pi) r a).
TEST_CASE("damage: nothing is steeper than the stated bound") {
    for (double W = 1e-3; W < 10.0; W *= 1.7)
        for (double above = 1e-6; above < 3.0; above *= 1.5) {
            const double top = W * (1.0 + above), h = 1e-6 * W;
            const double slope = (eta(W, top) - eta(W - h, top)) / h;
            CHECK(slope < damage.steepest(W) * (1.0 + 1e-5));
        }
    const double W = 0.4, h = 1e-7;
    CHECK(rel_err((eta(W, W) - eta(W - h, W)) / h, damage.steepest(W)) < 1e-5);
}

TEST_CASE("damage, every law: the first loading is the law's, and zero stays zero") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        RandomShapes random(21);
        const Law plain = sample_law<Law>(7.0, 0.6);
        const auto law = make_viscous(plain, {}, damage);
        for (int n = 0; n < 10; ++n) {
            const Mat3 F = random.gradient(), P = plain.advance(F, 0.0, {}).P;
            const auto first = law.advance(F, 0.0, {});
            CHECK((first.P - P).norm() < 2e-15 * P.norm());
            CHECK(law.advance(Mat3::Identity(), 0.0, first.history).P.norm() < 1e-14);
        }
    });
}

TEST_CASE("damage, every law: objective, symmetric, the same way down as up again") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        RandomShapes random(22);
        const std::vector<PronyTerm> terms = {{.share = 0.3, .time_s = 0.02}};
        const auto law = make_viscous(sample_law<Law>(7.0, 0.6), terms, damage);
        typename Viscous<Law>::Response still, turning;
        for (int n = 0; n < 20; ++n) {
            const Mat3 F = random.gradient(), R = random.rotation();
            still = law.advance(F, 0.01, still.history);
            turning = law.advance(R * F, 0.01, turning.history);
            CHECK((turning.P - R * still.P).norm() < 1e-11 * still.P.norm());
            const Mat3 tau = still.P * F.transpose();
            CHECK((tau - tau.transpose()).norm() < 1e-13 * tau.norm());
        }
        const auto elastic = make_viscous(sample_law<Law>(7.0, 0.6), {}, damage);
        const std::vector<double> path =
            shear_stresses(elastic, {0.7, 0.5, 0.3, 0.1, 0.3, 0.5, 0.7});
        for (int i = 0; i < 3; ++i)
            CHECK(path[1 + i] == path[5 - i]);
        CHECK(path[0] == path[6]);
    });
}

// Exact      below the largest energy the point is elastic: P is the gradient of `stored` + U, by
//            central differences of step 1e-6.
TEST_CASE("damage, every law: stress is the derivative of the stored energy below the largest") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        RandomShapes random(23);
        const Law plain = sample_law<Law>(5.0, 0.0);
        const auto law = make_viscous(plain, {}, damage);
        const Mat3 far = random.gradient();
        const double J = far.determinant();
        const double top = plain.shape_energy(lane::symmetric_of(far.transpose() * far), J);
        const auto stored = [&](const Mat3& F) {
            const double W =
                plain.shape_energy(lane::symmetric_of(F.transpose() * F), F.determinant());
            return plain.energy(F) - W + damage.stored(W, top);
        };
        const auto reached = law.advance(far, 0.0, {});
        const Mat3 F = Mat3::Identity() + 0.6 * (far - Mat3::Identity());
        const Mat3 P = law.advance(F, 0.0, reached.history).P;
        for (int i = 0; i < 3; ++i)
            for (int j = 0; j < 3; ++j) {
                Mat3 up = F, down = F;
                up(i, j) += 1e-6;
                down(i, j) -= 1e-6;
                CHECK(std::abs((stored(up) - stored(down)) / 2e-6 - P(i, j)) < 1e-8);
            }
    });
}

// A closed cycle from rest loses what the damage took, and nothing when it is run again.
// 20000 steps: the trapezoidal rule is right to 1e-6.
TEST_CASE("damage, every law: a first cycle loses work, a second of the same size none") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        RandomShapes random(24);
        const Law plain = sample_law<Law>(5.0, 0.0);
        const auto law = make_viscous(plain, {}, damage);
        const Mat3 A = 0.25 * random.matrix();
        const auto shape = [&](double t, int cycles) {
            return Mat3(Mat3::Identity() +
                        std::pow(std::sin(std::numbers::pi * cycles * t), 2) * A);
        };
        const auto once = work(
            law, [&](double t) { return shape(t, 1); }, 10000);
        const auto twice = work(
            law, [&](double t) { return shape(t, 2); }, 20000);
        const Mat3 far = shape(0.5, 1);
        const double top =
            plain.shape_energy(lane::symmetric_of(far.transpose() * far), far.determinant());
        CHECK(rel_err(once, damage.lost(top)) < 1e-4);
        CHECK(rel_err(twice, once) < 1e-4);
    });
}

TEST_CASE("damage: no random path gives work back") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        RandomShapes random(25);
        const std::vector<PronyTerm> terms = {{.share = 0.3, .time_s = 0.05}};
        const auto law = make_viscous(sample_law<Law>(5.0, 0.0), terms, damage);
        for (int cycle = 0; cycle < 6; ++cycle) {
            Mat3 A[3];
            for (Mat3& a : A)
                a = 0.08 * random.matrix();
            const auto path = [&](double t) {
                Mat3 F = Mat3::Identity();
                for (int k = 0; k < 3; ++k)
                    F += std::sin(2.0 * std::numbers::pi * (k + 1) * t) * A[k];
                return F;
            };
            CHECK(work(law, path, 5000) > 1e-5);
        }
    });
}

TEST_CASE("damage: wrong values end in one line with their key") {
    const auto message = [](const MullinsDamage& wrong) {
        return test::message_of([&] { wrong.check(); });
    };
    CHECK(message({.r = 1.0, .m = 1.0, .beta = 0.0}).find("damage.r = 1 ") != std::string::npos);
    CHECK(message({.r = 2.0, .m = 0.0, .beta = 0.0}).find("damage.m_kJ_per_m3 = 0 ") !=
          std::string::npos);
    CHECK(message({.r = 2.0, .m = 1.0, .beta = -1.0}).find("damage.beta = -1 ") !=
          std::string::npos);
}
