// SPDX-License-Identifier: Apache-2.0
// Whole histories: measured cycles of an acrylic elastomer and two printed polymers (data folder,
// acrylic-elastomer-cycles and inelastic-lattices, sources named there), and made ones.
#include "materials/calibration/calibration.hpp"
#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/history.hpp"
#include "materials/calibration/history_fit.hpp"
#include "materials/laws/viscous.hpp"
#include "solver/core/keyed_file.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/noise.hpp"
#include "tests/support/open_data.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>

using namespace cellgrade;
using test::no_data;

namespace {

Coupon measured(const std::string& file) {
    Coupon c =
        parse_coupon_csv(read_text_file(*test::data_folder() / "acrylic-elastomer-cycles" / file),
                         file, {.mode = CouponMode::UniaxialCycle});
    prepare_history(c);
    return c;
}

std::vector<Coupon> acrylic(const std::string& rate) {
    std::vector<Coupon> coupons;
    for (const char* stretch : {"1.5", "2.0", "2.5", "3.0"})
        coupons.push_back(measured(fmt::format("stretch_{}_rate_{}.csv", stretch, rate)));
    return coupons;
}

/// Largest stress, and work of the path, by the trapezoidal rule.
std::array<double, 2> peak_and_loop(const Coupon& c, const std::vector<double>& P) {
    double loop = 0.0;
    for (std::size_t i = 1; i < P.size(); ++i)
        loop += 0.5 * (P[i] + P[i - 1]) * (c.stretch[i] - c.stretch[i - 1]);
    return {*std::max_element(P.begin(), P.end()), loop};
}

struct Worst {
    double peak = 0.0, loop = 0.0;
    int peaks_met = 0, loops_met = 0; ///< within 10 % and 25 %
};

Worst predicted(const std::string& from, const std::string& to) {
    const FixedValues solid{.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.495};
    const std::vector<Coupon> coupons = acrylic(from);
    const HistoryFit fit = fit_histories(
        {"yeoh"}, coupons, solid, {.starts = 4, .spectrum = spectrum_of(tested_rates(coupons))});
    Worst worst;
    for (const Coupon& c : acrylic(to)) {
        const auto got = peak_and_loop(
            c, coupon_stresses(fit.elastic.law, fit.prony.prony(), c.mode, c.stretch, c.time_s));
        const auto want = peak_and_loop(c, c.stress_Pa);
        const double peak = test::rel_err(got[0], want[0]);
        const double loop = test::rel_err(got[1], want[1]);
        MESSAGE(from, " to ", c.name, ": peak ", got[0] / want[0] - 1.0, ", loop ",
                got[1] / want[1] - 1.0);
        worst.peak = std::max(worst.peak, peak);
        worst.loop = std::max(worst.loop, loop);
        worst.peaks_met += peak < 0.10 ? 1 : 0;
        worst.loops_met += loop < 0.25 ? 1 : 0;
    }
    return worst;
}

using RatedFile = std::pair<std::string, std::optional<double>>; ///< without times: rate [1/s]

std::vector<RatedFile> sla_files() {
    std::vector<RatedFile> files;
    for (const char* rate : {"0.5", "5"})
        for (const char* strain : {"3", "6", "9"})
            files.emplace_back(fmt::format("msla_cyclic_{}mm_min_to_{}pct.csv", rate, strain),
                               std::nullopt);
    for (const char* rate : {"0.1", "0.5", "5"})
        files.emplace_back(fmt::format("msla_relaxation_{}mm_min_to_2pct.csv", rate), std::nullopt);
    return files;
}

std::vector<RatedFile> pa12_files() {
    return {{"pa12_tension_rate_1e-1_per_s.csv", 1e-1},
            {"pa12_tension_rate_1e-2_per_s.csv", 1e-2},
            {"pa12_tension_rate_1e-3_per_s.csv", 1e-3},
            {"pa12_tension_rate_1e-4_per_s.csv", 1e-4}};
}

/// Poisson's ratio and density are invented: the coupons tell neither.
CalibrationStudy printed(const std::vector<RatedFile>& files, std::optional<double> largest) {
    CalibrationStudy study{.name = "printed", .source = "coupons", .density_kg_per_m3 = 1100.0};
    study.fixed = {.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.4};
    for (const char* key : {"density_kg_per_m3", "void_fraction", "poissons_ratio"})
        study.sources[key] = "invented";
    study.candidates = {{"neo_hookean"}, {"yeoh"}};
    study.starts = 4;
    study.largest_strain = largest;
    for (const auto& [file, rate] : files)
        study.coupons.push_back(
            {.file = *test::data_folder() / "inelastic-lattices" / "coupons" / file,
             .request = {.mode = CouponMode::UniaxialCycle,
                         .measure = StressMeasure::Nominal,
                         .rate_per_s = rate},
             .toe = ToeRule::Keep});
    return study;
}

/// Cycles to stretches and back to rest at a rate, evenly in time, so many rows each.
Coupon cycles(const std::vector<double>& tops, double rate, int rows) {
    Coupon c{.name = fmt::format("cycle {}", rate), .mode = CouponMode::UniaxialCycle};
    double start = 0.0;
    for (const double top : tops) {
        const double length = 2.0 * (top - 1.0) / rate;
        for (int i = c.time_s.empty() ? 0 : 1; i <= rows; ++i) {
            c.time_s.push_back(start + length * i / rows);
            c.stretch.push_back(1.0 + (top - 1.0) * (1.0 - std::abs(1.0 - 2.0 * i / rows)));
        }
        start += length;
    }
    c.rate_per_s = rate;
    c.stress_Pa.assign(c.time_s.size(), 0.0);
    return c;
}

Coupon cycle(double top, double rate, int rows) {
    return cycles({top}, rate, rows);
}

void add_noise(Coupon& c, double share_of_peak, test::Noise& noise) {
    const double peak = *std::max_element(c.stress_Pa.begin(), c.stress_Pa.end());
    for (double& P : c.stress_Pa)
        P += share_of_peak * peak * noise();
}

const std::array<PronyTerm, 2> truth_terms{{{0.3, 1.0}, {0.2, 10.0}}};
constexpr double truth_shear = 1.2e6;
const NeoHookean truth{
    .mu = truth_shear, .kappa = truth_shear * 2.0 * 1.495 / (3.0 * 0.01), .void_fraction = 0.0};

} // namespace

