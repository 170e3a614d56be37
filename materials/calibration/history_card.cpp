// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/history_card.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

struct Rates {
    double slow = HUGE_VAL, fast = 0.0;
};

Rates tested_rates(const std::vector<Coupon>& coupons) {
    Rates rates;
    for (const Coupon& c : coupons)
        if (c.rate_per_s) {
            rates.slow = std::min(rates.slow, *c.rate_per_s);
            rates.fast = std::max(rates.fast, *c.rate_per_s);
        }
    return rates;
}

/// Loaded again after an unloading by half of its largest strain.
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

bool unloads(const Coupon& c) {
    double furthest = 0.0;
    for (const double l : c.stretch) {
        furthest = std::max(furthest, std::abs(l - 1.0));
        if (std::abs(l - 1.0) < 0.5 * furthest)
            return true;
    }
    return false;
}

} // namespace

bool has_history(const std::vector<Coupon>& coupons) {
    return std::any_of(coupons.begin(), coupons.end(),
                       [](const Coupon& c) { return c.mode == CouponMode::UniaxialCycle; });
}

void put_history(PolymerCard& card, const Calibration& c) {
    const Rates rates = tested_rates(c.coupons);
    card.valid.rate_min_per_s = rates.slow / 3.0;
    card.valid.rate_max_per_s = rates.fast * 3.0;
    card.sources["rate_min_per_s"] = card.sources["rate_max_per_s"] =
        "tested rates and three times further; common practice, no source";
    if (card.prony.empty())
        return;
    std::string text;
    for (const Coupon& coupon : c.coupons)
        text += (text.empty() ? "joint fit with the law to " : ", ") + coupon.name;
    text += fmt::format("; times given, seen from {:.3g} to {:.3g} s; root mean square residual "
                        "{:.2g} % of the largest stress; 95 % intervals of the shares",
                        c.prony->time_min_s, c.prony->time_max_s, 100.0 * c.prony->rms_share);
    for (const FittedTerm& f : c.prony->terms)
        text += fmt::format(" {:.3g} to {:.3g},", f.share_low, f.share_high);
    text.pop_back();
    card.sources["prony"] = text;
}

void put_largest_strain(PolymerCard& card, double largest_strain) {
    card.source += fmt::format("; fitted to nominal strains up to {:g} only", largest_strain);
    for (const char* key : {"stretch_min", "stretch_max"})
        if (auto line = card.sources.find(key);
            line != card.sources.end() && line->second.find("tested") != std::string::npos)
            line->second +=
                fmt::format(", not beyond largest_strain = {:g} of the fit", largest_strain);
}

std::vector<std::string> history_findings(const Calibration& c) {
    std::vector<std::string> out;
    const Rates rates = tested_rates(c.coupons);
    if (rates.fast < 2.0 * rates.slow)
        out.push_back(fmt::format("histories at one rate only, {:.3g} 1/s: other rates are "
                                  "extrapolated from relaxation seen between {:.3g} and {:.3g} s",
                                  rates.fast, c.prony->time_min_s, c.prony->time_max_s));
    const auto history = [](const Coupon& k) { return k.mode == CouponMode::UniaxialCycle; };
    if (std::none_of(c.coupons.begin(), c.coupons.end(),
                     [&](const Coupon& k) { return history(k) && unloads(k); }))
        out.emplace_back("no history unloads: what a cycle takes up is not tested");
    else if (std::none_of(c.coupons.begin(), c.coupons.end(),
                          [&](const Coupon& k) { return history(k) && reloads(k); }))
        out.emplace_back("no history loads a second time: damage and flow of the first loading "
                         "cannot be told from relaxation and are taken as such");
    return out;
}

} // namespace cellgrade
