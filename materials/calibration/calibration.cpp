// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/calibration.hpp"

#include "materials/calibration/findings.hpp"
#include "materials/calibration/fitted_card.hpp"
#include "materials/calibration/history.hpp"
#include "materials/calibration/history_card.hpp"
#include "materials/calibration/history_fit.hpp"
#include "solver/core/keyed_file.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace cellgrade {

namespace {

constexpr double hardness_reading_s = 3.0;

/// The name a file has in messages and cards: without the folder of one machine.
std::string short_name(const std::filesystem::path& file) {
    return file.filename().string();
}

/// Several temperatures: a curve at the reference; one: the curves as they are.
std::vector<TimeCurve> at_one_temperature(const CalibrationStudy& study, Calibration& c) {
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (const TimeCurve& curve : c.time_curves)
        if (curve.temperature_C) {
            low = std::min(low, *curve.temperature_C);
            high = std::max(high, *curve.temperature_C);
        }
    if (!(high - low >= 1.0))
        return c.time_curves;
    c.master = master_curve(c.time_curves, study.reference_temperature_C);
    c.notes.insert(c.notes.end(), c.master->notes.begin(), c.master->notes.end());
    return {c.master->curve};
}

bool covers(const std::vector<StableRange>& ranges, const Coupon& coupon) {
    const auto at = std::find_if(ranges.begin(), ranges.end(), [&](const StableRange& r) {
        const bool uniaxial = r.mode == CouponMode::UniaxialTension &&
                              (coupon.mode == CouponMode::UniaxialCompression ||
                               coupon.mode == CouponMode::UniaxialCycle);
        return r.mode == coupon.mode || uniaxial;
    });
    if (at == ranges.end())
        return true; // volumetric
    return std::all_of(coupon.stretch.begin(), coupon.stretch.end(), [&](double l) {
        return (l >= at->low || !at->low_found) && (l <= at->high || !at->high_found);
    });
}

RankedFit ranked(ElasticFit fit, const std::vector<Coupon>& coupons) {
    RankedFit r{.fit = std::move(fit), .stable = {}, .prony = {}};
    r.stable = stable_ranges(r.fit.law);
    r.stable_over_tests = std::all_of(coupons.begin(), coupons.end(),
                                      [&](const Coupon& c) { return covers(r.stable, c); });
    return r;
}

/// Whether n terms are worth a try: n - 1 were, or did better (AICc) than n - 2.
bool has_reason(const LawCandidate& candidate, const std::vector<RankedFit>& fits) {
    const auto aicc = [&](int terms) -> std::optional<double> {
        for (const RankedFit& ranked : fits)
            if (ranked.fit.candidate.kind == candidate.kind &&
                ranked.fit.candidate.terms == terms &&
                ranked.fit.candidate.damage == candidate.damage)
                return ranked.fit.aicc;
        return std::nullopt;
    };
    if (candidate.terms < 3)
        return true;
    const auto one_fewer = aicc(candidate.terms - 1), two_fewer = aicc(candidate.terms - 2);
    return one_fewer && (!two_fewer || *one_fewer < *two_fewer);
}

/// One candidate, alone under the relaxation at hand or together with its own.
RankedFit fitted(const LawCandidate& candidate,
                 const CalibrationStudy& study,
                 const Calibration& c,
                 const FixedValues& fixed) {
    if (has_history(c.coupons)) {
        HistoryFit both = fit_histories(
            candidate, c.coupons, fixed,
            {.weighting = study.weighting,
             .starts = study.starts,
             .most_terms = study.most_prony_terms,
             .spectrum = study.spectrum.value_or(spectrum_of(tested_rates(c.coupons)))});
        check(both.elastic.law);
        RankedFit r = ranked(std::move(both.elastic), c.coupons);
        r.prony = std::move(both.prony);
        return r;
    }
    ElasticFitOptions options{.weighting = study.weighting, .starts = study.starts};
    if (c.prony)
        options.prony = c.prony->prony();
    ElasticFit fit = fit_elastic(candidate, c.coupons, fixed, options);
    check(fit.law);
    return ranked(std::move(fit), c.coupons);
}

/// The study's laws, and each with damage where that is asked for or a history loads again.
std::vector<LawCandidate> candidates_of(const CalibrationStudy& study, const Calibration& c) {
    CELLGRADE_CHECK(has_history(c.coupons) || !study.damage.value_or(false),
                    "damage shows in a uniaxial_cycle test only, and there is none");
    const bool again = std::any_of(c.coupons.begin(), c.coupons.end(), [](const Coupon& coupon) {
        return coupon.mode == CouponMode::UniaxialCycle && reloads(coupon);
    });
    std::vector<LawCandidate> list;
    if (!study.damage.value_or(false))
        list = study.candidates;
    if (study.damage.value_or(again))
        for (LawCandidate candidate : study.candidates) {
            candidate.damage = true;
            list.push_back(candidate);
        }
    return list;
}

void fit_laws(const CalibrationStudy& study, Calibration& c) {
    FixedValues fixed = study.fixed;
    fixed.fit_bulk_modulus = has_mode(c.coupons, CouponMode::Volumetric) && !fixed.poissons_ratio &&
                             !fixed.values.contains("bulk_modulus_MPa");
    std::optional<Error> last;
    for (const LawCandidate& candidate : candidates_of(study, c)) {
        if (!study.every_candidate && !has_reason(candidate, c.fits)) {
            c.notes.push_back(fmt::format("{} left out: a term fewer was no better than two fewer",
                                          candidate.name()));
            continue;
        }
        try {
            c.fits.push_back(fitted(candidate, study, c, fixed));
        } catch (const Error& e) {
            last = e;
            c.notes.push_back(fmt::format("{} left out: {}", candidate.name(), e.message()));
        }
    }
    if (c.fits.empty())
        throw *last;
    std::stable_sort(c.fits.begin(), c.fits.end(), [](const RankedFit& a, const RankedFit& b) {
        return std::pair(!a.stable_over_tests, a.fit.aicc) <
               std::pair(!b.stable_over_tests, b.fit.aicc);
    });
    if (c.fits.front().prony)
        c.prony = c.fits.front().prony;
}

/// A neo-Hookean solid with the modulus of the hardness, turned into an instantaneous one.
void guess_law(const CalibrationStudy& study, Calibration& c) {
    c.guess = guess_from_shore_A(*study.shore_A);
    const double slow = c.prony ? relaxation(c.prony->prony(), hardness_reading_s) : 1.0;
    CELLGRADE_CHECK(study.fixed.poissons_ratio,
                    "fixed: a guess from hardness needs poissons_ratio (solid rubbers: 0.49 and "
                    "above)");
    const double nu = *study.fixed.poissons_ratio;
    const LawCandidate candidate{"neo_hookean"};
    const double mu = c.guess->youngs_modulus_Pa / (2.0 * (1.0 + nu)) / slow;
    const CandidateLaw model(candidate, study.fixed, mu);
    Eigen::VectorXd natural(1);
    natural[0] = std::log(mu);
    ElasticFit fit{.candidate = candidate, .law = model.law(natural)};
    for (const LawValue& v : law_values(fit.law))
        fit.values.push_back({std::string(v.key), v.to_SI, v.value, v.value, v.value});
    c.fits.push_back(
        {.fit = fit, .stable = stable_ranges(fit.law), .stable_over_tests = true, .prony = {}});
}

void require_rates(const Calibration& c) {
    for (const Coupon& coupon : c.coupons)
        if (coupon.time_s.empty() && coupon.mode != CouponMode::Volumetric)
            throw Error(Fault::Input,
                        "no rate_per_s and no column time_s: with relaxation or cycles at hand the "
                        "rate is needed to turn slow moduli into instantaneous ones",
                        {.file = coupon.name});
}

} // namespace

