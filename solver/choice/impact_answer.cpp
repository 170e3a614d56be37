// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_answer.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

constexpr double round_contact = 3.0; // thicknesses; a wider contact is nearly flat
constexpr double most_doubt = 0.9;    // of a stress; below a tenth nothing would stop the body

std::vector<ImpactRun> runs_of(const GradeResponse& grade,
                               const Pad& pad,
                               const ImpactCase& impact,
                               double factor,
                               double tolerance) {
    Foundation foundation(grade, impact.striker, pad, factor);
    std::vector<ImpactRun> runs;
    for (Index hit = 0; hit < impact.hits; ++hit) {
        foundation.begin_hit(impact.recovery_share);
        runs.push_back(follow_impact(foundation, {.mass_kg = impact.mass_kg,
                                                  .speed_m_per_s = impact.speed_m_per_s,
                                                  .with_weight = impact.with_weight,
                                                  .tolerance = tolerance,
                                                  .result_to_strain = grade.last_strain()}));
    }
    return runs;
}

/// Turn of a hit: the first row of the largest depth.
double rate_at_turn(const ImpactHistory& hit) {
    const auto turn = std::max_element(hit.depth_m.begin(), hit.depth_m.end());
    return hit.strain_rate_per_s[static_cast<std::size_t>(turn - hit.depth_m.begin())];
}

void widen(HitAnswer& answer, const ImpactTraits& other) {
    for (const ImpactField& field : impact_fields()) {
        double& low = answer.low.*field.member;
        double& high = answer.high.*field.member;
        low = std::fmin(low, other.*field.member);
        high = std::fmax(high, other.*field.member);
    }
}

std::vector<HitAnswer>
hits_of(const GradeResponse& grade, const Pad& pad, const ImpactCase& impact, double tolerance) {
    std::vector<HitAnswer> hits;
    for (ImpactRun& run : runs_of(grade, pad, impact, 1.0, tolerance)) {
        HitAnswer hit{.traits = impact_traits(run, impact),
                      .rate_at_touch_per_s = impact.speed_m_per_s / pad.thickness_m,
                      .rate_at_turn_per_s = rate_at_turn(run.history),
                      .bottomed = run.largest_strain > grade.last_strain()};
        hit.run = std::move(run);
        hits.push_back(std::move(hit));
    }
    const double doubt = std::min(grade.uncertainty_share(), most_doubt);
    if (std::isnan(grade.uncertainty_share()))
        return hits;
    for (HitAnswer& hit : hits)
        hit.low = hit.high = hit.traits;
    for (const double factor : {1.0 - doubt, 1.0 + doubt}) {
        const std::vector<ImpactRun> runs = runs_of(grade, pad, impact, factor, tolerance);
        for (std::size_t i = 0; i < runs.size(); ++i) {
            widen(hits[i], impact_traits(runs[i], impact));
            hits[i].softer_bottomed =
                hits[i].softer_bottomed || runs[i].largest_strain > grade.last_strain();
        }
    }
    return hits;
}

std::vector<LimitCheck> checks_of(const std::vector<HitAnswer>& hits, const ImpactLimits& limits) {
    std::vector<LimitCheck> checks;
    const bool bottomed =
        std::any_of(hits.begin(), hits.end(), [](const HitAnswer& h) { return h.bottomed; });
    const bool softer_bottomed =
        std::any_of(hits.begin(), hits.end(), [](const HitAnswer& h) { return h.softer_bottomed; });
    for (const ImpactField& field : impact_fields()) {
        if (field.limit == nullptr || std::isnan(limits.*field.limit))
            continue;
        LimitCheck check{.field = &field,
                         .limit = limits.*field.limit,
                         .value = hits.front().traits.*field.member,
                         .high = hits.front().high.*field.member};
        for (const HitAnswer& hit : hits) {
            check.value = std::fmax(check.value, hit.traits.*field.member);
            check.high = std::fmax(check.high, hit.high.*field.member);
        }
        if (bottomed || std::isnan(check.value))
            check.verdict = LimitVerdict::Unknown;
        else if (check.value > check.limit)
            check.verdict = LimitVerdict::NotMet;
        else if (std::isnan(check.high))
            check.verdict = LimitVerdict::MetDoubtUnknown;
        else
            check.verdict = softer_bottomed || check.high > check.limit ? LimitVerdict::WithinDoubt
                                                                        : LimitVerdict::Met;
        checks.push_back(check);
    }
    return checks;
}

