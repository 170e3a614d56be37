// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_doubt.hpp"
#include "solver/grades/doubt_parts.hpp"
#include "solver/grades/mesh_convergence.hpp"
#include "solver/grades/trait_fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

using Member = double CrushTraits::*;

constexpr double told_share = 1e-3; // of a trait: below, how it converges is not worth a word

/// The variants of one part of one case with their rows.
struct PartRuns {
    std::vector<const DoubtVariant*> variants;
    std::vector<const GradeRow*> rows;

    [[nodiscard]] std::vector<double> values(Member member) const {
        std::vector<double> all;
        for (const GradeRow* row : rows)
            all.push_back(row->traits.*member);
        return all;
    }
};

bool all_finite(const std::vector<double>& values) {
    for (const double v : values)
        if (!std::isfinite(v))
            return false;
    return true;
}

class RowMerge {
public:
    RowMerge(const CaseDoubt& plan, GradeRow& row, std::span<const GradeRow> runs)
        : plan_(plan), row_(row), runs_(runs) {
        row_.uncertainty.assign(trait_fields().size(), TraitUncertainty());
    }

    /// What is to be told beside the numbers.
    std::vector<std::string> merge(const std::vector<DoubtPart>& parts) {
        notes_ = plan_.notes;
        for (const DoubtPart part : parts)
            if (const std::string& why = plan_.why_not[static_cast<std::size_t>(part)];
                !why.empty())
                notes_.push_back(fmt::format("{} not estimated: {}", part_name(part), why));
            else
                merge_part(part);
        return notes_;
    }

private:
    PartRuns runs_of(DoubtPart part) {
        PartRuns p;
        for (const DoubtVariant& v : plan_.variants)
            if (v.part == part) {
                p.variants.push_back(&v);
                p.rows.push_back(&runs_[v.run]);
            }
        return p;
    }

    /// Whether a run of tightened limits breaks none of those of the case itself.
    [[nodiscard]] bool meets_own_limits(const GradeRow& run) const {
        if (run.status == "failed")
            return false;
        for (const GuardResult& guard : run.guards) {
            const auto own =
                std::find_if(row_.guards.begin(), row_.guards.end(),
                             [&guard](const GuardResult& g) { return g.name == guard.name; });
            if (guard.enforced && !guard.met &&
                (own == row_.guards.end() || guard.value > own->limit))
                return false;
        }
        return true;
    }

    /// Whether all runs can be used; says why not.
    bool trusted(DoubtPart part, const PartRuns& p) {
        for (std::size_t i = 0; i < p.rows.size(); ++i)
            if (p.rows[i]->status != "trusted" &&
                !(part == DoubtPart::Rate && meets_own_limits(*p.rows[i]))) {
                notes_.push_back(fmt::format("{} not estimated: the run with {} is {}: {}",
                                             part_name(part), p.variants[i]->what,
                                             p.rows[i]->status, p.rows[i]->reason));
                return false;
            }
        return true;
    }

    void merge_part(DoubtPart part) {
        const PartRuns p = runs_of(part);
        if (!trusted(part, p))
            return;
        for (std::size_t t = 0; t < row_.uncertainty.size(); ++t) {
            const TraitField& field = trait_fields()[t];
            const double nominal = row_.traits.*field.member;
            const std::vector<double> values = p.values(field.member);
            if (std::isfinite(nominal) && all_finite(values))
                row_.uncertainty[t].parts[static_cast<std::size_t>(part)] =
                    standard(part, p, nominal, values, t);
        }
        if (part == DoubtPart::Mesh)
            tell_trends();
    }

    double standard(DoubtPart part,
                    const PartRuns& p,
                    double nominal,
                    const std::vector<double>& values,
                    std::size_t trait) {
        switch (part) {
        case DoubtPart::Mesh:
            return from_meshes(p, nominal, values, trait);
        case DoubtPart::Specimen:
            return from_larger_specimen(sizes_of(p, nominal, values), 0);
        case DoubtPart::Rate:
            return from_slower_run(nominal, values.front(), slower_share);
        case DoubtPart::Friction: {
            double low = nominal, high = nominal;
            for (const double v : values) {
                low = std::min(low, v);
                high = std::max(high, v);
            }
            return between_bounds(low, high);
        }
        case DoubtPart::Polymer: {
            std::vector<double> moves;
            for (const double v : values)
                moves.push_back(v - nominal);
            return in_quadrature(moves);
        }
        case DoubtPart::Print:
            break;
        }
        return scatter_of_prints(nominal, values);
    }