Calibration calibrate_curves(const CalibrationStudy& study,
                             std::vector<Coupon> coupons,
                             std::vector<TimeCurve> time_curves) {
    Calibration c{.coupons = std::move(coupons), .time_curves = std::move(time_curves)};
    for (const Coupon& coupon : c.coupons)
        for (const std::string& note : coupon.notes)
            c.notes.push_back(coupon.name + ": " + note);
    for (const TimeCurve& curve : c.time_curves)
        for (const std::string& note : curve.notes)
            c.notes.push_back(curve.name + ": " + note);
    if (has_history(c.coupons))
        require_rates(c);
    if (!c.time_curves.empty()) {
        require_rates(c);
        CELLGRADE_CHECK(!has_history(c.coupons),
                        "relaxation and dynamic curves together with uniaxial_cycle are not "
                        "fitted");
        c.prony = fit_prony(at_one_temperature(study, c), {.most_terms = study.most_prony_terms});
    }
    if (c.coupons.empty())
        guess_law(study, c);
    else
        fit_laws(study, c);
    c.distrust = distrust_of(c.fits.front());
    c.card = fitted_card(c, study);
    c.findings = findings_of(c, study);
    if (has_history(c.coupons)) {
        put_history(c.card, c);
        const std::vector<std::string> more = history_findings(c);
        c.findings.insert(c.findings.end(), more.begin(), more.end());
    }
    if (study.largest_strain)
        put_largest_strain(c.card, *study.largest_strain);
    c.card.check();
    return c;
}

Calibration calibrate(const CalibrationStudy& given) {
    CalibrationStudy study = given;
    const PrintReadings readings = read_print_readings(study.print);
    PrintFit print = fit_print(readings, study.print.solid_density_kg_per_m3.value_or(0.0));
    put_weighed(study, print, readings);
    std::vector<Coupon> coupons;
    std::vector<TimeCurve> time_curves;
    for (const CouponTest& test : study.coupons) {
        Coupon coupon =
            parse_coupon_csv(read_text_file(test.file), test.file.string(), test.request);
        const bool history = coupon.mode == CouponMode::UniaxialCycle;
        if (history && study.largest_strain)
            limit_strain(coupon, *study.largest_strain); // before rows are thinned
        if (history)
            prepare_history(coupon);
        else
            clean_coupon(coupon, test.toe);
        if (!history && study.largest_strain)
            limit_strain(coupon, *study.largest_strain);
        coupon.name = short_name(test.file);
        coupons.push_back(std::move(coupon));
    }
    for (const TimeTest& test : study.time_tests)
        for (TimeCurve& curve :
             parse_time_curves_csv(read_text_file(test.file), test.file.string(), test.request)) {
            curve.name = short_name(test.file);
            time_curves.push_back(std::move(curve));
        }
    Calibration c = calibrate_curves(study, std::move(coupons), std::move(time_curves));
    put_print(c.card, print, study, readings);
    c.card.check();
    c.notes.insert(c.notes.end(), print.notes.begin(), print.notes.end());
    c.findings.insert(c.findings.end(), print.findings.begin(), print.findings.end());
    c.print = std::move(print);
    return c;
}

} // namespace cellgrade
