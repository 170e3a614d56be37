// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/surface_functions.hpp"

#include "meshes/catalogue/expression.hpp"
#include "meshes/catalogue/honeycomb.hpp"
#include "meshes/catalogue/sampled_field.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <numbers>
#include <thread>

using namespace cellgrade;

namespace {

std::vector<Vec3> scattered(std::size_t n) {
    std::vector<Vec3> at;
    for (std::size_t k = 0; k < n; ++k) {
        const auto turn = static_cast<double>(k);
        at.emplace_back(std::fmod(0.618034 * turn, 1.0), std::fmod(0.414214 * turn, 1.0),
                        std::fmod(0.732051 * turn, 1.0));
    }
    return at;
}

std::vector<double> values(const PointField& f, const std::vector<Vec3>& at) {
    std::vector<double> v(at.size());
    f(at, v);
    return v;
}

double value(const PointField& f, const Vec3& x) {
    return values(f, {x})[0];
}

} // namespace

TEST_CASE("surface functions: equal to their formulas in a parsed expression, at ragged sizes") {
    const std::map<std::string, std::string> formulas = {
        {"gyroid", "sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)"},
        {"schwarz_primitive", "cos(x) + cos(y) + cos(z)"},
        {"schwarz_diamond", "cos(x)*cos(y)*cos(z) - sin(x)*sin(y)*sin(z)"},
        {"i_wp", "2*(cos(x)*cos(y) + cos(y)*cos(z) + cos(z)*cos(x)) - cos(2*x) - cos(2*y) - "
                 "cos(2*z)"},
        {"neovius", "3*(cos(x) + cos(y) + cos(z)) + 4*cos(x)*cos(y)*cos(z)"},
        {"fischer_koch_s", "cos(2*x)*sin(y)*cos(z) + cos(x)*cos(2*y)*sin(z) + "
                           "sin(x)*cos(y)*cos(2*z)"}};
    REQUIRE(surface_function_names().size() == formulas.size());
    for (const auto& [name, formula] : formulas) {
        CAPTURE(name);
        const PointField parsed = compile_expression(formula).function;
        for (const std::size_t n : {0u, 1u, 63u, 64u, 65u, 200u}) {
            const auto at = scattered(n);
            const auto got = values(surface_function(name), at);
            const auto want = values(parsed, at);
            for (std::size_t k = 0; k < n; ++k)
                CHECK(std::abs(got[k] - want[k]) < 1e-13); // a few roundings of terms up to 4
        }
    }
}

TEST_CASE("surface functions: symmetries of the space groups") {
    // Gyroid, I-WP: body-centred lattices; P, Neovius, D: the body-centring shift swaps the sides
    // (International Tables, from memory). Gyroid: odd.
    for (const Vec3& u : scattered(50)) {
        const Vec3 half = u + Vec3::Constant(0.5);
        const auto at = [&](const char* name, const Vec3& x) {
            return value(surface_function(name), x);
        };
        CHECK(std::abs(at("gyroid", half) - at("gyroid", u)) < 1e-13);
        CHECK(std::abs(at("gyroid", -u) + at("gyroid", u)) < 1e-13);
        CHECK(std::abs(at("i_wp", half) - at("i_wp", u)) < 1e-13);
        for (const char* name : {"schwarz_primitive", "schwarz_diamond", "neovius"}) {
            CAPTURE(name);
            CHECK(std::abs(at(name, half) + at(name, u)) < 1e-13);
        }
    }
}

TEST_CASE("honeycomb: zero on the walls, half a width in the middle, a distance in between") {
    const double r3 = std::sqrt(3.0);
    const PointField f = honeycomb_function({.width = 1.0, .height = r3}, {0, 1});
    CHECK(test::rel_err(value(f, Vec3(0, 0, 0.3)), 0.5) < 1e-15);
    CHECK(test::rel_err(value(f, Vec3(0.5, 0.5, 0)), 0.5) < 1e-15);
    CHECK(std::abs(value(f, Vec3(0.5, 0, 0))) < 1e-15); // middle of a flat
    CHECK(std::abs(value(f, Vec3(0.5, 1.0 / 6.0, 0))) <
          1e-15); // junction: s / 2 above the flat's middle
    CHECK(std::abs(value(f, Vec3(0, 1.0 / 3.0, 0))) < 1e-15); // junction: s above the middle
    CHECK(test::rel_err(value(f, Vec3(0.4, 0, 0)), 0.1) < 1e-13);
    // continuous and of slope 1 at most: a distance
    for (const Vec3& u : scattered(400)) {
        const Vec3 near = u + Vec3(1e-4, 2e-4, 0);
        const double step = std::hypot(1e-4, 2e-4 * r3);
        CHECK(std::abs(value(f, u) - value(f, near)) <= step * (1.0 + 1e-9));
    }
}

