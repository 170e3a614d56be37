// SPDX-License-Identifier: Apache-2.0
// Relaxation in the time loop: one tetrahedron driven by its nodes under central differences.
#include "solver/dynamics/body_dynamics.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <optional>

using namespace cellgrade;
using test::rel_err;

namespace {

constexpr double h = 1e-4, mu = 1e6; // [m], [Pa]

// References D13: instantaneous modulus 1, long-term share 0.5.
const std::vector<PronyTerm> d13 = {{.share = 0.3, .time_s = 0.01}, {.share = 0.2, .time_s = 0.1}};

/// Corner of a cube of edge h: three faces on the planes of symmetry.
TetMesh corner_tet() {
    TetMesh mesh;
    mesh.nodes = {{0, 0, 0}, {h, 0, 0}, {0, h, 0}, {0, 0, h}};
    for (const auto& [a, b] : {std::pair{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}})
        mesh.nodes.emplace_back(0.5 * (mesh.nodes[a] + mesh.nodes[b]));
    mesh.n_corners = 4;
    mesh.tets = {{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}};
    mesh.box = Vec3(h, h, h);
    mesh.solid_volume = h * h * h / 6.0;
    return mesh;
}

/// The element under central differences; `freedoms` of each node follow `rate`(time) X.
struct Driven {
    TetMesh mesh = corner_tet();
    BodyDynamics body;

    Driven(double bulk_over_shear,
           double density,
           const std::function<unsigned(const Vec3& X)>& freedoms,
           const std::function<Mat3(double time)>& rate,
           const std::optional<MullinsDamage>& damage = {})
        : body(make(bulk_over_shear, density, damage)) {
        for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
            const Vec3 X = mesh.nodes[n];
            body.add_group({.nodes = {static_cast<Index>(n)},
                            .freedoms = freedoms(X) | fix_rotations,
                            .rate = [rate, X](double t) {
                                return GroupRate{.velocity = rate(t) * X, .spin = Vec3::Zero()};
                            }});
        }
    }

    /// Mean first Piola-Kirchhoff stress: what holds the nodes times where they were [Pa].
    [[nodiscard]] Mat3 stress() const {
        Mat3 P = Mat3::Zero();
        for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
            P += body.motion().reaction(static_cast<Index>(n)).force * mesh.nodes[n].transpose();
        return P / mesh.solid_volume;
    }

private:
    [[nodiscard]] BodyDynamics
    make(double bulk_over_shear, double density, const std::optional<MullinsDamage>& damage) const {
        const NeoHookean law{.mu = mu, .kappa = bulk_over_shear * mu, .void_fraction = 0.0};
        TetBlock block = make_tet_block(mesh, law, d13, damage);
        TetMass mass = tet_lumped_mass(mesh, block, density);
        return {mesh.nodes, SolidBody(mesh, std::move(block), std::move(mass)), {}};
    }
};

unsigned all(const Vec3& /*X*/) {
    return fix_translations;
}

Mat3 shear(double value) {
    Mat3 F = Mat3::Zero();
    F(0, 1) = value;
    return F;
}

} // namespace

// Problem    shear ramp in 0.02 s, then hold, through the explicit loop at 20 material seconds a
//            solver second. Source: references D13, printed for a shear of 0.1 and a modulus of 1.
// Tolerance  0.5 % is asked for; run at a thousandth of that shear, where the law is linear, what
//            is left is half a step, 1e-4 of the shorter time, where the stress moves fastest.
TEST_CASE("one element: a relaxation ramp equals the Prony series") {
    constexpr double ratio = 20.0, scale = 1e-3, ramp = 0.02;
    Driven one(50.0, 1000.0, all,
               [](double t) { return shear(ratio * t < ramp ? 0.1 * scale / ramp * ratio : 0.0); });
    one.body.set_clock_ratio(ratio);
    one.body.start();
    const auto stress_at = [&](double t) {
        while (one.body.material_time() < t)
            one.body.step();
        return one.stress()(0, 1) / (mu * scale);
    };
    CHECK(rel_err(stress_at(0.01), 0.04399807) < 2e-3);
    CHECK(rel_err(stress_at(0.03), 0.07117331) < 2e-3);
    CHECK(rel_err(stress_at(0.05), 0.06407449) < 2e-3);
    CHECK(rel_err(stress_at(0.1), 0.05814930) < 2e-3);
    CHECK(rel_err(stress_at(0.5), 0.05014918) < 2e-3);
}

