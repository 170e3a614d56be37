// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/history_card.hpp"

#include "materials/calibration/history.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

bool has_history(const std::vector<Coupon>& coupons) {
    return std::any_of(coupons.begin(), coupons.end(),
                       [](const Coupon& c) { return c.mode == CouponMode::UniaxialCycle; });
}

void put_history(PolymerCard& card, const Calibration& c) {
    const RateRange rates = tested_rates(c.coupons);
    card.valid.rate_min_per_s = rates.slow_per_s / 3.0;
    card.valid.rate_max_per_s = rates.fast_per_s * 3.0;
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
    const RateRange rates = tested_rates(c.coupons);
    if (rates.fast_per_s < 2.0 * rates.slow_per_s)
        out.push_back(fmt::format("histories at one rate only, {:.3g} 1/s: other rates are "
                                  "extrapolated from relaxation seen between {:.3g} and {:.3g} s",
                                  rates.fast_per_s, c.prony->time_min_s, c.prony->time_max_s));
    const auto any = [&](bool (*is)(const Coupon&)) {
        return std::any_of(c.coupons.begin(), c.coupons.end(), [&](const Coupon& k) {
            return k.mode == CouponMode::UniaxialCycle && is(k);
        });
    };
    const bool damaged = c.fits.front().fit.damage.has_value();
    if (!any(unloads))
        out.emplace_back("no history unloads: what a cycle takes up is not tested");
    else if (!any(reloads))
        out.emplace_back(
            damaged ? "no history loads a second time: damage of the first loading is told "
                      "from relaxation by the shape of the unloading alone"
                    : "no history loads a second time: damage and flow of the first loading "
                      "cannot be told from relaxation and are taken as such");
    else if (damaged)
        out.emplace_back(
            "damage is taken to last: whether rest heals it is not tested, and neither "
            "is a set that stays");
    return out;
}

} // namespace cellgrade