TEST_SUITE_BEGIN("verification");

// Problem    cycle to stretch 2 and back, neo-Hookean with two Prony terms
// Exact      Viscous<NeoHookean>::advance, 20000 steps, free side by bisection at each
// Tolerance  stretch in steps of 0.02 with S linear in each: error (0.02)^2/8 of S'' (at rest about
//            12 mu against a peak of 2 mu), 3e-4 of the peak
TEST_CASE("cycles: the response of a fit is that of the point law of the solver") {
    Coupon c = cycle(2.0, 0.1, 40);
    const std::vector<double> got =
        coupon_stresses(AnyLaw(truth), truth_terms, c.mode, c.stretch, c.time_s);
    const auto viscous = make_viscous<NeoHookean>(truth, truth_terms);
    Viscous<NeoHookean>::History history;
    const int fine = 500;
    double peak = 0.0, worst = 0.0;
    for (std::size_t i = 1; i < c.stretch.size(); ++i) {
        double P = 0.0;
        for (int k = 1; k <= fine; ++k) {
            const double l =
                c.stretch[i - 1] + (c.stretch[i] - c.stretch[i - 1]) * k / double(fine);
            const double dt = (c.time_s[i] - c.time_s[i - 1]) / fine;
            double low = 0.9 / std::sqrt(l), high = 1.1 / std::sqrt(l);
            while (high - low > 1e-14) {
                const double t = 0.5 * (low + high);
                const Mat3 F = Vec3(l, t, t).asDiagonal();
                (viscous.advance(F, dt, history).P(2, 2) < 0.0 ? low : high) = t;
            }
            const Mat3 F = Vec3(l, low, low).asDiagonal();
            const auto now = viscous.advance(F, dt, history);
            history = now.history;
            P = now.P(0, 0);
        }
        peak = std::max(peak, P);
        worst = std::max(worst, std::abs(P - got[i]));
    }
    INFO("worst ", worst / peak);
    CHECK(worst < 3e-4 * peak);
}