// Problem    shear of amplitude 0.1 at 10 Hz, last of ten cycles (the longer time is one cycle, so
//            exp(-9) of the start is left). Source: references D14: loop area pi G'' amplitude^2.
// Tolerance  theirs, 0.5 %; the start leaves 1e-4, trapezoids over thousands of steps a cycle
// nothing.
TEST_CASE("one element: the loop of a cycle has the area of the loss modulus") {
    constexpr double ratio = 20.0, scale = 1e-3, omega = 2.0 * std::numbers::pi * 10.0;
    Driven one(50.0, 1000.0, all, [](double t) {
        return shear(ratio * 0.1 * scale * omega * std::cos(omega * ratio * t));
    });
    one.body.set_clock_ratio(ratio);
    one.body.start();
    double area = 0.0, strain = 0.0, stress = 0.0;
    while (one.body.material_time() < 1.0) {
        one.body.step();
        const double now = 0.1 * std::sin(omega * one.body.material_time());
        const double held = one.stress()(0, 1) / (mu * scale);
        if (one.body.material_time() > 0.9)
            area += 0.5 * (held + stress) * (now - strain);
        strain = now;
        stress = held;
    }
    CHECK(rel_err(area, 5.220944e-3) < 5e-3);
}

// Problem    pull at 200 1/s to twice the length, sides free
// Exact      neo-Hookean, incompressible, Prony terms on the isochoric 2nd Piola-Kirchhoff stress:
//              S_iso = mu (I - I1/3 C^-1)
//              S(t)  = g_inf S_iso + sum share_i int exp(-(t - s)/time_i) dS_iso
//              P     = l (S_zz - S_xx / l^3), pressure out of the free sides
//            the integral by the midpoint rule on 20,000 parts
// Source     Simo (1987), CMAME 60, 153, with the sides' condition written out
// Tolerance  0.5 %: volume changes by P/(3 kappa) = 0.05 %, ringing of the sudden start by
//            v/c = 2e-4 of strain
TEST_CASE("one element: a pull at 200 1/s equals the hereditary integral") {
    constexpr double rate = 200.0;
    const auto held = [](const Vec3& X) {
        return unsigned{fix_z} | (X.x() == 0.0 ? fix_x : 0U) | (X.y() == 0.0 ? fix_y : 0U);
    };
    Driven one(1000.0, 100.0, held, [](double /*t*/) {
        Mat3 L = Mat3::Zero();
        L(2, 2) = rate;
        return L;
    });
    one.body.start();
    const auto exact = [](double l_end) {
        const auto isochoric = [](double l) { // zz, xx
            const double I1 = l * l + 2.0 / l;
            return Eigen::Vector2d(1.0 - I1 / (3.0 * l * l), 1.0 - I1 * l / 3.0);
        };
        constexpr int n = 20000;
        Eigen::Vector2d S = 0.5 * isochoric(l_end);
        for (int i = 0; i < n; ++i) {
            const double from = 1.0 + (l_end - 1.0) * i / n, to = 1.0 + (l_end - 1.0) * (i + 1) / n;
            const double ago = (l_end - 0.5 * (from + to)) / rate;
            for (const PronyTerm& term : d13)
                S += term.share * std::exp(-ago / term.time_s) * (isochoric(to) - isochoric(from));
        }
        return mu * l_end * (S[0] - S[1] / (l_end * l_end * l_end));
    };
    for (const double l : {1.25, 1.5, 1.75, 2.0}) {
        while (one.body.time() < (l - 1.0) / rate)
            one.body.step();
        CHECK(rel_err(one.stress()(2, 2), exact(l)) < 5e-3);
    }
}

