// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/rank.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double peak_step = 1.05;

/// Small is good; unknown counts as worst.
double key_of(const Candidate& c, RankBy by) {
    const auto known = [](double x) { return std::isnan(x) ? HUGE_VAL : x; };
    switch (by) {
    case RankBy::PeakAcceleration:
        return std::floor(std::log(c.peak_acceleration_g) / std::log(peak_step));
    case RankBy::Mass:
        return c.mass_kg;
    case RankBy::Thickness:
        return c.thickness_m;
    case RankBy::Cost:
        return known(c.cost);
    case RankBy::ThroughView:
        break;
    }
    return std::isnan(c.grade.through_view) ? HUGE_VAL : -c.grade.through_view;
}

std::array<double, 5> goods(const Candidate& c) {
    return {c.peak_acceleration_g, c.mass_kg, c.thickness_m, key_of(c, RankBy::Cost),
            key_of(c, RankBy::ThroughView)};
}

bool dominates(const Candidate& a, const Candidate& b) {
    const std::array<double, 5> x = goods(a), y = goods(b);
    bool better = false;
    for (std::size_t i = 0; i < x.size(); ++i) {
        if (x[i] > y[i])
            return false;
        better = better || x[i] < y[i];
    }
    return better;
}

std::string place_of(const BlowResult& blow) {
    return std::isnan(blow.temperature_C)
               ? blow.impact
               : fmt::format("{} at {:g} C", blow.impact, blow.temperature_C);
}

/// Why a candidate does not pass, by its worst blow.
std::string failure_of(const Candidate& c) {
    const BlowResult* worst = nullptr;
    for (const BlowResult& blow : c.blows)
        if (worst == nullptr || severity(blow.verdict) > severity(worst->verdict) ||
            (blow.verdict == worst->verdict && blow.use > worst->use))
            worst = &blow;
    switch (c.verdict) {
    case LimitVerdict::Unknown:
        return fmt::format("{}: bottoms, a strain of {:.2f}", place_of(*worst),
                           worst->largest_strain);
    case LimitVerdict::NotMet:
        return fmt::format("{}: {} {:.4g} of {:.4g}", place_of(*worst), worst->limit, worst->value,
                           worst->allowed);
    case LimitVerdict::WithinDoubt:
        return std::isnan(worst->high) || worst->high <= worst->allowed
                   ? fmt::format("{}: bottoms when softer by its doubt", place_of(*worst))
                   : fmt::format("{}: {} {:.4g}, with its doubt {:.4g}, of {:.4g}",
                                 place_of(*worst), worst->limit, worst->value, worst->high,
                                 worst->allowed);
    case LimitVerdict::Met:
    case LimitVerdict::MetDoubtUnknown:
        break;
    }
    return "";
}

/// What the first has over one that passes too.
std::string loss_of(const Candidate& c, const Candidate& first, const ZonePlan& plan) {
    for (const RankBy by : plan.rank_by) {
        if (key_of(c, by) == key_of(first, by))
            continue;
        switch (by) {
        case RankBy::PeakAcceleration:
            return fmt::format("passes; peak {:.3g} g against {:.3g} g", c.peak_acceleration_g,
                               first.peak_acceleration_g);
        case RankBy::Mass:
            return fmt::format("passes; {:.3g} g of polymer against {:.3g} g", 1e3 * c.mass_kg,
                               1e3 * first.mass_kg);
        case RankBy::Thickness:
            return fmt::format("passes; {:.3g} mm thick against {:.3g} mm",
                               c.thickness_m / units::mm, first.thickness_m / units::mm);
        case RankBy::Cost:
            return fmt::format("passes; costs {:.3g} against {:.3g}", c.cost, first.cost);
        case RankBy::ThroughView:
            return fmt::format("passes; {:.2g} of the view open against {:.2g}",
                               c.grade.through_view, first.grade.through_view);
        }
    }
    return "passes, as good as the first";
}

} // namespace

bool ranks_before(const Candidate& a, const Candidate& b, const ZonePlan& plan) {
    if (a.verdict != b.verdict)
        return severity(a.verdict) < severity(b.verdict);
    if (a.faults.empty() != b.faults.empty())
        return a.faults.empty();
    if (!is_met(a.verdict))
        return a.use < b.use;
    for (const RankBy by : plan.rank_by)
        if (key_of(a, by) != key_of(b, by))
            return key_of(a, by) < key_of(b, by);
    return a.peak_acceleration_g < b.peak_acceleration_g;
}

void rank_candidates(std::vector<Candidate>& candidates, const ZonePlan& plan) {
    std::stable_sort(
        candidates.begin(), candidates.end(),
        [&](const Candidate& a, const Candidate& b) { return ranks_before(a, b, plan); });
    for (Candidate& c : candidates) {
        c.on_front = c.passes() && std::none_of(candidates.begin(), candidates.end(),
                                                [&](const Candidate& other) {
                                                    return other.passes() && dominates(other, c);
                                                });
        if (!is_met(c.verdict))
            c.reason = failure_of(c);
        else if (!c.faults.empty())
            c.reason = "cannot be printed or washed: " + c.faults.front();
        else if (&c != &candidates.front())
            c.reason = loss_of(c, candidates.front(), plan);
    }
}

void sum_up_blows(Candidate& candidate) {
    candidate.verdict = LimitVerdict::Met;
    candidate.use = candidate.peak_acceleration_g = 0.0;
    for (const BlowResult& blow : candidate.blows) {
        if (severity(blow.verdict) > severity(candidate.verdict))
            candidate.verdict = blow.verdict;
        candidate.use = std::max(candidate.use, blow.use);
        candidate.peak_acceleration_g =
            std::max(candidate.peak_acceleration_g, blow.peak_acceleration_g);
    }
}

} // namespace cellgrade
