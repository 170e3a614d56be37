// SPDX-License-Identifier: Apache-2.0
#include "materials/print/sampled_print.hpp"

#include "materials/laws/uniaxial_table.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

using namespace cellgrade;

namespace {

constexpr double mean_void = 0.02;

PrintEffects effects() {
    return {.void_fraction = Scatter{0.005, {}},
            .diameter_offset = ScatteredValue{0.06e-3, Scatter{0.04e-3, {}}},
            .build_direction_factor = ScatteredValue{0.85, Scatter{0.06, {}}}};
}

struct Moments {
    double mean = 0.0, sd = 0.0, kurtosis = 0.0;
};

Moments moments(const std::vector<double>& x) {
    const auto n = static_cast<double>(x.size());
    Moments m;
    for (const double v : x)
        m.mean += v / n;
    double fourth = 0.0;
    for (const double v : x) {
        m.sd += (v - m.mean) * (v - m.mean) / (n - 1.0);
        fourth += std::pow(v - m.mean, 4.0) / n;
    }
    m.kurtosis = fourth / (m.sd * m.sd);
    m.sd = std::sqrt(m.sd);
    return m;
}

double correlation(const std::vector<double>& x, const std::vector<double>& y) {
    const Moments a = moments(x), b = moments(y);
    double sum = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i)
        sum += (x[i] - a.mean) * (y[i] - b.mean);
    return sum / (static_cast<double>(x.size() - 1) * a.sd * b.sd);
}

/// Largest distance between the steps of a sample and the normal distribution function.
double distance_from_normal(std::vector<double> x, double mean, double sd) {
    std::sort(x.begin(), x.end());
    const auto n = static_cast<double>(x.size());
    double most = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double p = 0.5 * std::erfc(-(x[i] - mean) / (sd * std::numbers::sqrt2));
        most = std::max({most, p - static_cast<double>(i) / n, static_cast<double>(i + 1) / n - p});
    }
    return most;
}

struct Samples {
    std::vector<double> porosity, offset, factor;
};

Samples many(const PrintEffects& e, int n) {
    Samples s;
    for (int seed = 0; seed < n; ++seed) {
        const PrintSample one = sampled_print(e, mean_void, static_cast<std::uint64_t>(seed));
        s.porosity.push_back(one.void_fraction);
        s.offset.push_back(one.diameter_offset);
        s.factor.push_back(*one.build_direction_factor);
    }
    return s;
}

} // namespace

// Exact      mean and standard deviation of the card
// Tolerance  four standard errors: s / sqrt(n) of a mean, s sqrt((k - 1) / (4 n)) of a standard
//            deviation with kurtosis k (Kendall and Stuart, from memory), k from the sample. Chance
//            alone breaks one in 16,000, and the seeds are fixed.
TEST_CASE("sampled_print: mean and standard deviation are those of the card") {
    constexpr int n = 20000;
    const Samples s = many(effects(), n);
    const auto check = [](const std::vector<double>& x, double mean, double sd) {
        const Moments m = moments(x);
        INFO("mean ", m.mean, " sd ", m.sd, " kurtosis ", m.kurtosis);
        CHECK(std::abs(m.mean - mean) < 4.0 * sd / std::sqrt(n));
        CHECK(std::abs(m.sd - sd) < 4.0 * sd * std::sqrt((m.kurtosis - 1.0) / (4.0 * n)));
    };
    check(s.porosity, mean_void, 0.005);
    check(s.offset, 0.06e-3, 0.04e-3);
    check(s.factor, 0.85, 0.06);
    // The widest scatter there is: the square of a centred normal number.
    PrintEffects widest = effects();
    widest.void_fraction->sd = std::numbers::sqrt2 * mean_void * (1.0 - 1e-12);
    const Samples w = many(widest, n);
    check(w.porosity, mean_void, widest.void_fraction->sd);
    CHECK(*std::min_element(w.porosity.begin(), w.porosity.end()) >= 0.0);
}