// Problem    three pulls to stretch 1.3, 1.3 and 1.6 and back, l = 1 + (top - 1) sin^2(pi t/T) at
//            20 1/s in the mean, sides free, damage and Prony terms together
// Exact      as above, with eta S_iso in place of S_iso and W = mu/2 (l^2 + 2/l - 3), eta by the C
//            library's erf; the integral by the midpoint rule on 6000 parts a pull
// Source     Ogden & Roxburgh (1999), Proc. R. Soc. A 455, 2861; Simo (1987) as above
// Tolerance  0.5 % of the largest stress; the drive has no jumps, which would ring by density c v
TEST_CASE("one element: cycles with damage and relaxation equal the hereditary integral") {
    constexpr double rate = 20.0, pi = std::numbers::pi;
    const MullinsDamage damage{.r = 1.5, .m = 0.05 * mu, .beta = 0.1};
    const std::array<double, 3> tops = {1.3, 1.3, 1.6};
    const auto speed = [&](double t) {
        for (const double top : tops) {
            const double period = 2.0 * (top - 1.0) / rate;
            if (t < period)
                return (top - 1.0) * pi / period * std::sin(2.0 * pi * t / period);
            t -= period;
        }
        return 0.0;
    };
    const auto held = [](const Vec3& X) {
        return unsigned{fix_z} | (X.x() == 0.0 ? fix_x : 0U) | (X.y() == 0.0 ? fix_y : 0U);
    };
    Driven one(
        1000.0, 1e5, held,
        [&](double t) {
            Mat3 L = Mat3::Zero();
            L(2, 2) = speed(t);
            return L;
        },
        damage);
    one.body.start();
    double W_max = 0.0, time = 0.0, worst = 0.0, largest = 0.0, plain = 0.0;
    Eigen::Vector2d before = Eigen::Vector2d::Zero();
    std::vector<Eigen::Vector2d> Q(d13.size(), Eigen::Vector2d::Zero());
    for (const double top : tops)
        for (int i = 1; i <= 6000; ++i) {
            const double dt = 2.0 * (top - 1.0) / rate / 6000;
            const double l = 1.0 + (top - 1.0) * std::pow(std::sin(pi * i / 6000), 2);
            time += dt;
            const double I1 = l * l + 2.0 / l, W = 0.5 * mu * (I1 - 3.0);
            W_max = std::max(W, W_max);
            const double eta =
                1.0 - std::erf((W_max - W) / (damage.m + damage.beta * W_max)) / damage.r;
            const Eigen::Vector2d now =
                eta * Eigen::Vector2d(1.0 - I1 / (3.0 * l * l), 1.0 - I1 * l / 3.0);
            Eigen::Vector2d S = 0.5 * now;
            for (std::size_t k = 0; k < d13.size(); ++k) {
                const double half = std::exp(-0.5 * dt / d13[k].time_s);
                Q[k] = half * half * Q[k] + half * d13[k].share * (now - before);
                S += Q[k];
            }
            before = now;
            if (i % 300 != 0)
                continue;
            while (one.body.time() < time)
                one.body.step();
            const double exact = mu * l * (S[0] - S[1] / (l * l * l));
            worst = std::max(worst, std::abs(one.stress()(2, 2) - exact));
            largest = std::max(largest, std::abs(exact));
            plain = std::max(plain, (1.0 - eta) * std::abs(exact));
        }
    INFO("worst ", worst / largest);
    CHECK(worst < 5e-3 * largest);
    CHECK(plain > 0.05 * largest); // damage is seen
}