void note_strains(const GradeResponse& grade, ImpactAnswer& answer) {
    for (std::size_t i = 0; i < answer.hits.size(); ++i) {
        const HitAnswer& hit = answer.hits[i];
        const double strain = hit.run.largest_strain;
        const double densified = grade.densification_strain(hit.rate_at_turn_per_s);
        if (hit.bottomed)
            answer.notes.push_back(fmt::format("hit {} bottoms: a strain of {:.3g}, the table ends "
                                               "at {:.3g}; beyond it an invented "
                                               "stiffening was used, and nothing here is a result",
                                               i + 1, strain, grade.last_strain()));
        else if (hit.softer_bottomed)
            answer.notes.push_back(fmt::format(
                "hit {} bottoms when stresses are less by their uncertainty: the table ends at a "
                "strain of {:.3g}",
                i + 1, grade.last_strain()));
        else if (strain > densified)
            answer.notes.push_back(
                fmt::format("hit {} goes past densification: a strain of {:.3g}, "
                            "densification at {:.3g}",
                            i + 1, strain, densified));
    }
}

void note_rates(const GradeResponse& grade, ImpactAnswer& answer) {
    double low = answer.hits.front().rate_at_touch_per_s, high = low;
    for (const HitAnswer& hit : answer.hits) {
        low = std::min(low, hit.rate_at_turn_per_s);
        high = std::max(high, hit.rate_at_touch_per_s);
    }
    constexpr double slack = 1e-9;
    const double lowest = grade.lowest_rate_per_s(), highest = grade.highest_rate_per_s();
    if (low >= lowest * (1.0 - slack) && high <= highest * (1.0 + slack))
        return;
    const std::string held =
        lowest == highest
            ? fmt::format("knows {:.3g} 1/s only, which is used throughout", lowest)
            : fmt::format("knows {:.3g} to {:.3g} 1/s and its ends are held", lowest, highest);
    answer.notes.push_back(
        fmt::format("strain rates of {:.3g} to {:.3g} 1/s occur; the table {}", low, high, held));
}

void note_layers(const GradeResponse& grade, ImpactAnswer& answer) {
    answer.notes.emplace_back("layers carry the same stress, each as stiff as in its own crush");
    double largest = 0.0;
    for (const HitAnswer& hit : answer.hits)
        largest =
            std::max(largest, grade.stress_Pa(hit.run.largest_strain, hit.rate_at_turn_per_s));
    if (largest > grade.layers_known_to_Pa())
        answer.notes.push_back(fmt::format(
            "a layer is pressed past the end of its curve ({:.3g} MPa, {:.3g} MPa occur) and taken "
            "as rigid there: peaks come out high, against a full drop by up to a third; crush its "
            "grade further",
            grade.layers_known_to_Pa() / units::MPa, largest / units::MPa));
}