// Source     Kolmogorov: the distance of a true sample stays below 1.95 / sqrt(n) with 99.9 %
//            (printed tables, from memory)
TEST_CASE("sampled_print: the offset is normal, and the three do not know of one another") {
    constexpr int n = 20000;
    const Samples s = many(effects(), n);
    CHECK(distance_from_normal(s.offset, 0.06e-3, 0.04e-3) < 1.95 / std::sqrt(n));
    // A correlation of independent samples has standard deviation 1 / sqrt(n).
    CHECK(std::abs(correlation(s.offset, s.porosity)) < 4.0 / std::sqrt(n));
    CHECK(std::abs(correlation(s.offset, s.factor)) < 4.0 / std::sqrt(n));
    CHECK(std::abs(correlation(s.porosity, s.factor)) < 4.0 / std::sqrt(n));
    PrintEffects without = effects();
    without.void_fraction.reset();
    CHECK(sampled_print(without, mean_void, 7).diameter_offset == s.offset[7]);
    CHECK(sampled_print(without, mean_void, 7).void_fraction == mean_void);
}

// Exact      an independent implementation of the same definition in exact rational arithmetic and
//            IEEE doubles (Python's fractions and floats), printed as hexadecimal floats
TEST_CASE("sampled_print: the same bits everywhere") {
    struct Row {
        std::uint64_t seed;
        double porosity, offset, factor;
    };
    const Row rows[] = {
        {0, 0x1.29c15fa0a44eep-6, 0x1.9e15c2dbe883bp-15, 0x1.8eb29dba3c20cp-1},
        {1, 0x1.89420a898ac91p-6, -0x1.a79dd72b6a26fp-16, 0x1.ac44aefefe59dp-1},
        {3, 0x1.327a2b9fb6f19p-6, 0x1.2b0c51b0deccap-13, 0x1.a75db0253846bp-1},
        {2147483647, 0x1.717772e01cd0fp-7, 0x1.9add6a835afc9p-14, 0x1.d2e58d7e54e95p-1},
    };
    for (const Row& row : rows) {
        const PrintSample s = sampled_print(effects(), mean_void, row.seed);
        CHECK(s.void_fraction == row.porosity);
        CHECK(s.diameter_offset == row.offset);
        CHECK(*s.build_direction_factor == row.factor);
    }
}

TEST_CASE("sampled_print: what cannot be is refused") {
    PrintEffects e = effects();
    e.void_fraction->sd = 0.03;
    CHECK(test::message_of([&] { (void)sampled_print(e, mean_void, 1); }).find("too wide") !=
          std::string::npos);
    // Readings widen it: 1.41 of the mean with two of them is past the limit.
    e.void_fraction = Scatter{1.2 * mean_void, 2};
    CHECK(test::message_of([&] { (void)sampled_print(e, mean_void, 1); }).find("at most") !=
          std::string::npos);
}

// Exact      Hashin and Shtrikman 1963, upper bound of the shear modulus of a solid (G, K) with
//            voids: G + v / (-1/G + 6 (K + 2 G)(1 - v) / (5 G (3 K + 4 G))), at K = 1e9 G
// Tolerance  the share under test is its limit at K/G -> infinity; what is left is of order G/K
TEST_CASE("porous_shear_share: is the bound of Hashin and Shtrikman, 1 - 5/3 v for few voids") {
    const double G = 1.0, K = 1e9;
    for (const double v : {0.0, 0.01, 0.05, 0.3, 0.7}) {
        const double bound =
            G + v / (-1.0 / G + 6.0 * (K + 2.0 * G) * (1.0 - v) / (5.0 * G * (3.0 * K + 4.0 * G)));
        CHECK(test::rel_err(porous_shear_share(v), bound) < 1e-8);
    }
    CHECK(std::abs(porous_shear_share(1e-4) - (1.0 - 5.0 / 3.0 * 1e-4)) < 3e-8);
}