TEST_CASE("honeycomb: walls are thicker at the junctions by the ratio asked for") {
    const PointField even = honeycomb_function({.width = 1.0, .height = std::sqrt(3.0)}, {0, 1});
    const PointField thick =
        honeycomb_function({.width = 1.0, .height = std::sqrt(3.0), .junction_ratio = 2.0}, {0, 1});
    const Vec3 middle(0.49, 0.0, 0.0);
    CHECK(value(thick, middle) == value(even, middle));
    const Vec3 junction(0.5 - 1e-7, 1.0 / 6.0, 0.0);
    CHECK(test::rel_err(value(thick, junction), 0.5 * value(even, junction)) < 1e-6);
}

TEST_CASE("expression: one line for a faulty formula, same bits from several threads") {
    const auto message = [](const std::string& formula) {
        try {
            (void)compile_expression(formula);
        } catch (const Error& e) {
            return std::string(e.what());
        }
        return std::string();
    };
    for (const char* wrong : {"sin(x", "sin(w)", "x = 2", "x, y", "", "sin()", "1 +", "\"x\""}) {
        CAPTURE(wrong);
        const std::string text = message(wrong);
        CHECK_FALSE(text.empty());
        CHECK(text.find('\n') == std::string::npos);
    }
    CHECK(message("x <= y ? cos(x) : cos(y)").empty());
    const PointField f = compile_expression("exp(sin(x)*cos(y))-cos(z)^2").function;
    const auto at = scattered(5000);
    const auto alone = values(f, at);
    std::vector<std::vector<double>> together(4);
    std::vector<std::thread> threads;
    for (auto& result : together)
        threads.emplace_back([&] { result = values(f, at); });
    for (auto& thread : threads)
        thread.join();
    for (const auto& result : together)
        CHECK(result == alone);
}

TEST_CASE("sampled field: meets its samples and converges with the third power") {
    const PointField exact = surface_function("gyroid");
    const auto sampled = [&](int n) {
        FieldSamples s{.counts = {n, n, n}};
        for (int k = 0; k < n; ++k)
            for (int j = 0; j < n; ++j)
                for (int i = 0; i < n; ++i)
                    s.values.push_back(value(exact, Vec3(i, j, k) / n));
        return interpolated(std::move(s));
    };
    const auto worst = [&](const PointField& f) {
        double most = 0.0;
        for (const Vec3& u : scattered(3000))
            most = std::max(most, std::abs(value(f, u) - value(exact, u)));
        return most;
    };
    CHECK(std::abs(value(sampled(8), Vec3(3, 7, 1) / 8.0) - value(exact, Vec3(3, 7, 1) / 8.0)) <
          1e-14);
    // Keys 1981: third order at least; the slopes are central differences
    const double order = test::order(worst(sampled(16)), worst(sampled(32)));
    CHECK(order > 2.7);
    CHECK(order < 4.0);
    CHECK(value(sampled(8), Vec3(0.3, 0.2, 0.0)) == value(sampled(8), Vec3(0.3, 0.2, 1.0)));
}

TEST_CASE("samples file: wrong words and counts are told with their line") {
    const auto message = [](const char* text) {
        try {
            (void)parse_field_samples(text, "f.csv", {2, 2, 2});
        } catch (const Error& e) {
            return std::string(e.what());
        }
        return std::string();
    };
    CHECK(message("# remark\n1,2,3,4\n5 6 7,8\n").empty());
    CHECK(message("1,2\n3,x,5").starts_with("f.csv:2:1: 'x' is not a finite number"));
    CHECK(message("1,2\n3,nan").starts_with("f.csv:2:1: 'nan'"));
    CHECK(message("1,2,3").find("3 values are given, 8 are needed") != std::string::npos);
    CHECK(message("1,2,3,4,5,6,7,8\n9").starts_with("f.csv:2:1: more than the 8"));
}
