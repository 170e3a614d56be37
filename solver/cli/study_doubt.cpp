// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_doubt.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace cellgrade {

namespace {

constexpr double least_size_ratio = 1.1; // of meshes whose counts of elements are whole numbers

std::string& why_not(CaseDoubt& c, DoubtPart part) {
    return c.why_not[static_cast<std::size_t>(part)];
}

double element_size(const SpecimenMesh& mesh) {
    const auto n = static_cast<double>(n_elements(mesh));
    return beams(mesh) != nullptr ? 1.0 / n : 1.0 / std::cbrt(n);
}

bool is_impact(const StudyConfig& study) {
    return study.loading.speed_m_per_s.has_value();
}

/// Equal, or both unknown.
bool same(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}

/// About the elements of a varied case, from its cells and their refinement.
Index elements_of(const StudyCase& base, const StudyConfig& varied) {
    double factor = varied.specimen.element_refinement / base.study.specimen.element_refinement;
    if (beams(base.setup.mesh) == nullptr)
        factor *= factor * factor;
    for (std::size_t axis = 0; axis < 3; ++axis)
        factor *= static_cast<double>(varied.specimen.tiles[axis]) /
                  static_cast<double>(base.study.specimen.tiles[axis]);
    return static_cast<Index>(factor * static_cast<double>(n_elements(base.setup.mesh)));
}

/// Cases that differ in density alone.
bool one_family(const GradeCase& a, const GradeCase& b) {
    return a.cell == b.cell && a.polymer == b.polymer && same(a.speed_m_per_s, b.speed_m_per_s) &&
           (!std::isnan(a.speed_m_per_s) || same(a.strain_rate_per_s, b.strain_rate_per_s)) &&
           a.direction == b.direction && same(a.temperature_C, b.temperature_C) &&
           a.load == b.load && a.precompression == b.precompression &&
           a.path_angle_deg == b.path_angle_deg;
}

bool prints_scatter(const PolymerCard& card) {
    const auto& p = card.print;
    return p && (p->void_fraction || (p->diameter_offset && p->diameter_offset->scatter) ||
                 (p->build_direction_factor && p->build_direction_factor->scatter));
}

class Planner {
public:
    Planner(const UncertaintyChoice& choice, std::span<const StudyCase> cases) : cases_(cases) {
        plan_.choice = choice;
        plan_.cases.resize(cases.size());
    }

    DoubtPlan plan() {
        if (plan_.choice.parts.empty())
            return std::move(plan_);
        if (plan_.choice.cases == DoubtCases::Middle)
            carry();
        for (std::size_t i = 0; i < cases_.size(); ++i)
            if (!plan_.cases[i].carried_from)
                vary(i);
        return std::move(plan_);
    }

private:
    /// All but the middle density of a family take its shares.
    void carry() {
        std::vector<bool> seen(cases_.size(), false);
        for (std::size_t i = 0; i < cases_.size(); ++i) {
            if (seen[i])
                continue;
            std::vector<std::size_t> family;
            for (std::size_t k = i; k < cases_.size(); ++k)
                if (one_family(cases_[i].grade, cases_[k].grade))
                    family.push_back(k);
            std::stable_sort(family.begin(), family.end(), [this](std::size_t a, std::size_t b) {
                return cases_[a].grade.relative_density < cases_[b].grade.relative_density;
            });
            const std::size_t middle = family[(family.size() - 1) / 2];
            for (const std::size_t k : family) {
                seen[k] = true;
                if (k != middle)
                    plan_.cases[k].carried_from = middle;
            }
        }
    }

    void vary(std::size_t i) {
        const UncertaintyChoice& choice = plan_.choice;
        if (choice.has(DoubtPart::Mesh))
            vary_mesh(i);
        if (choice.has(DoubtPart::Specimen))
            vary_specimen(i);
        if (choice.has(DoubtPart::Rate))
            vary_rate(i);
        if (choice.has(DoubtPart::Friction))
            vary_friction(i);
        if (choice.has(DoubtPart::Polymer))
            vary_polymer(i);
        if (choice.has(DoubtPart::Print))
            vary_print(i);
    }

    void add(std::size_t i, DoubtPart part, std::string what, double amount, StudyConfig study) {
        GradeCase grade = cases_[i].grade;
        grade.key = study_key(study);
        const Index elements = elements_of(cases_[i], study);
        const auto [place, is_new] = by_key_.try_emplace(grade.key, plan_.runs.size());
        if (is_new)
            plan_.runs.push_back(
                {.study = std::move(study), .grade = std::move(grade), .elements = elements});
        plan_.cases[i].variants.push_back({part, std::move(what), amount, place->second});
    }

    void vary_mesh(std::size_t i) {
        CaseDoubt& c = plan_.cases[i];
        c.element_size = element_size(cases_[i].setup.mesh);
        std::vector<double> sizes{c.element_size};
        for (const double factor : plan_.choice.mesh_refinements) {
            StudyConfig study = cases_[i].study;
            study.specimen.element_refinement *= factor;
            double size = 0.0;
            try {
                size = element_size(prepare_case(study).setup.mesh);
            } catch (const Error& e) {
                why_not(c, DoubtPart::Mesh) =
                    fmt::format("elements {:g} times smaller: {}", factor, e.what());
                return;
            }
            const bool near = std::any_of(sizes.begin(), sizes.end(), [size](double s) {
                return std::max(s, size) < least_size_ratio * std::min(s, size);
            });
            if (near) {
                c.notes.push_back(fmt::format("mesh: elements {:g} times smaller come out as those "
                                              "of another mesh and were left out",
                                              factor));
                continue;
            }
            sizes.push_back(size);
            add(i, DoubtPart::Mesh, fmt::format("elements {:g} times smaller", factor), size,
                std::move(study));
        }
        if (sizes.size() == 1)
            why_not(c, DoubtPart::Mesh) = "the refinements change no element";
    }