// Exact      every stress times the factor, along the same path, with damage and relaxation.
TEST_CASE("scale_stress: a damaged point goes with the factor, loaded and unloaded") {
    PolymerCard card = find_card("soft");
    card.damage = MullinsDamage{.r = 1.6, .m = 2e5, .beta = 0.1};
    PolymerCard scaled = card;
    scale_stress(scaled, 0.83);
    const auto follow = [](const PolymerCard& c) {
        return std::visit(
            [&](const auto& law) {
                const auto point = make_viscous(law, c.prony, c.damage);
                typename std::decay_t<decltype(point)>::Response now;
                std::vector<double> stress;
                for (const double g : {0.3, 0.6, 0.4, 0.1, 0.5}) {
                    Mat3 F = Mat3::Identity();
                    F(0, 1) = g;
                    now = point.advance(F, 0.01, now.history);
                    stress.push_back(now.P(0, 1));
                }
                return stress;
            },
            c.law);
    };
    const std::vector<double> before = follow(card), after = follow(scaled);
    for (std::size_t i = 0; i < before.size(); ++i)
        CHECK(test::rel_err(after[i], 0.83 * before[i]) < 1e-14);
}

TEST_CASE("with_moduli_times: stress at any stretch goes with the factor, for every law") {
    for (const char* name : {"soft", "medium", "hard"}) {
        const AnyLaw law = find_card(name).law;
        const UniaxialTable before = make_uniaxial_table(law, 0.6, 1.6, 101);
        const UniaxialTable after =
            make_uniaxial_table(with_moduli_times(law, 0.83), 0.6, 1.6, 101);
        const double scale = initial_moduli(law).E0;
        for (std::size_t i = 0; i < before.stress_Pa.size(); ++i)
            CHECK(std::abs(after.stress_Pa[i] - 0.83 * before.stress_Pa[i]) < 1e-9 * scale);
    }
    Laws::for_each([]<class Law>() {
        Law law{};
        for (const auto& p : Law::parameters()) {
            const bool share =
                p.range == ParameterRange::Share || p.range == ParameterRange::Poisson;
            law.*p.member = share ? 0.2 : 1.2 * p.to_SI;
        }
        const InitialModuli before = initial_moduli(AnyLaw(law));
        const InitialModuli after = initial_moduli(with_moduli_times(AnyLaw(law), 0.83));
        INFO(Law::kind);
        CHECK(test::rel_err(after.mu0, 0.83 * before.mu0) < 1e-12);
        CHECK(test::rel_err(after.kappa0, 0.83 * before.kappa0) < 1e-12);
    });
}

TEST_CASE("card_of_print: porosity goes into law, density and moduli; the card stays whole") {
    PolymerCard card = find_card("soft"); // void fraction 0.03
    card.print = effects();
    for (const std::string& key : print_value_keys(card.print))
        card.sources[key] = "test";
    const PolymerCard print = card_of_print(card, {0.05, 0.1e-3, 0.9});
    CHECK(void_fraction(print) == 0.05);
    CHECK(test::rel_err(print.density_kg_per_m3, card.density_kg_per_m3 * 0.95 / 0.97) < 1e-14);
    const double share = porous_shear_share(0.05) / porous_shear_share(0.03);
    CHECK(test::rel_err(shear_modulus_Pa(print), share * shear_modulus_Pa(card)) < 1e-14);
    CHECK(test::rel_err(poissons_ratio(print), poissons_ratio(card)) < 1e-12);
    CHECK(print.print->diameter_offset == ScatteredValue{0.1e-3, {}});
    CHECK(print.print->build_direction_factor == ScatteredValue{0.9, {}});
    CHECK_NOTHROW(print.check());
    // The mean print is the card itself.
    const PolymerCard same = card_of_print(card, {void_fraction(card), 0.06e-3, 0.85});
    CHECK(shear_modulus_Pa(same) == shear_modulus_Pa(card));
    CHECK(same.density_kg_per_m3 == card.density_kg_per_m3);
}