// Problem    cycles to stretch 2 at 0.1 and 1 1/s, 60 rows each, noise of 1 % of the peak
// Exact      the law and terms that made the data: 0.3 at 1 s and 0.2 at 10 s, times given
// Tolerance  93 of 100 as promised, asked of 300 seeds; above 99 % the interval would be wider than
//            it says (binomial deviation of 95 %: 1.3 %)
TEST_CASE("cycles: the truth of law and shares lies in its 95 % interval") {
    const FixedValues solid{.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.495};
    constexpr int seeds = 300;
    std::array<int, 3> inside{};
    for (unsigned seed = 1; seed <= seeds; ++seed) {
        test::Noise noise(seed);
        std::vector<Coupon> coupons{cycle(2.0, 0.1, 60), cycle(2.0, 1.0, 60)};
        for (Coupon& c : coupons) {
            c.stress_Pa = coupon_stresses(AnyLaw(truth), truth_terms, c.mode, c.stretch, c.time_s);
            add_noise(c, 0.01, noise);
        }
        const HistoryFit fit = fit_histories({"neo_hookean"}, coupons, solid,
                                             {.times_s = {1.0, 10.0}, .choose_terms = false});
        const FittedValue& mu = fit.elastic.values[0];
        REQUIRE(mu.fitted);
        inside[0] += mu.low <= truth_shear && truth_shear <= mu.high ? 1 : 0;
        for (std::size_t k = 0; k < 2; ++k) {
            const FittedTerm& f = fit.prony.terms[k];
            inside[k + 1] +=
                f.share_low <= truth_terms[k].share && truth_terms[k].share <= f.share_high;
        }
    }
    MESSAGE("inside of 300: ", inside[0], " ", inside[1], " ", inside[2]);
    for (const int count : inside) {
        CHECK(count >= 93 * seeds / 100);
        CHECK(count <= 99 * seeds / 100);
    }
}

// Problem    cycles to stretch 1.4, 1.4, 1.8 and 1.8 at 0.1 1/s with damage and relaxation, 40 rows
//            each, noise of 1 % of the peak
// Exact      the law, damage and term that made the data, time given
// Tolerance  93 of 100 as promised, asked of 1000 seeds under the label slow, and no more than 97
// %.
//            Of 60 seeds a true 95 % gives 57 +- 1.7: at least 52, three deviations, are asked for.
std::array<unsigned, 5> damage_recovery(unsigned seeds) {
    const FixedValues solid{.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.495};
    const MullinsDamage damage{.r = 1.7, .m = 0.1 * truth_shear, .beta = 0.2};
    const std::vector<PronyTerm> term = {{0.3, 2.0}};
    std::array<unsigned, 5> inside{};
    for (unsigned seed = 1; seed <= seeds; ++seed) {
        test::Noise noise(seed);
        std::vector<Coupon> coupons{cycles({1.4, 1.4, 1.8, 1.8}, 0.1, 40)};
        for (Coupon& c : coupons) {
            c.stress_Pa = coupon_stresses(AnyLaw(truth), term, c.mode, c.stretch, c.time_s, damage);
            add_noise(c, 0.01, noise);
        }
        const HistoryFit fit =
            fit_histories({.kind = "neo_hookean", .damage = true}, coupons, solid,
                          {.starts = 1, .times_s = {2.0}, .choose_terms = false});
        const auto holds = [](const FittedValue& v, double value) {
            return v.determined && v.low <= value && value <= v.high ? 1U : 0U;
        };
        const std::vector<FittedValue>& values = fit.elastic.values;
        REQUIRE(values.size() == 6); // mu, kappa, void fraction, r, m, beta
        inside[0] += holds(values[0], truth_shear);
        inside[1] += holds(values[3], damage.r);
        inside[2] += holds(values[4], damage.m);
        inside[3] += holds(values[5], damage.beta);
        const FittedTerm& f = fit.prony.terms[0];
        inside[4] += f.share_low <= 0.3 && 0.3 <= f.share_high ? 1U : 0U;
    }
    MESSAGE("inside: mu ", inside[0], ", r ", inside[1], ", m ", inside[2], ", beta ", inside[3],
            ", share ", inside[4], " of ", seeds);
    return inside;
}

TEST_CASE("cycles: the truth of damage lies in its 95 % interval") {
    for (const unsigned count : damage_recovery(60))
        CHECK(count >= 52);
}

TEST_CASE("cycles: the truth of damage lies in its 95 % interval, 1000 seeds" * doctest::skip()) {
    for (const unsigned count : damage_recovery(1000)) {
        CHECK(count >= 930);
        CHECK(count <= 970);
    }
}

