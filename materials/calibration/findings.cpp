// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/findings.hpp"

#include "materials/calibration/coupon_response.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double least_r_squared = 0.9; // below, the law tells another story than the test

bool follows_tests(const ElasticFit& fit) {
    return std::all_of(fit.curves.begin(), fit.curves.end(),
                       [](const CurveFit& c) { return c.r_squared >= 0.95; });
}

/// Largest stretch of the tests in tension.
double largest_stretch(const std::vector<Coupon>& coupons) {
    double largest = 1.0;
    for (const Coupon& c : coupons)
        if (c.mode != CouponMode::SimpleShear)
            for (const double l : c.stretch)
                largest = std::max(largest, std::max(l, 1.0 / std::max(l, 0.1)));
    return largest;
}

std::string figure(const Calibration& c, CouponMode mode, double stretch) {
    const std::optional<double> spread = prediction_spread(c.fits, mode, stretch);
    if (!spread)
        return "; no two laws follow the tests, so not even the size of the error is known";
    return fmt::format("; laws that follow every test differ there by {:.0f} % at stretch {:.3g}",
                       100.0 * *spread, stretch);
}

void modes_not_tested(const Calibration& c, std::vector<std::string>& out) {
    if (c.coupons.empty())
        return;
    const double stretch = largest_stretch(c.coupons);
    const auto cycled = [&](bool to_tension) {
        return std::any_of(c.coupons.begin(), c.coupons.end(), [&](const Coupon& coupon) {
            return coupon.mode == CouponMode::UniaxialCycle &&
                   std::any_of(coupon.stretch.begin(), coupon.stretch.end(),
                               [&](double l) { return to_tension ? l > 1.001 : l < 0.999; });
        });
    };
    // Pulling a sheet in both directions is pressing it across, for a solid that keeps its volume.
    const bool biaxial = has_mode(c.coupons, CouponMode::Equibiaxial) ||
                         has_mode(c.coupons, CouponMode::UniaxialCompression) || cycled(false);
    if (!has_mode(c.coupons, CouponMode::Equibiaxial))
        out.push_back(biaxial ? "no equibiaxial test: the biaxial prediction rests on the "
                                "compression test and constant volume" +
                                    figure(c, CouponMode::Equibiaxial, std::sqrt(stretch))
                              : "no equibiaxial test: the biaxial prediction is not to be trusted" +
                                    figure(c, CouponMode::Equibiaxial, stretch));
    if (!has_mode(c.coupons, CouponMode::Planar) && !has_mode(c.coupons, CouponMode::SimpleShear))
        out.push_back("no planar and no shear test: the prediction in shear is not tested" +
                      figure(c, CouponMode::Planar, stretch));
    if (!biaxial)
        out.push_back("no compression and no equibiaxial test: compression is extrapolated" +
                      figure(c, CouponMode::UniaxialCompression, 1.0 / stretch));
    if (!has_mode(c.coupons, CouponMode::UniaxialTension) && !cycled(true))
        out.push_back("no tension test: tension is extrapolated" +
                      figure(c, CouponMode::UniaxialTension, stretch));
    if (!has_mode(c.coupons, CouponMode::Volumetric))
        out.emplace_back("no volumetric test: the bulk modulus is given, not measured");
}

void rates_and_temperatures(const Calibration& c,
                            const CalibrationStudy& study,
                            std::vector<std::string>& out) {
    if (!c.prony)
        out.emplace_back(
            "no relaxation and no frequency test: the card has no rate dependence; its "
            "moduli are those of the tests' rate, and an impact meets a stiffer "
            "material");
    double slow = HUGE_VAL, fast = 0.0;
    for (const Coupon& coupon : c.coupons)
        if (coupon.rate_per_s) {
            slow = std::min(slow, *coupon.rate_per_s);
            fast = std::max(fast, *coupon.rate_per_s);
        }
    if (!c.prony && fast > 2.0 * slow)
        out.push_back(fmt::format("tests at {:.3g} to {:.3g} 1/s and no relaxation test: what the "
                                  "rate changes is taken as scatter",
                                  slow, fast));
    double low = HUGE_VAL, high = -HUGE_VAL;
    const auto add = [&](const std::optional<double>& T) {
        low = T ? std::min(low, *T) : low;
        high = T ? std::max(high, *T) : high;
    };
    for (const Coupon& coupon : c.coupons)
        add(coupon.temperature_C);
    for (const TimeCurve& curve : c.time_curves)
        add(curve.temperature_C);
    if (low > high)
        out.emplace_back("no temperature is given: the card holds at the temperature of the tests, "
                         "whatever that was");
    else if (!c.master)
        out.push_back(
            fmt::format("tests at {:.3g} to {:.3g} C and no isotherms: what heat and cold "
                        "do is not known",
                        low, high));
    for (const Coupon& coupon : c.coupons)
        if (coupon.temperature_C &&
            std::abs(*coupon.temperature_C - study.reference_temperature_C) > 5.0)
            out.push_back(fmt::format("{}: tested at {:.3g} C, more than 5 K from the reference "
                                      "temperature of {:.3g} C",
                                      coupon.name, *coupon.temperature_C,
                                      study.reference_temperature_C));
    if (c.master)
        out.push_back(fmt::format(
            "shift factors were measured from {:.3g} to {:.3g} C; outside, and "
            "near melting or glass transition, the card holds nothing",
            c.master->shifts.front().temperature_C, c.master->shifts.back().temperature_C));
}

