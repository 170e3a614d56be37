// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/zone_choice.hpp"

#include "solver/choice/rank.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <exception>
#include <map>
#include <set>

namespace cellgrade {

namespace {

/// Curves of one cell in one polymer, and the grades that are tried.
struct Family {
    GradeCurves curves;
    TableCaveats caveats;
    std::vector<ChoiceGrade> grades;
};

bool is_pressed_along_z(const GradeRow& row) {
    return row.grade.load == CaseLoad::Compression &&
           row.grade.direction == std::array<Index, 3>{0, 0, 1};
}

/// Grades of the rows, density rising, with those between.
std::vector<ChoiceGrade>
grades_of(const GradeTable& table, const GradeSelection& selection, Index between) {
    std::map<double, ChoiceGrade> known;
    for (const GradeRow& row : table.rows)
        if (is_pressed_along_z(row) && row.status == "trusted" &&
            row.grade.cell == selection.cell && row.grade.polymer == selection.polymer)
            known[row.grade.relative_density] = {.selection = selection,
                                                 .relative_density = row.grade.relative_density,
                                                 .density_kg_per_m3 = row.density_kg_per_m3,
                                                 .strut_diameter_m = row.grade.strut_diameter_m};
    std::vector<ChoiceGrade> grades;
    for (const auto& [density, grade] : known) {
        if (!grades.empty()) {
            const ChoiceGrade low = grades.back();
            for (Index i = 1; i <= between; ++i) { // even steps of the logarithm
                const double t = static_cast<double>(i) / (between + 1);
                const auto mean = [&](double a, double b) {
                    return a > 0.0 && b > 0.0 ? a * std::pow(b / a, t) : 0.0;
                };
                grades.push_back(
                    {.selection = selection,
                     .relative_density = mean(low.relative_density, density),
                     .density_kg_per_m3 = mean(low.density_kg_per_m3, grade.density_kg_per_m3),
                     .strut_diameter_m = mean(low.strut_diameter_m, grade.strut_diameter_m),
                     .between = true});
            }
        }
        grades.push_back(grade);
    }
    return grades;
}

std::vector<Family> families_of(const GradeTable& table,
                                const ZonePlan& plan,
                                const ChoiceHooks& hooks,
                                std::vector<std::string>& left_out) {
    std::set<std::pair<std::string, std::string>> tried;
    std::vector<Family> families;
    for (const GradeRow& row : table.rows) {
        if (!is_pressed_along_z(row) || !tried.insert({row.grade.cell, row.grade.polymer}).second)
            continue;
        const GradeSelection selection{.cell = row.grade.cell, .polymer = row.grade.polymer};
        std::vector<ChoiceGrade> grades = grades_of(table, selection, plan.densities_between);
        if (grades.empty()) {
            left_out.push_back(fmt::format("{}: no trusted grade", row.grade.cell));
            continue;
        }
        if (hooks.describe)
            for (ChoiceGrade& grade : grades)
                hooks.describe(grade);
        Family family{.curves = GradeCurves(table, selection),
                      .caveats = table_caveats(table, selection),
                      .grades = std::move(grades)};
        for (const std::string& reason : family.curves.left_out())
            left_out.push_back(reason);
        families.push_back(std::move(family));
    }
    CELLGRADE_CHECK(!families.empty(),
                    "the table has no trusted compression along [001] to choose from");
    return families;
}

/// A blow and whose it is.
struct Blows {
    std::vector<ImpactCase> cases;
    std::vector<std::string> wearers; ///< one a case; empty: nobody's
};

template <class Named>
const Named& by_name(const std::vector<Named>& all, const std::string& name) {
    return *std::find_if(all.begin(), all.end(), [&](const Named& n) { return n.name == name; });
}

Blows blows_of(const ZonePlan& plan, const Zone& zone) {
    Blows out;
    for (const std::string& impact : zone.impacts) {
        const ImpactDraft& draft = by_name(plan.impacts, impact);
        if (zone.wearers.empty()) {
            out.cases.push_back(impact_on(draft, nullptr, zone));
            out.wearers.emplace_back();
        }
        for (const std::string& name : zone.wearers) {
            out.cases.push_back(impact_on(draft, &by_name(plan.wearers, name), zone));
            out.wearers.push_back(name);
        }
    }
    return out;
}

struct Trial {
    const Family* family;
    ChoiceGrade grade;
    double thickness_m;
};

/// Every choice of `count` different grades, density rising in each.
std::vector<std::vector<ChoiceGrade>> subsets(const std::vector<ChoiceGrade>& grades, Index count) {
    std::vector<std::vector<ChoiceGrade>> out;
    std::vector<bool> taken(grades.size(), false);
    if (static_cast<std::size_t>(count) > grades.size())
        return out;
    std::fill(taken.begin(), taken.begin() + count, true);
    do {
        std::vector<ChoiceGrade> subset;
        for (std::size_t i = 0; i < grades.size(); ++i)
            if (taken[i])
                subset.push_back(grades[i]);
        out.push_back(std::move(subset));
    } while (std::prev_permutation(taken.begin(), taken.end()));
    return out;
}

/// Grades alone, and layers of those that are in the table.
std::vector<ChoiceGrade> pads_of(const Family& family, const Zone& zone) {
    std::vector<ChoiceGrade> pads, in_table;
    for (const ChoiceGrade& grade : family.grades)
        if (!grade.between)
            in_table.push_back(grade);
    for (const Index layers : zone.layers) {
        if (layers == 1)
            pads.insert(pads.end(), family.grades.begin(), family.grades.end());
        else
            for (const std::vector<ChoiceGrade>& subset : subsets(in_table, layers))
                pads.push_back(layered_grade(subset));
    }
    return pads;
}

std::vector<Trial> trials_of(const std::vector<Family>& families, const Zone& zone) {
    std::vector<Trial> trials;
    for (const Family& family : families)
        for (const ChoiceGrade& pad : pads_of(family, zone))
            for (const double thickness : zone.thicknesses_m)
                trials.push_back({&family, pad, thickness});
    CELLGRADE_CHECK(!trials.empty(),
                    "zone {}: no cell of the table has as many trusted grades as layers are asked "
                    "for",
                    zone.name);
    return trials;
}

/// Blows of all zones, and how many of them have been struck.
struct Work {
    std::size_t total = 0, done = 0;
    [[nodiscard]] double share() const {
        return static_cast<double>(done) / static_cast<double>(total);
    }
};

/// All trials on all threads; the first failure ends them.
std::vector<Candidate> judged(const std::vector<Trial>& trials,
                              const Zone& zone,
                              const Blows& blows,
                              const ZonePlan& plan,
                              const ChoiceHooks& hooks,
                              Work& work) {
    std::vector<Candidate> candidates(trials.size());
    std::exception_ptr failure;
#pragma omp parallel for schedule(dynamic)
    for (std::size_t i = 0; i < trials.size(); ++i) {
        try {
            candidates[i] = judge_candidate(trials[i].family->curves, trials[i].grade, zone,
                                            trials[i].thickness_m, blows.cases, plan,
                                            trials[i].family->caveats);
        } catch (...) {
#pragma omp critical(choice_failure)
            failure = std::current_exception();
        }
#pragma omp critical(choice_progress)
        {
            work.done += blows.cases.size();
            if (hooks.progress)
                hooks.progress(zone.name, work.share());
        }
    }
    if (failure)
        std::rethrow_exception(failure);
    return candidates;
}

void add_bounds(const Blows& blows, ZoneChoice& choice) {
    const double thickest = choice.zone.thicknesses_m.back();
    for (const ImpactCase& blow : blows.cases) {
        choice.bounds.push_back({.impact = blow.name,
                                 .thickness_m = thickest,
                                 .speed_m_per_s = blow.speed_m_per_s,
                                 .mass_kg = blow.mass_kg,
                                 .ideal = ideal_pad(blow, thickest)});
        const IdealPad& ideal = choice.bounds.back().ideal;
        if (ideal.impossible && choice.impossible.empty())
            choice.impossible =
                fmt::format("{}: no pad of {:.3g} mm can. Even one that stops the body by a "
                            "constant force over "
                            "all of its thickness gives {:.4g} g and {:.4g} kN (v^2/2s); at least "
                            "{:.3g} mm are "
                            "needed for the limit, and a real pad needs more",
                            blow.name, thickest / units::mm, ideal.peak_acceleration_g,
                            1e-3 * ideal.peak_force_N, ideal.least_thickness_m / units::mm);
    }
}

/// The best for each wearer alone, by the same order.
void add_for_one(const Blows& blows, const ZonePlan& plan, ZoneChoice& choice) {
    for (const std::string& wearer : choice.zone.wearers) {
        std::vector<Candidate> own = choice.ranked;
        for (Candidate& c : own) {
            std::vector<BlowResult> kept;
            for (std::size_t b = 0; b < c.blows.size(); ++b)
                if (blows.wearers[b] == wearer)
                    kept.push_back(c.blows[b]);
            c.blows = std::move(kept);
            sum_up_blows(c);
        }
        const auto best =
            std::min_element(own.begin(), own.end(), [&](const Candidate& x, const Candidate& y) {
                return ranks_before(x, y, plan);
            });
        choice.for_one.push_back(
            {.wearer = wearer,
             .best = best->passes() ? static_cast<Index>(best - own.begin()) : -1});
    }
}

/// One change at a time on the first of the ranked.
void add_help(const std::vector<Trial>& trials,
              const Blows& blows,
              const ZonePlan& plan,
              ZoneChoice& choice) {
    const Candidate& base = choice.ranked.front();
    const auto add = [&](std::string change, const Candidate& with) {
        if (severity(with.verdict) > severity(base.verdict) || !with.faults.empty() ||
            (with.verdict == base.verdict && with.use >= base.use))
            return;
        choice.help.push_back({.change = std::move(change),
                               .use_before = base.use,
                               .use = with.use,
                               .verdict = with.verdict});
    };
    const auto trial = std::find_if(trials.begin(), trials.end(), [&](const Trial& t) {
        return t.grade.label() == base.grade.label();
    });
    constexpr double thicker = 1.2;
    add(fmt::format("{:.3g} mm thicker", (thicker - 1.0) * base.thickness_m / units::mm),
        judge_candidate(trial->family->curves, base.grade, choice.zone, thicker * base.thickness_m,
                        blows.cases, plan, trial->family->caveats));
    const Candidate *lighter = nullptr, *denser = nullptr, *other = nullptr;
    for (const Candidate& c : choice.ranked) {
        if (c.thickness_m != base.thickness_m)
            continue;
        const double rb = c.grade.relative_density, base_rb = base.grade.relative_density;
        if (c.grade.selection.cell != base.grade.selection.cell) {
            if (other == nullptr || severity(c.verdict) < severity(other->verdict) ||
                (c.verdict == other->verdict && c.use < other->use))
                other = &c;
        } else if (rb < base_rb && (lighter == nullptr || rb > lighter->grade.relative_density)) {
            lighter = &c;
        } else if (rb > base_rb && (denser == nullptr || rb < denser->grade.relative_density)) {
            denser = &c;
        }
    }
    if (lighter != nullptr)
        add(fmt::format("lighter: {}", lighter->grade.label()), *lighter);
    if (denser != nullptr)
        add(fmt::format("denser: {}", denser->grade.label()), *denser);
    if (other != nullptr)
        add(fmt::format("another cell: {}", other->grade.label()), *other);
    std::stable_sort(choice.help.begin(), choice.help.end(), [](const Help& a, const Help& b) {
        return severity(a.verdict) != severity(b.verdict)
                   ? severity(a.verdict) < severity(b.verdict)
                   : a.use < b.use;
    });
}

} // namespace

std::vector<ZoneChoice>
choose_grades(const GradeTable& table, const ZonePlan& plan, const ChoiceHooks& hooks) {
    std::vector<std::string> left_out;
    const std::vector<Family> families = families_of(table, plan, hooks, left_out);
    std::vector<ZoneChoice> choices;
    Work work;
    for (const Zone& zone : plan.zones)
        work.total += trials_of(families, zone).size() * blows_of(plan, zone).cases.size();
    for (const Zone& zone : plan.zones) {
        ZoneChoice choice{.zone = zone, .left_out = left_out};
        const Blows blows = blows_of(plan, zone);
        const std::vector<Trial> trials = trials_of(families, zone);
        choice.ranked = judged(trials, zone, blows, plan, hooks, work);
        rank_candidates(choice.ranked, plan);
        choice.chosen = choice.ranked.front().passes();
        add_bounds(blows, choice);
        add_for_one(blows, plan, choice);
        add_help(trials, blows, plan, choice);
        choices.push_back(std::move(choice));
    }
    return choices;
}

} // namespace cellgrade
