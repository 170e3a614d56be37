// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/fitted_card.hpp"

#include "materials/calibration/damage_values.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

struct Reach {
    double low = 1.0, high = 1.0;

    void add(double stretch) {
        low = std::min(low, stretch);
        high = std::max(high, stretch);
    }
};

/// Uniaxial stretches of the same state for a solid that keeps its volume.
Reach tested_reach(const std::vector<Coupon>& coupons) {
    Reach reach;
    for (const Coupon& c : coupons)
        for (const double l : c.stretch) {
            if (c.mode == CouponMode::Equibiaxial) {
                reach.add(1.0 / (l * l));
            } else if (c.mode == CouponMode::SimpleShear) {
                reach.add(std::exp(std::asinh(0.5 * l)));
                reach.add(std::exp(-std::asinh(0.5 * l)));
            } else if (c.mode != CouponMode::Volumetric) {
                reach.add(l);
            }
        }
    return reach;
}

/// Rounded so that the card reads well and stays inside.
double rounded(double value, double towards) {
    return towards > value ? std::ceil(value * 1e3) / 1e3 : std::floor(value * 1e3) / 1e3;
}

void put_stretches(PolymerCard& card, const Calibration& c) {
    Reach reach = tested_reach(c.coupons);
    std::string low_source = "smallest stretch tested", high_source = "largest stretch tested";
    for (const StableRange& range : c.fits.front().stable) {
        if (range.mode != CouponMode::UniaxialTension)
            continue;
        if (range.low > reach.low)
            low_source = "limit of stability (Drucker), inside the tests";
        if (range.high < reach.high)
            high_source = "limit of stability (Drucker), inside the tests";
        reach.low = std::max(reach.low, range.low);
        reach.high = std::min(reach.high, range.high);
    }
    if (reach.low > 0.99) {
        reach.low = 0.99;
        low_source = "no test in compression: nothing below is known";
    }
    if (reach.high < 1.01) {
        reach.high = 1.01;
        high_source = "no test in tension: nothing above is known";
    }
    card.valid.stretch_min = rounded(reach.low, 2.0);
    card.valid.stretch_max = rounded(reach.high, 0.0);
    card.sources["stretch_min"] = low_source;
    card.sources["stretch_max"] = high_source;
}

void put_rates(PolymerCard& card, const Calibration& c) {
    double low = HUGE_VAL, high = 0.0;
    std::string source;
    if (c.prony) {
        low = 0.1 / c.prony->time_max_s;
        high = 0.1 / c.prony->time_min_s;
        source = "strain 0.1 in the longest and shortest time of the relaxation data";
    } else {
        for (const Coupon& coupon : c.coupons)
            if (coupon.rate_per_s) {
                low = std::min(low, *coupon.rate_per_s / 3.0);
                high = std::max(high, *coupon.rate_per_s * 3.0);
            }
        source = "tested rates and three times further; common practice, no source";
    }
    if (!(low < high))
        return;
    card.valid.rate_min_per_s = low;
    card.valid.rate_max_per_s = high;
    card.sources["rate_min_per_s"] = card.sources["rate_max_per_s"] = source;
}

std::string file_list(const Calibration& c) {
    std::string text;
    for (const Coupon& coupon : c.coupons)
        text += (text.empty() ? "" : ", ") + coupon.name;
    return text;
}

std::string value_source(const FittedValue& v, const Calibration& c, const CalibrationStudy& s) {
    if (const auto given = s.sources.find(v.key); given != s.sources.end())
        return "given: " + given->second;
    if (!v.fitted)
        return fmt::format(
            "from the fitted shear modulus and Poisson's ratio {} (given: {})",
            s.fixed.poissons_ratio.value_or(0.0),
            s.sources.contains("poissons_ratio") ? s.sources.find("poissons_ratio")->second : "");
    const std::string unit = v.key.ends_with("_MPa") ? " MPa" : "";
    if (!v.determined)
        return fmt::format("fit to {}; not determined by them", file_list(c));
    return fmt::format("fit to {}; 95 % interval {:.4g} to {:.4g}{}", file_list(c), v.low / v.to_SI,
                       v.high / v.to_SI, unit);
}

std::string prony_source(const Calibration& c) {
    std::string text;
    for (const TimeCurve& curve : c.time_curves)
        if (text.find(curve.name) == std::string::npos)
            text += (text.empty() ? "fit to " : ", ") + curve.name;
    text += fmt::format("; root mean square residual {:.2g} %; 95 % intervals of the shares",
                        100.0 * c.prony->rms_share);
    for (const FittedTerm& f : c.prony->terms)
        text += fmt::format(" {:.3g} to {:.3g},", f.share_low, f.share_high);
    text.back() = ';';
    if (c.master) {
        text += fmt::format(" master curve at {:.3g} C", c.master->reference_C);
        if (c.master->wlf)
            text += fmt::format(", WLF c1 {:.4g}, c2 {:.4g} K (misfit {:.2g} decades)",
                                c.master->wlf->c1, c.master->wlf->c2_K, c.master->wlf->rms_decades);
        if (c.master->arrhenius)
            text += fmt::format(", or {:.4g} kJ/mol (misfit {:.2g} decades)",
                                c.master->arrhenius->activation_J_per_mol / 1e3,
                                c.master->arrhenius->rms_decades);
    }
    return text.back() == ';' ? text.substr(0, text.size() - 1) : text;
}

