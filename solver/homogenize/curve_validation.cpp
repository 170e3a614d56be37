// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/curve_validation.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
// Curves that turn or end this far apart, as a share of the strain, are told.
constexpr double same_end = 0.02;

BranchValidation branch_validation(const CurveBranch& computed,
                                   const std::vector<CurveBranch>& measured,
                                   CurveProducts& products) {
    BranchValidation v{.corridor = corridor_of(measured), .computed = computed};
    v.range = common_range(v.corridor.mean, computed);
    CELLGRADE_CHECK(!v.range.empty(),
                    "the computed curve ({:.4g} to {:.4g} strain) and the "
                    "measured ({:.4g} to {:.4g}) have no strain in common",
                    computed.strain.front(), computed.strain.back(), v.corridor.mean.strain.front(),
                    v.corridor.mean.strain.back());
    products = curve_products(v.corridor.mean, computed, v.range);
    v.score = curve_score(products);
    v.inside_one = share_inside(v.corridor, computed, v.range, 1.0);
    v.inside_two = share_inside(v.corridor, computed, v.range, 2.0);
    return v;
}

template <class Quantity>
Difference over_repeats(const CurveBranch& computed,
                        const std::vector<CurveBranch>& measured,
                        const Quantity& quantity) {
    std::vector<double> values;
    for (std::size_t i = 0; i < measured.size(); ++i)
        values.push_back(quantity(measured[i], i));
    return difference_of(quantity(computed, measured.size()), values);
}

void note_ends(const CurveValidation& v,
               const std::vector<CurveBranch>& measured,
               std::vector<std::string>& notes) {
    const double to = v.loading.range.to;
    double furthest = v.loading.computed.strain.back();
    for (const CurveBranch& branch : measured)
        furthest = std::max(furthest, branch.strain.back());
    if (furthest <= (1.0 + same_end) * to)
        return;
    notes.push_back(fmt::format("compared up to a strain of {:.4g}, which all curves reach; the "
                                "furthest goes to {:.4g}",
                                to, furthest));
    if (v.unloading)
        notes.emplace_back("the curves turn at different strains: their unloading has different "
                           "histories, and its score and the loop mean little");
}

} // namespace

Difference difference_of(double computed, std::span<const double> measured) {
    double n = 0.0, sum = 0.0, squares = 0.0;
    for (const double value : measured)
        if (!std::isnan(value)) {
            n += 1.0;
            sum += value;
        }
    for (const double value : measured)
        if (!std::isnan(value))
            squares += std::pow(value - sum / n, 2);
    return {.computed = computed,
            .measured = n > 0.0 ? sum / n : unknown,
            .deviation = n > 1.0 ? std::sqrt(squares / (n - 1.0)) : unknown};
}

CurveValidation validate_curve(const CrushCurve& computed, std::span<const CrushCurve> measured) {
    std::vector<CurveBranch> up, down;
    for (const CrushCurve& curve : measured) {
        up.push_back(loading_branch(curve));
        if (auto branch = unloading_branch(curve))
            down.push_back(std::move(*branch));
    }
    const CurveBranch computed_up = loading_branch(computed);
    const std::optional<CurveBranch> computed_down = unloading_branch(computed);
    CurveValidation v;
    CurveProducts sum;
    v.loading = branch_validation(computed_up, up, sum);
    const StrainRange range = v.loading.range;
    v.peak_stress_Pa = over_repeats(computed_up, up, [&](const CurveBranch& b, std::size_t) {
        return largest_stress(b, range);
    });
    v.loading_energy = over_repeats(
        computed_up, up, [&](const CurveBranch& b, std::size_t) { return area_under(b, range); });
    v.loop_area = {unknown, unknown, unknown};
    if (computed_down && down.size() == up.size()) {
        CurveProducts back;
        v.unloading = branch_validation(*computed_down, down, back);
        sum += back;
        const StrainRange loop{v.unloading->range.from, std::min(range.to, v.unloading->range.to)};
        v.loop_area = over_repeats(computed_up, up, [&](const CurveBranch& b, std::size_t i) {
            const CurveBranch& way_back = i < down.size() ? down[i] : *computed_down;
            return area_under(b, loop) - area_under(way_back, loop);
        });
    } else if (computed_down || !down.empty()) {
        v.notes.emplace_back("not all curves have an unloading; the loading alone is compared");
    }
    v.overall = curve_score(sum);
    note_ends(v, up, v.notes);
    return v;
}

} // namespace cellgrade
