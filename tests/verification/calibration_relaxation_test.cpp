// SPDX-License-Identifier: Apache-2.0
// Measured relaxation of two adhesives with reference shift factors and Prony terms: Springer and
// Bosco (2020), Prog. Photovolt. 28:659, the copy in the data folder (polymer-relaxation).
#include "materials/calibration/coupon_csv.hpp"
#include "materials/calibration/master_curve.hpp"
#include "materials/calibration/prony_fit.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/text_table.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/open_data.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>

using namespace cellgrade;
using test::no_data;

namespace {

std::string file_text(const char* name) {
    return read_text_file(*test::data_folder() / "polymer-relaxation" / name);
}

/// The files name columns in their own way; the units are in their second row.
std::string renamed(std::string text, const std::string& from, const std::string& to) {
    return text.replace(text.find(from), from.size(), to);
}

std::vector<std::array<double, 2>> number_pairs(const std::string& text) {
    std::vector<std::array<double, 2>> pairs;
    const TextTable table = read_text_table(text, "data");
    for (const TextTable::Row& row : table.rows)
        pairs.push_back({cell_number(table, row, 0, "data"), cell_number(table, row, 1, "data")});
    return pairs;
}

/// Reference series of the master curve: relative modulus, time; E0 = 1739.03 MPa.
std::vector<PronyTerm> reference_terms() {
    std::vector<PronyTerm> terms;
    for (const auto& [share, time] :
         number_pairs(file_text("relaxation_master_prony_reference.csv")))
        terms.push_back({share, time});
    return terms;
}

} // namespace

TEST_SUITE_BEGIN("verification");

// Problem    Prony series, one term a decade as the reference has, to a master curve of 31 decades
// Exact      the reference series, relative to its instantaneous modulus of 1739.03 MPa
// Tolerance  1 % of the instantaneous modulus over the range of the data
TEST_CASE("relaxation data: Prony fit of a master curve follows the reference series") {
    if (no_data())
        return;
    const std::string text =
        renamed(file_text("relaxation_master.csv"), "t,E_relax", "time,relaxation_modulus");
    const auto curves =
        parse_time_curves_csv(text, "master", {.kind = TimeCurve::Kind::Relaxation});
    const std::vector<PronyTerm> reference = reference_terms();
    const PronyFit fit =
        fit_prony(curves, {.most_terms = 32, .fit_times = false, .choose_count = false});
    double worst = 0.0, worst_of_value = 0.0;
    for (double t = fit.time_min_s; t < fit.time_max_s; t *= 1.3) {
        const double want = relaxation(reference, t);
        const double got = relaxation(fit.prony(), t) * fit.instantaneous_modulus_Pa / 1739.03e6;
        worst = std::max(worst, std::abs(got - want));
        worst_of_value = std::max(worst_of_value, std::abs(got / want - 1.0));
    }
    INFO("worst ", worst, ", of the value ", worst_of_value, ", rms ", fit.rms_share);
    CHECK(worst < 0.01);
}

/// Slope of log modulus over log time by least squares, taken positive.
double steepness(const TimeCurve& c) {
    const auto n = static_cast<double>(c.time_s.size());
    double x = 0.0, y = 0.0, xy = 0.0, xx = 0.0;
    for (std::size_t i = 0; i < c.time_s.size(); ++i) {
        x += std::log10(c.time_s[i]) / n;
        y += std::log10(c.modulus_Pa[i]) / n;
    }
    for (std::size_t i = 0; i < c.time_s.size(); ++i) {
        xy += (std::log10(c.time_s[i]) - x) * (std::log10(c.modulus_Pa[i]) - y);
        xx += std::pow(std::log10(c.time_s[i]) - x, 2);
    }
    return -xy / xx;
}

/// How well one smooth series follows isotherms brought together: relative root mean square.
double smoothness(std::vector<TimeCurve> isotherms, const std::vector<double>& log10_shift) {
    TimeCurve all{.name = "all"};
    for (std::size_t k = 0; k < isotherms.size(); ++k)
        for (std::size_t i = 0; i < isotherms[k].time_s.size(); ++i) {
            all.time_s.push_back(isotherms[k].time_s[i] / std::pow(10.0, log10_shift[k]));
            all.modulus_Pa.push_back(isotherms[k].modulus_Pa[i]);
        }
    const std::vector<TimeCurve> curves{all};
    return fit_prony(curves, {.most_terms = 30, .fit_times = false, .choose_count = false})
        .rms_share;
}

// Problem    21 isotherms from -50 to 100 C shifted to 3 C
// Exact      the shift factors that come with the data
// Tolerance  1 % in the modulus of an isotherm (clamping and load cell: common practice, no source)
//            moves it by 0.0043 / slope along log time, slope its own d log E / d log t; steps add
//            up as the root of the sum of squares. The glass is flat (slope 0.005 to 0.02), so
//            there it is a decade of twelve; and the curves must lie together no worse than by the
//            given factors.
TEST_CASE("relaxation data: shift factors of the isotherms are the given ones") {
    if (no_data())
        return;
    const std::string text = renamed(file_text("relaxation_raw_isotherms.csv"), "t,E_relax,T,Set",
                                     "time,relaxation_modulus,temperature,set");
    const auto isotherms =
        parse_time_curves_csv(text, "isotherms", {.kind = TimeCurve::Kind::Relaxation});
    REQUIRE(isotherms.size() == 21);
    const MasterCurve master = master_curve(isotherms, 3.0);
    auto given = number_pairs(file_text("relaxation_shift_factors.csv"));
    std::sort(given.begin(), given.end());
    REQUIRE(given.size() == 21);
    std::vector<double> squares(21, 0.0); // isotherm 7 is the reference
    const auto step = [&](std::size_t i, std::size_t j) {
        return std::pow(0.0043 * 2.0 / (steepness(isotherms[i]) + steepness(isotherms[j])), 2);
    };
    for (std::size_t i = 8; i < 21; ++i)
        squares[i] = squares[i - 1] + step(i - 1, i);
    for (std::size_t i = 7; i-- > 0;)
        squares[i] = squares[i + 1] + step(i, i + 1);
    std::vector<double> ours, theirs;
    for (std::size_t i = 0; i < 21; ++i) {
        ours.push_back(master.shifts[i].log10_shift);
        theirs.push_back(given[i][1]);
        INFO("at ", given[i][0], " C: given ", theirs[i], ", found ", ours[i]);
        CHECK(std::abs(ours[i] - theirs[i]) <= std::sqrt(squares[i]));
    }
    const double mine = smoothness(isotherms, ours), other = smoothness(isotherms, theirs);
    INFO("misfit of one series: found ", mine, ", given ", other);
    CHECK(mine <= other);
}
