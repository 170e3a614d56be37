// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/contact_settings.hpp"
#include "solver/contact/friction_spring.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace cellgrade {
namespace {

TEST_CASE("penalty: force is the slope of the energy and tangent the slope of the force") {
    const Penalty law{.stiffness = 3e3, .cap = 1e-4};
    for (const double u : {0.01, 0.3, 0.5, 0.8, 0.94, 0.96, 1.0, 1.5}) {
        const double d = u * law.cap, h = 1e-5 * law.cap;
        CHECK(test::rel_err((law.energy(d + h) - law.energy(d - h)) / (2 * h), law.force(d)) <
              1e-6);
        CHECK(test::rel_err((law.force(d + h) - law.force(d - h)) / (2 * h), law.tangent(d)) <
              1e-6);
    }
    CHECK(law.energy(0.0) == 0.0);
    CHECK(law.force(0.0) == 0.0);
    CHECK(test::rel_err(law.tangent(0.0), 3e3) < 1e-14);
}

TEST_CASE("penalty: stiffening keeps the depth below a quarter radius up to 1 E r^2") {
    // Contacts one in 16 r^2 of section (struts four radii apart) carry E r^2 at a nominal stress
    // of E/16, past the densification of lattices (common practice, no source).
    const ContactSettings settings = test::rod_settings(0.0);
    const double r = test::rod_radius;
    const Penalty law{.stiffness = settings.physical_stiffness(r), .cap = settings.cap_share * r};
    CHECK(law.force(0.25 * r) > 1.0 * test::rod_modulus * r * r);
}

TEST_CASE("contact settings: stiffness gives the Hertz force at a tenth of the radius") {
    // Johnson (1985), sec. 4.2, from memory: F = 4/3 E* sqrt(R) d^1.5 for a sphere on a plane, to
    // which crossed equal cylinders are equivalent; two bodies of equal stuff: E* = E/2/(1-nu^2).
    const ContactSettings settings = test::rod_settings(0.0);
    const double r = test::rod_radius, d = 0.1 * r;
    const double star = test::rod_modulus / 2.0 / (1.0 - 0.48 * 0.48);
    const Penalty law{.stiffness = settings.physical_stiffness(r), .cap = settings.cap_share * r};
    CHECK(test::rel_err(law.force(d), 4.0 / 3.0 * star * std::sqrt(r) * std::pow(d, 1.5)) < 1e-12);
}

TEST_CASE("contact settings: the room in squared frequency costs the allowed share of the step") {
    ContactSettings settings = test::rod_settings(0.0);
    const double omega = 2.0 / settings.reference_step;
    const double step = 2.0 / std::sqrt(omega * omega + settings.omega_squared_room());
    CHECK(test::rel_err(step, 0.8 * settings.reference_step) < 1e-14);
}

TEST_CASE("contact settings: what is not given or out of range is refused by name") {
    const auto message = [](ContactSettings settings) {
        try {
            settings.check();
        } catch (const Error& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    CHECK(message(test::rod_settings(0.3)).empty());
    CHECK(message({}).find("modulus") != std::string::npos);
    ContactSettings settings = test::rod_settings(0.3);
    settings.friction = -0.1;
    CHECK(message(settings).find("friction is -0.1") != std::string::npos);
    settings = test::rod_settings(0.3);
    settings.poisson = 0.6;
    CHECK(message(settings).find("Poisson") != std::string::npos);
    settings = test::rod_settings(0.3);
    settings.reference_step = 0.0;
    CHECK(message(settings).find("reference step") != std::string::npos);
    settings = test::rod_settings(0.3);
    settings.search_margin_share = 0.1;
    CHECK(message(settings).find("margin") != std::string::npos);
}

TEST_CASE("friction spring: work of the spring is stored or lost, step by step") {
    test::Random random(3);
    const double k = 250.0;
    Vec3 x = Vec3::Zero();
    int n_slips = 0;
    for (int n = 0; n < 5000; ++n) {
        const double limit = random.in(0.0, 1.0) < 0.02 ? 0.0 : random.in(0.8, 1.2);
        const Vec3 slide(random.in(-2e-3, 2.2e-3), random.in(-2e-3, 2e-3), 0.0);
        const SpringStep next = advance_spring(x, slide, k, limit);
        CHECK(k * next.elongation.norm() <= limit * (1.0 + 1e-14));
        CHECK(next.dissipation >= 0.0);
        const double work = 0.5 * k * (x + next.elongation).dot(slide);
        const double stored = 0.5 * k * (next.elongation.squaredNorm() - x.squaredNorm());
        // Exact unless the trapezoid was refused for being negative (a reversal in one step).
        if (work - stored > 0.0)
            CHECK(std::abs(work - stored - next.dissipation) < 1e-14);
        n_slips += next.dissipation > 0.0 ? 1 : 0;
        x = next.elongation;
    }
    CHECK(n_slips > 1000);
    CHECK(n_slips < 4999);
}

TEST_CASE("friction spring: turning into a plane keeps the length") {
    test::Random random(5);
    for (int k = 0; k < 100; ++k) {
        const Vec3 n = random.direction(), x = random.cube(1e-4);
        const Vec3 y = turned_into_plane(x, n);
        CHECK(std::abs(y.dot(n)) < 1e-18);
        CHECK(test::rel_err(y.norm(), x.norm()) < 1e-13);
    }
    CHECK(turned_into_plane(Vec3(0, 0, 1e-4), Vec3(0, 0, 1)).norm() == 0.0);
}

} // namespace
} // namespace cellgrade