void doubts_of_the_fit(const RankedFit& best, std::vector<std::string>& out) {
    const ElasticFit& fit = best.fit;
    for (const std::string& sentence : fit.undetermined)
        out.push_back(sentence);
    for (const FittedValue& v : fit.values)
        if (v.fitted && v.determined && v.low < 0.0 && v.high > 0.0)
            out.push_back(fmt::format("{}: the interval holds 0; the data do not show that it is "
                                      "needed",
                                      v.key));
    if (fit.autocorrelation > 0.5)
        out.push_back(
            fmt::format("residuals follow one another (correlation {:.2f}): the law bends "
                        "otherwise than the data, and the intervals hold the scatter only",
                        fit.autocorrelation));
    if (!best.stable_over_tests)
        out.push_back(
            fmt::format("{} is not stable over the range of the tests", fit.candidate.name()));
    if (fit.starts > 2 && 2 * fit.agreeing < fit.starts)
        out.push_back(fmt::format("{} of {} starts ended at the best fit: there are others near it",
                                  fit.agreeing, fit.starts));
    for (const CurveFit& c : fit.curves)
        if (c.r_squared < 0.95)
            out.push_back(fmt::format("{}: the law does not follow this curve (R2 {:.3f})", c.name,
                                      c.r_squared));
}

void relaxation_against_coupons(const Calibration& c, std::vector<std::string>& out) {
    if (!c.prony || c.fits.empty())
        return;
    for (const std::string& note : c.prony->notes)
        out.push_back(note);
    const double E0 = initial_moduli(c.fits.front().fit.law).E0;
    const double ratio = c.prony->instantaneous_modulus_Pa / E0;
    if (ratio < 0.8 || ratio > 1.25)
        out.push_back(
            fmt::format("the relaxation tests give an instantaneous modulus of {:.3g} MPa, "
                        "the coupons {:.3g} MPa; the card takes its shape from the former "
                        "and its height from the latter",
                        c.prony->instantaneous_modulus_Pa / 1e6, E0 / 1e6));
}

} // namespace

std::vector<std::string> distrust_of(const RankedFit& best) {
    std::vector<std::string> reasons;
    for (const CurveFit& c : best.fit.curves)
        if (!(c.r_squared >= least_r_squared))
            reasons.push_back(
                fmt::format("{}: R2 {:.3f} is below {}", c.name, c.r_squared, least_r_squared));
    if (!best.stable_over_tests)
        reasons.push_back(
            fmt::format("{} is not stable over the range of the tests", best.fit.candidate.name()));
    return reasons;
}

bool has_mode(const std::vector<Coupon>& coupons, CouponMode mode) {
    return std::any_of(coupons.begin(), coupons.end(),
                       [&](const Coupon& c) { return c.mode == mode; });
}

std::optional<double>
prediction_spread(const std::vector<RankedFit>& fits, CouponMode mode, double stretch) {
    double low = HUGE_VAL, high = -HUGE_VAL, sum = 0.0;
    int n = 0;
    for (const RankedFit& ranked : fits) {
        const double P = coupon_stress(ranked.fit.law, mode, stretch);
        if (!follows_tests(ranked.fit) || !std::isfinite(P))
            continue;
        low = std::min(low, P);
        high = std::max(high, P);
        sum += P;
        ++n;
    }
    if (n < 2 || sum == 0.0)
        return std::nullopt;
    return (high - low) / std::abs(sum / n);
}

std::vector<std::string> findings_of(const Calibration& c, const CalibrationStudy& study) {
    std::vector<std::string> out;
    if (c.guess)
        out.push_back(
            fmt::format("the modulus is a guess from Shore A {:.3g}: {:.3g} to {:.3g} MPa "
                        "is as likely; nothing else of the law is measured",
                        *study.shore_A, c.guess->low_Pa / 1e6, c.guess->high_Pa / 1e6));
    modes_not_tested(c, out);
    rates_and_temperatures(c, study, out);
    if (!c.fits.empty())
        doubts_of_the_fit(c.fits.front(), out);
    relaxation_against_coupons(c, out);
    return out;
}

} // namespace cellgrade
