// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_curves.hpp"

#include "solver/core/error.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace cellgrade {

namespace {

constexpr double most_multiple = 5.0, least_multiple = 2.0; // of the plateau stress, k
constexpr double soft_share = 1e-3;                         // d over the smallest plateau stress
constexpr double largest_locking = 0.99; // e_k; a specimen has no height left at 1
constexpr double same_share = 1e-9;      // numbers of a case nearer are equal

bool same_number(double a, double b) {
    return (std::isnan(a) && std::isnan(b)) || std::abs(a - b) <= same_share * std::abs(b);
}

bool before(double a, double b) {
    return !same_number(a, b) && (std::isnan(a) ? !std::isnan(b) : a < b);
}

bool selected(const GradeRow& row, const GradeSelection& selection) {
    const GradeCase& grade = row.grade;
    return grade.cell == selection.cell && grade.polymer == selection.polymer &&
           grade.direction == selection.direction && grade.load == selection.load &&
           (grade.load != CaseLoad::Oblique ||
            same_number(grade.path_angle_deg, selection.path_angle_deg));
}

std::string only_polymer(const GradeTable& table, const GradeSelection& selection) {
    std::set<std::string> polymers;
    for (const GradeRow& row : table.rows)
        if (row.grade.cell == selection.cell)
            polymers.insert(row.grade.polymer);
    CELLGRADE_CHECK(polymers.size() < 2, "the table has polymers {}: one must be chosen",
                    fmt::join(polymers, ", "));
    return polymers.empty() ? "" : *polymers.begin();
}

std::string what_there_is(const GradeTable& table) {
    std::set<std::string> kinds;
    for (const GradeRow& row : table.rows)
        kinds.insert(fmt::format("{} in {}, {} along {}", row.grade.cell, row.grade.polymer,
                                 load_name(row.grade.load), direction_text(row.grade.direction)));
    return fmt::format("{}", fmt::join(kinds, "; "));
}

/// Why a row cannot be used; empty when it can.
std::string unfit(const GradeRow& row) {
    if (row.status != "trusted")
        return fmt::format("{}: {}", row.status, row.reason);
    if (!(row.grade.relative_density > 0.0) || !(row.grade.strain_rate_per_s > 0.0))
        return "no relative density or no strain rate";
    if (row.curve.turn < 2)
        return "no curve";
    return "";
}

double share(const GradeRow& row, double CrushTraits::*trait) {
    const auto fields = trait_fields();
    for (std::size_t i = 0; i < fields.size() && i < row.uncertainty.size(); ++i)
        if (fields[i].member == trait)
            return row.uncertainty[i].combined() / std::abs(row.traits.*trait);
    return std::numeric_limits<double>::quiet_NaN();
}

/// The rows from the turn on that lower the strain, from the last row before.
void take_unloading(const CrushCurve& curve, GradeNode& node) {
    const auto n = static_cast<Index>(curve.nominal_strain.size());
    for (Index i = curve.turn - 1; curve.turn < n && i < n; ++i) {
        if (!node.back_strain.empty() && curve.nominal_strain[i] >= node.back_strain.back())
            continue;
        node.back_strain.push_back(curve.nominal_strain[i]);
        node.back_stress_Pa.push_back(curve.nominal_stress_Pa[i]);
    }
    if (node.back_strain.size() < 2) {
        node.back_strain.clear();
        node.back_stress_Pa.clear();
    }
}

GradeNode node_of(const GradeRow& row) {
    const LoadingBranch branch(row.curve);
    GradeNode node{.relative_density = row.grade.relative_density,
                   .locking_strain = std::numeric_limits<double>::quiet_NaN(),
                   .strain = {branch.strain().begin(), branch.strain().end()},
                   .stress_Pa = {branch.stress().begin(), branch.stress().end()},
                   .plateau_stress_Pa = row.traits.plateau_stress_Pa,
                   .solid_density_kg_per_m3 = row.density_kg_per_m3 / row.grade.relative_density,
                   .stress_share = share(row, &CrushTraits::plateau_stress_Pa),
                   .energy_share = share(row, &CrushTraits::energy_J_per_m3)};
    take_unloading(row.curve, node);
    return node;
}

/// Last strain at which the stress rises through `level`; NaN when it never does.
double last_rise_through(const GradeNode& node, double level) {
    for (std::size_t i = node.strain.size(); i-- > 1;)
        if (node.stress_Pa[i] >= level && node.stress_Pa[i - 1] < level) {
            const double t =
                (level - node.stress_Pa[i - 1]) / (node.stress_Pa[i] - node.stress_Pa[i - 1]);
            return node.strain[i - 1] + t * (node.strain[i] - node.strain[i - 1]);
        }
    return std::numeric_limits<double>::quiet_NaN();
}

/// The place of an item of this number in a rising list, made when there is none.
template <class Item>
Item& place_of(std::vector<Item>& items, double Item::*number, double value) {
    const auto at =
        std::lower_bound(items.begin(), items.end(), value,
                         [&](const Item& item, double v) { return before(item.*number, v); });
    if (at != items.end() && same_number((*at).*number, value))
        return *at;
    Item fresh;
    fresh.*number = value;
    return *items.insert(at, fresh);
}

} // namespace