    void vary_specimen(std::size_t i) {
        CaseDoubt& c = plan_.cases[i];
        const SpecimenChoice& own = cases_[i].study.specimen;
        const bool sideways = is_impact(cases_[i].study) || !own.layer_relative_densities.empty();
        const std::size_t axes = sideways ? 2 : 3;
        const auto across = [axes](const std::array<Index, 3>& tiles) {
            return static_cast<double>(*std::min_element(tiles.begin(), tiles.begin() + axes));
        };
        c.cells = across(own.tiles);
        for (const double factor : plan_.choice.specimen_factors) {
            StudyConfig study = cases_[i].study;
            for (std::size_t k = 0; k < axes; ++k)
                study.specimen.tiles[k] = static_cast<Index>(std::lround(factor * own.tiles[k]));
            const double cells = across(study.specimen.tiles);
            add(i, DoubtPart::Specimen, fmt::format("{:g} times as many cells", factor), cells,
                std::move(study));
        }
        if (sideways)
            c.notes.emplace_back("specimen: more cells sideways only");
    }

    void vary_rate(std::size_t i) {
        StudyConfig study = cases_[i].study;
        if (is_impact(study)) {
            why_not(plan_.cases[i], DoubtPart::Rate) =
                "does not apply to an impact, whose inertia is part of the result";
            return;
        }
        if (study.numerics.solver_speed_m_per_s)
            *study.numerics.solver_speed_m_per_s *= slower_share;
        else
            study.solver_speed_share *= slower_share;
        // A case that slowed itself down would else meet its variant at the same speed.
        study.limits.kinetic_share *= slower_share * slower_share;
        study.limits.platen_balance *= slower_share;
        add(i, DoubtPart::Rate, fmt::format("platen speed times {:g}", slower_share), slower_share,
            std::move(study));
    }

    void vary_friction(std::size_t i) {
        const CrushSetup& setup = cases_[i].setup;
        for (const double value : {plan_.choice.friction_low, plan_.choice.friction_high}) {
            if (setup.platen_friction == value && setup.strut_friction == value)
                continue;
            StudyConfig study = cases_[i].study;
            study.platen_friction = study.strut_friction = value;
            add(i, DoubtPart::Friction, fmt::format("friction {:g}", value), value,
                std::move(study));
        }
    }

    void vary_polymer(std::size_t i) {
        CaseDoubt& c = plan_.cases[i];
        std::vector<CardChange> changes;
        if (plan_.choice.polymer_stiffness_share) {
            changes.push_back({"stiffness", *plan_.choice.polymer_stiffness_share});
        } else {
            const PolymerCard card = find_card(cases_[i].study.polymer);
            const CardDoubts doubts = card_doubts(card);
            changes = doubts.values;
            for (const std::string& key : doubts.undetermined)
                c.notes.push_back(
                    fmt::format("polymer: {} was not determined by the tests and is not "
                                "in the uncertainty",
                                key));
            if (changes.empty())
                why_not(c, DoubtPart::Polymer) = fmt::format(
                    "the card '{}' has no intervals; polymer_stiffness_share is needed", card.name);
        }
        for (const CardChange& change : changes) {
            StudyConfig study = cases_[i].study;
            study.card_change = change;
            const std::string what = fmt::format("{} moved by {:.3g}", change.key, change.by);
            try {
                add(i, DoubtPart::Polymer, what, change.by, std::move(study));
            } catch (const Error& e) { // such as shares that add up to more than 1
                why_not(c, DoubtPart::Polymer) = fmt::format("{}: {}", what, e.message());
                std::erase_if(c.variants,
                              [](const DoubtVariant& v) { return v.part == DoubtPart::Polymer; });
                return;
            }
        }
    }

    void vary_print(std::size_t i) {
        CaseDoubt& c = plan_.cases[i];
        const StudyConfig& own = cases_[i].study;
        const bool struts = beams(cases_[i].setup.mesh) != nullptr;
        const auto share = [&](double of_specimen, double of_prints) {
            return of_specimen > 0.0 || !struts ? of_specimen : of_prints;
        };
        const double offset = share(own.specimen.node_offset_share, plan_.choice.node_offset_share);
        const double scatter =
            share(own.specimen.diameter_scatter, plan_.choice.diameter_scatter_share);
        const bool by_card = !own.printed.as_drawn && prints_scatter(find_card(own.polymer));
        if (offset == 0.0 && scatter == 0.0 && !by_card) {
            why_not(c, DoubtPart::Print) =
                struts ? "neither card nor study says how prints scatter (node_offset_share, "
                         "diameter_scatter_share)"
                       : "the card does not say how prints scatter, and shares of a study are "
                         "known for beams only";
            return;
        }
        for (Index k = 1; k <= plan_.choice.seeds; ++k) {
            StudyConfig study = own;
            study.specimen.node_offset_share = offset;
            study.specimen.diameter_scatter = scatter;
            if (offset > 0.0 || scatter > 0.0)
                study.specimen.seed += k;
            if (by_card)
                study.printed.scatter_seed = own.printed.scatter_seed.value_or(0) + k;
            add(i, DoubtPart::Print, fmt::format("print {}", k), k, std::move(study));
        }
    }

    std::span<const StudyCase> cases_;
    DoubtPlan plan_;
    std::map<std::string, std::size_t> by_key_;
};

} // namespace

DoubtPlan plan_doubt(const UncertaintyChoice& choice, std::span<const StudyCase> cases) {
    return Planner(choice, cases).plan();
}

} // namespace cellgrade
