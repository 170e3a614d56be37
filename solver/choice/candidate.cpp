// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/candidate.hpp"

#include "solver/choice/rank.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double settled_enough = 1e-3; // grades are told apart by per cents

double use_of(const LimitCheck& check) {
    return std::fmax(check.high, check.value) / check.limit;
}

void take_peaks(const ImpactAnswer& answer, BlowResult& out) {
    for (const HitAnswer& hit : answer.hits) {
        out.peak_acceleration_g = std::max(out.peak_acceleration_g, hit.traits.peak_acceleration_g);
        out.peak_acceleration_high_g =
            std::fmax(out.peak_acceleration_high_g,
                      std::fmax(hit.high.peak_acceleration_g, hit.traits.peak_acceleration_g));
        out.largest_strain = std::max(out.largest_strain, hit.run.largest_strain);
    }
}

/// Whether an answer without limits is one to build on.
LimitVerdict verdict_without_limits(const ImpactAnswer& answer) {
    return answer.bottomed() ? LimitVerdict::Unknown : LimitVerdict::Met;
}

BlowResult worst_of(const std::vector<ImpactAnswer>& answers) {
    BlowResult out{.impact = answers.front().impact, .verdict = LimitVerdict::Met};
    bool first = true;
    for (const ImpactAnswer& answer : answers) {
        take_peaks(answer, out);
        const auto worse = [&](LimitVerdict verdict, double use) {
            return first || severity(verdict) > severity(out.verdict) ||
                   (severity(verdict) == severity(out.verdict) && use > out.use);
        };
        if (answer.checks.empty() && worse(verdict_without_limits(answer), 0.0)) {
            out.verdict = verdict_without_limits(answer);
            out.temperature_C = answer.temperature_C;
            out.notes = answer.notes;
            first = false;
        }
        for (const LimitCheck& check : answer.checks) {
            const double use = use_of(check);
            if (!worse(check.verdict, use))
                continue;
            first = false;
            out.verdict = check.verdict;
            out.temperature_C = answer.temperature_C;
            out.limit = check.field->readable_name;
            out.value = check.value;
            out.high = check.high;
            out.allowed = check.limit;
            out.use = use;
            out.notes = answer.notes;
        }
    }
    for (const ImpactAnswer& answer : answers)
        for (const LimitCheck& check : answer.checks)
            out.use = std::max(out.use, use_of(check));
    return out;
}

std::vector<std::string> faults_of(const ChoiceGrade& grade, const ZonePlan& plan) {
    std::vector<std::string> faults;
    if (plan.least_strut_m > 0.0 && grade.strut_diameter_m > 0.0 &&
        grade.strut_diameter_m < plan.least_strut_m)
        faults.push_back(fmt::format("struts of {:.2f} mm, {:.2f} mm print",
                                     grade.strut_diameter_m / units::mm,
                                     plan.least_strut_m / units::mm));
    if (plan.least_opening_m > 0.0 && grade.opening_m < plan.least_opening_m)
        faults.push_back(fmt::format("openings of {:.2f} mm, {:.2f} mm are needed",
                                     grade.opening_m / units::mm,
                                     plan.least_opening_m / units::mm));
    if (plan.least_through_view > 0.0 && grade.through_view < plan.least_through_view)
        faults.push_back(fmt::format("{:.0f} % of the view is open, {:.0f} % are needed",
                                     100.0 * grade.through_view, 100.0 * plan.least_through_view));
    return faults;
}

} // namespace

int severity(LimitVerdict verdict) {
    switch (verdict) {
    case LimitVerdict::Met:
        return 0;
    case LimitVerdict::MetDoubtUnknown:
        return 1;
    case LimitVerdict::WithinDoubt:
        return 2;
    case LimitVerdict::NotMet:
        return 3;
    case LimitVerdict::Unknown:
        break;
    }
    return 4;
}

std::string ChoiceGrade::label() const {
    std::string text = fmt::format("{} {:.3g}", selection.cell, relative_density);
    if (layers.empty())
        return text;
    text = selection.cell;
    for (std::size_t i = 0; i < layers.size(); ++i)
        text += fmt::format("{} {:.3g}", i == 0 ? "" : " +", layers[i].relative_density);
    return text;
}

ChoiceGrade layered_grade(const std::vector<ChoiceGrade>& grades) {
    ChoiceGrade out = grades.front();
    out.relative_density = out.density_kg_per_m3 = 0.0;
    const double share = 1.0 / static_cast<double>(grades.size());
    const auto least = [](double& to, double value) { // not known of one: not known of all
        to = std::isnan(to) || std::isnan(value) ? std::nan("") : std::min(to, value);
    };
    for (const ChoiceGrade& grade : grades) {
        out.layers.push_back({grade.relative_density, share});
        out.relative_density += share * grade.relative_density;
        out.density_kg_per_m3 += share * grade.density_kg_per_m3;
        out.between = out.between || grade.between;
        least(out.strut_diameter_m, grade.strut_diameter_m);
        least(out.through_view, grade.through_view);
        least(out.opening_m, grade.opening_m);
    }
    return out;
}

std::string Candidate::label() const {
    return fmt::format("{}, {:.3g} mm", grade.label(), thickness_m / units::mm);
}

Candidate judge_candidate(const GradeCurves& curves,
                          const ChoiceGrade& grade,
                          const Zone& zone,
                          double thickness_m,
                          const std::vector<ImpactCase>& blows,
                          const ZonePlan& plan,
                          const TableCaveats& caveats) {
    Candidate out{.grade = grade, .thickness_m = thickness_m};
    out.mass_kg = grade.density_kg_per_m3 * zone.area_m2 * thickness_m;
    out.cost = plan.price_per_kg * out.mass_kg;
    out.faults = faults_of(grade, plan);
    const GradePad pad{.relative_density = grade.relative_density,
                       .pad = {.thickness_m = thickness_m, .area_m2 = zone.area_m2},
                       .layers = grade.layers};
    for (const ImpactCase& blow : blows)
        out.blows.push_back(worst_of(answer_impact(curves, pad, blow, caveats, settled_enough)));
    sum_up_blows(out);
    return out;
}

} // namespace cellgrade