GradeCurves::GradeCurves(const GradeTable& table, const GradeSelection& selection)
    : selection_(selection) {
    CELLGRADE_CHECK(selection.load != CaseLoad::Shear,
                    "curves of sheared cases are not interpolated; compression and oblique are");
    if (selection_.polymer.empty())
        selection_.polymer = only_polymer(table, selection);
    // A temperature that only its card knows has no place on an axis of temperatures.
    const bool have_temperature =
        std::any_of(table.rows.begin(), table.rows.end(), [&](const GradeRow& row) {
            return selected(row, selection_) && std::isfinite(row.grade.temperature_C);
        });
    for (const GradeRow& row : table.rows) {
        if (!selected(row, selection_))
            continue;
        std::string reason = unfit(row);
        if (reason.empty() && have_temperature && std::isnan(row.grade.temperature_C))
            reason = "no temperature, which other rows have";
        if (reason.empty() && !add(row))
            reason = "a row of the same density, strain rate and temperature stands before it";
        if (!reason.empty())
            left_out_.push_back(fmt::format("{}: {}", grade_label(row.grade), reason));
    }
    CELLGRADE_CHECK(!layers_.empty(),
                    "no trusted curve of cell '{}', polymer '{}', {} along {}; the table has: {}",
                    selection_.cell, selection_.polymer, load_name(selection_.load),
                    direction_text(selection_.direction), what_there_is(table));
    align();
}

bool GradeCurves::add(const GradeRow& row) {
    Layer& layer = place_of(layers_, &Layer::temperature_C, row.grade.temperature_C);
    Line& line = place_of(layer.lines, &Line::strain_rate_per_s, row.grade.strain_rate_per_s);
    GradeNode& node =
        place_of(line.nodes, &GradeNode::relative_density, row.grade.relative_density);
    if (!node.strain.empty())
        return false;
    node = node_of(row);
    return true;
}

void GradeCurves::align() {
    double multiple = most_multiple, smallest = std::numeric_limits<double>::infinity();
    double largest = 0.0;
    for (const Layer& layer : layers_)
        for (const Line& line : layer.lines)
            for (const GradeNode& node : line.nodes) {
                const double top = *std::max_element(node.stress_Pa.begin(), node.stress_Pa.end());
                const double plateau = node.plateau_stress_Pa;
                largest = std::max(largest, top);
                if (plateau > 0.0)
                    smallest = std::min(smallest, plateau);
                // Somewhat below the end, so that the crossing lies between rows.
                multiple = plateau > 0.0 ? std::min(multiple, 0.98 * top / plateau) : 0.0;
            }
    CELLGRADE_CHECK(largest > 0.0, "no curve of cell '{}' carries any stress", selection_.cell);
    soft_stress_Pa_ = soft_share * (std::isfinite(smallest) ? smallest : largest);
    bool aligned = multiple >= least_multiple;
    for (Layer& layer : layers_)
        for (Line& line : layer.lines)
            for (GradeNode& node : line.nodes) {
                node.locking_strain = last_rise_through(node, multiple * node.plateau_stress_Pa);
                aligned = aligned && node.locking_strain < largest_locking;
            }
    if (!aligned) {
        note_ = fmt::format("not every curve reaches {:g} times its plateau stress: strains are "
                            "not aligned by densification",
                            least_multiple);
        for (Layer& layer : layers_)
            for (Line& line : layer.lines)
                for (GradeNode& node : line.nodes)
                    node.locking_strain = 1.0;
    }
}

} // namespace cellgrade