void note_assumptions(const GradeResponse& grade,
                      const GradePad& pad,
                      const ImpactCase& impact,
                      const TableCaveats& caveats,
                      ImpactAnswer& answer) {
    if (!grade.unloads())
        answer.notes.emplace_back("the table does not unload: the way back is taken as elastic, so "
                                  "rebound, pulse and injury criteria are upper bounds");
    double depth = 0.0;
    for (const HitAnswer& hit : answer.hits)
        depth = std::max(depth, hit.traits.largest_depth_m);
    const double contact_radius = std::sqrt(impact.striker.area_at(depth) / std::numbers::pi);
    if (impact.striker.shape != StrikerShape::Flat &&
        impact.striker.area_at(depth) <= pad.pad.area_m2 &&
        contact_radius < round_contact * pad.pad.thickness_m)
        answer.notes.push_back(fmt::format(
            "the contact reaches {:.2g} thicknesses from its middle, and columns do not pull at "
            "their neighbours: against full drops at 0.8 to 2.1 thicknesses depth was 2 to 30 % "
            "and "
            "peak 4 to 16 % too high, most for cells stiff in shear; compare `cellgrade drop "
            "--against`",
            contact_radius / pad.pad.thickness_m));
    if (impact.striker.shape != StrikerShape::Flat &&
        impact.striker.area_at(depth) > pad.pad.area_m2)
        answer.notes.push_back(fmt::format("the contact outgrows the pad: {:.4g} of {:.4g} mm2",
                                           impact.striker.area_at(depth) * 1e6,
                                           pad.pad.area_m2 * 1e6));
    if (pad.layers.size() > 1)
        note_layers(grade, answer);
    if (impact.hits > 1)
        answer.notes.push_back(fmt::format(
            "later hits assume that a pad loads again as it unloaded, recovery {:.3g}: no table "
            "tells it, not verified",
            impact.recovery_share));
    if (impact.oblique.tangential_speed_m_per_s > 0.0)
        answer.notes.emplace_back(
            "turning by friction alone: resistance of the pad to shear and the "
            "neck are left out");
    if (impact.oblique.tangential_speed_m_per_s > 0.0 && impact.oblique.axis == HeadAxis::Unknown)
        answer.notes.emplace_back("bric for the most sensitive axis: no rotation_axis was given");
    if (!caveats.outside_card.empty())
        answer.notes.push_back(fmt::format(
            "curves lean on the polymer's law beyond its tests, which no interval holds: {}",
            caveats.outside_card));
    if (std::isnan(grade.uncertainty_share()))
        answer.notes.emplace_back("no interval: the table has no uncertainty of plateau stress and "
                                  "energy at this grade");
    else if (!caveats.not_estimated.empty())
        answer.notes.push_back(fmt::format("not in the interval, not estimated in the table: {}",
                                           caveats.not_estimated));
    if (grade.uncertainty_share() > most_doubt)
        answer.notes.push_back(
            fmt::format("the table's doubt of {:.2g} of the stress is cut to {:g}",
                        grade.uncertainty_share(), most_doubt));
}

} // namespace

std::string verdict_name(LimitVerdict verdict) {
    static const std::array<std::string, 5> names{"met", "met, doubt not known", "within doubt",
                                                  "not met", "unknown: bottomed"};
    return names[static_cast<std::size_t>(verdict)];
}

bool ImpactAnswer::bottomed() const {
    return std::any_of(hits.begin(), hits.end(), [](const HitAnswer& h) { return h.bottomed; });
}

std::vector<ImpactAnswer> answer_impact(const GradeCurves& curves,
                                        const GradePad& pad,
                                        const ImpactCase& impact,
                                        const TableCaveats& caveats,
                                        double tolerance) {
    impact.check();
    std::vector<double> temperatures = impact.temperatures_C;
    if (temperatures.empty())
        temperatures.push_back(std::numeric_limits<double>::quiet_NaN());
    std::vector<ImpactAnswer> answers;
    for (const double celsius : temperatures) {
        const GradeResponse grade = pad.layers.empty()
                                        ? GradeResponse(curves, pad.relative_density, celsius)
                                        : layered_response(curves, pad.layers, celsius);
        ImpactAnswer answer{.impact = impact.name,
                            .temperature_C = celsius,
                            .hits = hits_of(grade, pad.pad, impact, tolerance),
                            .checks = {},
                            .notes = {}};
        answer.checks = checks_of(answer.hits, impact.limits);
        note_strains(grade, answer);
        note_rates(grade, answer);
        note_assumptions(grade, pad, impact, caveats, answer);
        answers.push_back(std::move(answer));
    }
    return answers;
}

} // namespace cellgrade