// Problem    an undamaged solid and a damaged one, cycled as above
// Exact      which of the two it was
TEST_CASE("cycles: damage is chosen where there is some and left out where there is none") {
    for (const bool damaged : {false, true}) {
        const std::optional<MullinsDamage> damage =
            damaged ? std::optional(MullinsDamage{.r = 1.7, .m = 0.1 * truth_shear, .beta = 0.2})
                    : std::nullopt;
        test::Noise noise(damaged ? 11 : 12);
        Coupon c = cycles({1.4, 1.4, 1.8, 1.8}, 0.1, 40);
        c.stress_Pa =
            coupon_stresses(AnyLaw(truth), truth_terms, c.mode, c.stretch, c.time_s, damage);
        add_noise(c, 0.01, noise);
        CalibrationStudy study{.name = "made", .source = "made", .density_kg_per_m3 = 1100.0};
        study.fixed = {.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.495};
        for (const char* key : {"density_kg_per_m3", "void_fraction", "poissons_ratio"})
            study.sources[key] = "invented";
        study.candidates = {{"neo_hookean"}};
        study.spectrum = SpectrumKind::Free;
        study.starts = 2;
        const Calibration fit = calibrate_curves(study, {c}, {});
        CHECK(fit.fits.size() == 2);
        CHECK(fit.card.damage.has_value() == damaged);
        CHECK(fit.card.sources.contains("damage") == damaged);
        if (damaged)
            CHECK(test::rel_err(fit.card.damage->r, 1.7) < 0.05);
    }
}

// Problem    one rate fitted, the other predicted: peak within 10 %, loop within 25 %, as
//            promised, at all four amplitudes
// Measured   load and unload to stretch 1.5 to 3.0 (acrylic-elastomer-cycles)
// Met from the fast rate to the slow one. The other way it is not: fitted at 0.01 and predicted at
// 0.05 1/s the smallest amplitude is off by 10.4 % of the peak and 29 % of the loop. Specimens of
// one rate differ by up to 20 % from one another at the same stretch. With branches that are each
// fitted alone neither way is met; the power law of RelaxationSpectrum is what extrapolates.
TEST_CASE("acrylic cycles: the fast rate predicts the slow one") {
    if (no_data())
        return;
    const Worst slower = predicted("0.05", "0.01");
    CHECK(slower.peaks_met == 4);
    CHECK(slower.loops_met == 4);
    const Worst faster = predicted("0.01", "0.05");
    CHECK(faster.peaks_met == 3);
    CHECK(faster.loops_met == 3);
}

// Problem    masked-SLA coupons: six cycles and three ramps with hold, toe as measured, to a card
// Measured   inelastic-lattices/coupons; R2 of 0.95 and more counts as following a test (findings)
// Up to 9 % no Prony law follows all nine: the card must say so. Up to 3.1 %, with the cycles to
// 3 % whole, it does.
TEST_CASE("printed polymers: masked-SLA cycles and ramps become a card") {
    if (no_data())
        return;
    const Calibration small = calibrate(printed(sla_files(), 0.031));
    CHECK(small.distrust.empty());
    for (const CurveFit& c : small.fits.front().fit.curves)
        CHECK_MESSAGE(c.r_squared >= 0.95, c.name);
    CHECK(small.card.source.find("up to 0.031 only") != std::string::npos);
    CHECK(*small.card.valid.stretch_max <= 1.031);
    const Calibration all = calibrate(printed(sla_files(), std::nullopt));
    CHECK_FALSE(all.distrust.empty());
    CHECK(all.card.source.find("NOT TO BE TRUSTED") != std::string::npos);
}

// Problem    PA12 in tension at four rates, 1e-4 to 1e-1 1/s, which yields at a few per cent
// Measured   inelastic-lattices/coupons
TEST_CASE("printed polymers: PA12 becomes a card below yield and none to be trusted beyond") {
    if (no_data())
        return;
    const Calibration small = calibrate(printed(pa12_files(), 0.02));
    CHECK(small.distrust.empty());
    for (const CurveFit& c : small.fits.front().fit.curves)
        CHECK_MESSAGE(c.r_squared >= 0.95, c.name);
    CHECK(small.card.source.find("up to 0.02 only") != std::string::npos);
    CHECK(*small.card.valid.stretch_max <= 1.02);
    // The slowest and the fastest of the tested rates, and three times further.
    CHECK(test::rel_err(*small.card.valid.rate_min_per_s, 1e-4 / 3.0) < 1e-12);
    CHECK(test::rel_err(*small.card.valid.rate_max_per_s, 0.3) < 1e-12);
    CHECK_FALSE(calibrate(printed(pa12_files(), std::nullopt)).distrust.empty());
}