/// The three values of damage with their intervals.
std::string damage_source(const Calibration& c) {
    std::string text = fmt::format("joint fit with the law to {}; 95 % intervals", file_list(c));
    for (const FittedValue& v : c.fits.front().fit.values) {
        if (std::find(damage_keys.begin(), damage_keys.end(), v.key) == damage_keys.end())
            continue;
        const std::string key = v.key.substr(v.key.find('.') + 1);
        text += v.determined
                    ? fmt::format(" {} {:.3g} to {:.3g},", key, v.low / v.to_SI, v.high / v.to_SI)
                    : fmt::format(" {} not determined,", key);
    }
    text.pop_back();
    return text;
}

/// The shift of least misfit, and the temperatures of the isotherms.
void put_temperature(PolymerCard& card, const Calibration& c) {
    if (!c.master || card.prony.empty())
        return;
    const MasterCurve& master = *c.master;
    const bool wlf = master.wlf && (!master.arrhenius ||
                                    master.wlf->rms_decades <= master.arrhenius->rms_decades);
    if (!wlf && !master.arrhenius)
        return;
    TimeTemperature shift{.kind =
                              wlf ? TimeTemperature::Kind::Wlf : TimeTemperature::Kind::Arrhenius,
                          .reference_K = master.reference_C + units::zero_C};
    const double misfit = wlf ? master.wlf->rms_decades : master.arrhenius->rms_decades;
    const std::string fit = fmt::format("fit to the shifts of {} isotherms; misfit {:.2g} decades",
                                        master.shifts.size(), misfit);
    if (wlf) {
        shift.c1 = master.wlf->c1;
        shift.c2_K = master.wlf->c2_K;
        card.sources["c1"] = card.sources["c2_K"] = fit;
    } else {
        shift.activation_energy_J_per_mol = master.arrhenius->activation_J_per_mol;
        card.sources["activation_energy_kJ_per_mol"] = fit;
    }
    card.sources["reference_C"] = "temperature of the isotherm that the others were shifted to";
    try { // constants of flat or contrary data make no law of temperature
        shift.check();
        for (const IsothermShift& isotherm : master.shifts)
            (void)shift.log10_shift(isotherm.temperature_C + units::zero_C);
    } catch (const Error&) {
        return;
    }
    card.shift = shift;
    card.valid.temperature_min_K = master.shifts.front().temperature_C + units::zero_C;
    card.valid.temperature_max_K = master.shifts.back().temperature_C + units::zero_C;
    card.sources["temperature_min_C"] = "coldest isotherm";
    card.sources["temperature_max_C"] = "warmest isotherm";
}

void put_guess(PolymerCard& card, const Calibration& c, const CalibrationStudy& s) {
    const std::string text =
        fmt::format("guess from Shore A {:.3g} (Gent 1958; hardness: {}): slow Young's modulus "
                    "{:.3g} MPa, {:.3g} "
                    "to {:.3g} as likely",
                    *s.shore_A, s.sources.find("shore_A")->second, c.guess->youngs_modulus_Pa / 1e6,
                    c.guess->low_Pa / 1e6, c.guess->high_Pa / 1e6);
    for (const FittedValue& v : c.fits.front().fit.values)
        card.sources[v.key] =
            s.sources.contains(v.key) ? "given: " + s.sources.find(v.key)->second : text;
    // Neo-Hookean solids of unknown rubber: the range named in materials/README.md.
    card.valid.stretch_min = 0.7;
    card.valid.stretch_max = 1.3;
    card.sources["stretch_min"] = card.sources["stretch_max"] =
        "no test; common practice for a law of one modulus, no source";
}

} // namespace

PolymerCard fitted_card(const Calibration& c, const CalibrationStudy& s) {
    PolymerCard card{.name = s.name,
                     .source = s.source,
                     .density_kg_per_m3 = s.density_kg_per_m3,
                     .law = c.fits.front().fit.law,
                     .prony = c.prony ? c.prony->prony() : std::vector<PronyTerm>{},
                     .damage = c.fits.front().fit.damage,
                     .shift = {},
                     .valid = {},
                     .friction_on_itself = s.friction_on_itself,
                     .friction_on_platen = s.friction_on_platen,
                     .print = {},
                     .sources = {}};
    if (c.guess) {
        put_guess(card, c, s);
    } else {
        for (const FittedValue& v : c.fits.front().fit.values)
            card.sources[v.key] = value_source(v, c, s);
        put_stretches(card, c);
    }
    put_rates(card, c);
    put_temperature(card, c);
    if (c.prony && !card.prony.empty())
        card.sources["prony"] = prony_source(c);
    if (card.damage)
        card.sources["damage"] = damage_source(c);
    card.sources["density_kg_per_m3"] = "given: " + s.sources.find("density_kg_per_m3")->second;
    for (const char* key : {"coefficient_on_itself", "coefficient_on_platen"})
        if (const auto given = s.sources.find(key); given != s.sources.end())
            card.sources[key] = "given: " + given->second;
    for (const std::string& reason : c.distrust)
        card.source += "; NOT TO BE TRUSTED: " + reason;
    // A law may leave terms out of the card: a source without a value is an error.
    const std::vector<std::string> keys = value_keys(card);
    std::erase_if(card.sources, [&](const auto& line) {
        return std::find(keys.begin(), keys.end(), line.first) == keys.end();
    });
    card.check();
    return card;
}

} // namespace cellgrade
