// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/history.hpp"

#include "materials/calibration/coupon_cleaning.hpp"
#include "materials/calibration/reading_statistics.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>

namespace cellgrade {

namespace {

constexpr std::size_t most_rows = 200;
constexpr std::size_t least_rows = 8;

Error history_error(const Coupon& c, const std::string& what) {
    return {Fault::Input, what, {.file = c.name}};
}

double strain_range(const Coupon& c) {
    const auto [low, high] = std::minmax_element(c.stretch.begin(), c.stretch.end());
    return *high - *low;
}

void set_times(Coupon& c) {
    if (c.time_s.empty()) {
        if (!c.rate_per_s)
            throw history_error(c, "a uniaxial_cycle needs a column time_s, or rate_per_s in the "
                                   "study");
        double time = std::abs(c.stretch.front() - 1.0) / *c.rate_per_s;
        for (std::size_t i = 0; i < c.stretch.size(); ++i) {
            time += i == 0 ? 0.0 : std::abs(c.stretch[i] - c.stretch[i - 1]) / *c.rate_per_s;
            c.time_s.push_back(time);
        }
        return;
    }
    const double start = c.time_s.front();
    for (std::size_t i = 0; i < c.time_s.size(); ++i) {
        c.time_s[i] -= start;
        if (i > 0 && c.time_s[i] < c.time_s[i - 1])
            throw history_error(c, fmt::format("the time falls at {:.6g} s", c.time_s[i] + start));
    }
}

/// Rows first, last, every k-th, and the turns between them.
std::vector<std::size_t> kept_rows(const Coupon& c) {
    const std::size_t n = c.stretch.size(), stride = (n + most_rows - 1) / most_rows;
    const double turn = 2e-3 * strain_range(c);
    std::vector<std::size_t> kept{0};
    for (std::size_t from = 0; from + 1 < n; from += stride) {
        const std::size_t to = std::min(from + stride, n - 1);
        const auto begin = c.stretch.begin();
        const auto [low, high] = std::minmax_element(begin + static_cast<std::ptrdiff_t>(from),
                                                     begin + static_cast<std::ptrdiff_t>(to) + 1);
        const double ends_low = std::min(c.stretch[from], c.stretch[to]);
        const double ends_high = std::max(c.stretch[from], c.stretch[to]);
        std::vector<std::size_t> turns;
        if (*low < ends_low - turn)
            turns.push_back(static_cast<std::size_t>(low - begin));
        if (*high > ends_high + turn)
            turns.push_back(static_cast<std::size_t>(high - begin));
        std::sort(turns.begin(), turns.end());
        kept.insert(kept.end(), turns.begin(), turns.end());
        kept.push_back(to);
    }
    return kept;
}

void thin(Coupon& c) {
    const std::size_t n = c.stretch.size();
    if (n <= most_rows)
        return;
    Coupon few = c;
    few.stretch.clear();
    few.stress_Pa.clear();
    few.time_s.clear();
    for (const std::size_t i : kept_rows(c)) {
        few.stretch.push_back(c.stretch[i]);
        few.stress_Pa.push_back(c.stress_Pa[i]);
        few.time_s.push_back(c.time_s[i]);
    }
    few.notes.push_back(fmt::format("{} of {} rows used, evenly and at every turn of the strain",
                                    few.stretch.size(), n));
    c = std::move(few);
}

void set_rate(Coupon& c) {
    if (c.rate_per_s)
        return;
    std::vector<double> rates;
    double fastest = 0.0;
    for (std::size_t i = 1; i < c.time_s.size(); ++i)
        if (c.time_s[i] > c.time_s[i - 1]) {
            rates.push_back(std::abs(c.stretch[i] - c.stretch[i - 1]) /
                            (c.time_s[i] - c.time_s[i - 1]));
            fastest = std::max(fastest, rates.back());
        }
    std::erase_if(rates, [&](double rate) { return rate < 0.1 * fastest; }); // holds
    if (rates.empty())
        throw history_error(c, "the time does not grow, so nothing of the rate is known");
    c.rate_per_s = median(rates);
    c.notes.push_back(fmt::format("strain rate from the times: {:.3g} 1/s", *c.rate_per_s));
}

/// Over the way to the furthest strain, stress and strain go the same way.
void refuse_other_sign(const Coupon& c) {
    double work = 0.0;
    std::size_t furthest = 0;
    for (std::size_t i = 0; i < c.stretch.size(); ++i)
        if (std::abs(c.stretch[i] - 1.0) > std::abs(c.stretch[furthest] - 1.0))
            furthest = i;
    for (std::size_t i = 0; i <= furthest; ++i)
        work += c.stress_Pa[i] * (c.stretch[i] - 1.0);
    if (!(work > 0.0))
        throw history_error(c,
                            "stress and strain have opposite signs on the first loading; tension "
                            "counts positive in both");
}

} // namespace

void prepare_history(Coupon& c) {
    if (c.stretch.size() < least_rows)
        throw history_error(c, fmt::format("{} rows; a uniaxial_cycle needs at least {}",
                                           c.stretch.size(), least_rows));
    if (!(strain_range(c) > 0.0))
        throw history_error(c, "the strain never changes");
    set_times(c);
    refuse_other_sign(c);
    refuse_implausible(c);
    thin(c);
    set_rate(c);
}

void limit_strain(Coupon& c, double largest_strain) {
    if (c.mode == CouponMode::Volumetric)
        return;
    const double rest = rest_stretch(c.mode);
    const std::size_t all = c.stretch.size();
    std::size_t n = 0;
    while (n < all && std::abs(c.stretch[n] - rest) <= largest_strain)
        ++n;
    if (n == all)
        return;
    const std::size_t least = c.mode == CouponMode::UniaxialCycle ? least_rows : 3;
    if (n < least)
        throw history_error(c, fmt::format("{} rows up to the largest_strain of {:g}; at least {} "
                                           "are needed",
                                           n, largest_strain, least));
    c.stretch.resize(n);
    c.stress_Pa.resize(n);
    if (!c.time_s.empty())
        c.time_s.resize(n);
    c.notes.push_back(fmt::format("{} rows from strain {:g} on left out (largest_strain)", all - n,
                                  largest_strain));
}

bool unloads(const Coupon& c) {
    double furthest = 0.0;
    for (const double l : c.stretch) {
        furthest = std::max(furthest, std::abs(l - 1.0));
        if (std::abs(l - 1.0) < 0.5 * furthest)
            return true;
    }
    return false;
}

bool reloads(const Coupon& c) {
    double furthest = 0.0, nearest = HUGE_VAL;
    for (const double l : c.stretch) {
        const double e = std::abs(l - 1.0);
        if (e > furthest) {
            furthest = e;
            nearest = e;
        }
        nearest = std::min(nearest, e);
        if (nearest < 0.5 * furthest && e > 0.9 * furthest)
            return true;
    }
    return false;
}

RateRange tested_rates(std::span<const Coupon> coupons) {
    RateRange rates{HUGE_VAL, 0.0};
    for (const Coupon& c : coupons)
        if (c.rate_per_s) {
            rates.slow_per_s = std::min(rates.slow_per_s, *c.rate_per_s);
            rates.fast_per_s = std::max(rates.fast_per_s, *c.rate_per_s);
        }
    return rates;
}

TimeWindow time_window(std::span<const Coupon> coupons) {
    TimeWindow window{HUGE_VAL, 0.0};
    for (const Coupon& c : coupons) {
        std::vector<double> gaps;
        for (std::size_t i = 1; i < c.time_s.size(); ++i)
            if (c.time_s[i] > c.time_s[i - 1])
                gaps.push_back(c.time_s[i] - c.time_s[i - 1]);
        if (gaps.empty())
            continue;
        window.shortest_s = std::min(window.shortest_s, median(gaps));
        window.longest_s = std::max(window.longest_s, c.time_s.back());
    }
    return window;
}

std::vector<double> relaxation_times_s(const TimeWindow& window) {
    const double low = std::log10(window.shortest_s), high = std::log10(window.longest_s);
    const double a_decade = high - low > 4.0 ? 1.0 : 2.0;
    std::vector<double> times;
    for (double k = std::ceil(a_decade * low - 1e-9); k <= a_decade * high + 1e-9; k += 1.0)
        times.push_back(std::pow(10.0, k / a_decade));
    return times;
}

} // namespace cellgrade