    [[nodiscard]] std::vector<SizeValue>
    sizes_of(const PartRuns& p, double nominal, const std::vector<double>& values) const {
        std::vector<SizeValue> sizes{{plan_.cells, nominal}};
        for (std::size_t i = 0; i < values.size(); ++i)
            sizes.push_back({p.variants[i]->amount, values[i]});
        return sizes;
    }

    double from_meshes(const PartRuns& p,
                       double nominal,
                       const std::vector<double>& values,
                       std::size_t trait) {
        std::vector<MeshValue> meshes{{plan_.element_size, nominal}};
        for (std::size_t i = 0; i < values.size(); ++i)
            meshes.push_back({p.variants[i]->amount, values[i]});
        const MeshConvergence c = mesh_convergence(meshes, 0);
        row_.uncertainty[trait].extrapolated = c.extrapolated;
        row_.uncertainty[trait].mesh_order = c.order;
        if (c.standard < told_share * std::abs(nominal))
            return c.standard;
        const std::string& name = trait_fields()[trait].name;
        if (c.trend == MeshTrend::Oscillating)
            oscillating_.push_back(name);
        if (c.trend == MeshTrend::Diverging)
            diverging_.push_back(name);
        return c.standard;
    }

    void tell_trends() {
        if (!oscillating_.empty())
            notes_.push_back(fmt::format("mesh: {} when refined: {}",
                                         trend_name(MeshTrend::Oscillating),
                                         fmt::join(oscillating_, ", ")));
        if (!diverging_.empty())
            notes_.push_back(fmt::format("mesh: {} when refined, three times the range taken: {}",
                                         trend_name(MeshTrend::Diverging),
                                         fmt::join(diverging_, ", ")));
    }

    const CaseDoubt& plan_;
    GradeRow& row_;
    std::span<const GradeRow> runs_;
    std::vector<std::string> notes_, oscillating_, diverging_;
};

/// Cells from which on a trait moves less than its other parts together.
void settle(const CaseDoubt& plan, GradeRow& row, std::span<const GradeRow> runs) {
    for (std::size_t t = 0; t < row.uncertainty.size(); ++t) {
        TraitUncertainty others = row.uncertainty[t];
        double& specimen = others.parts[static_cast<std::size_t>(DoubtPart::Specimen)];
        if (std::isnan(specimen))
            continue;
        specimen = TraitUncertainty::unknown;
        const double doubt = others.combined();
        if (std::isnan(doubt))
            continue;
        const Member member = trait_fields()[t].member;
        std::vector<SizeValue> sizes{{plan.cells, row.traits.*member}};
        for (const DoubtVariant& v : plan.variants)
            if (v.part == DoubtPart::Specimen)
                sizes.push_back({v.amount, runs[v.run].traits.*member});
        row.uncertainty[t].settled_cells = settled_cells(sizes, doubt);
    }
}

void say(GradeRow& row, const std::vector<std::string>& notes) {
    if (!notes.empty())
        row.warning += fmt::format("{}uncertainty: {}", row.warning.empty() ? "" : "; ",
                                   fmt::join(notes, "; "));
}

void carry(GradeRow& row, const GradeRow& from) {
    if (from.uncertainty.empty()) {
        say(row,
            {fmt::format("not estimated: it would come from relative density {:g}, which is {}",
                         from.grade.relative_density, from.status)});
        return;
    }
    for (std::size_t t = 0; t < from.uncertainty.size(); ++t) {
        const Member member = trait_fields()[t].member;
        row.uncertainty.push_back(
            carried(from.uncertainty[t], from.traits.*member, row.traits.*member));
    }
    say(row, {fmt::format("carried from relative density {:g}, in proportion",
                          from.grade.relative_density)});
}

} // namespace

std::string part_name(DoubtPart part) {
    return doubt_part_names[static_cast<std::size_t>(part)];
}

void merge_doubt(const DoubtPlan& plan, std::span<GradeRow> rows, std::span<const GradeRow> runs) {
    if (!plan.choice.given)
        return;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const CaseDoubt& c = plan.cases[i];
        if (plan.choice.parts.empty())
            say(rows[i], {fmt::format("nothing was estimated (effort {})", plan.choice.effort)});
        else if (rows[i].status != "trusted")
            say(rows[i], {"not estimated: the case itself is not trusted"});
        else if (!c.carried_from) {
            say(rows[i], RowMerge(c, rows[i], runs).merge(plan.choice.parts));
            settle(c, rows[i], runs);
        }
    }
    for (std::size_t i = 0; i < rows.size(); ++i)
        if (const auto from = plan.cases[i].carried_from; from && rows[i].status == "trusted")
            carry(rows[i], rows[*from]);
}

} // namespace cellgrade
