// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/cell_openness.hpp"

#include "meshes/catalogue/any_cell.hpp"
#include "meshes/solids/openness.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "solver/core/error.hpp"

namespace cellgrade {

namespace {

/// One period of the endless lattice of a built-in cell, in the catalogue's size.
struct Period {
    AnyCell cell;
    TiledSolid tiled;
};

std::optional<Period> period_of(const ChoiceGrade& grade) {
    try {
        AnyCell cell = find_any_cell(grade.selection.cell);
        const SolidPlan plan{.tiles = {1, 1, 1},
                             .periodic = {true, true, true},
                             .densities = {grade.relative_density}};
        TiledSolid tiled = std::visit([&](const auto& c) { return tiled_solid(c, plan); }, cell);
        return Period{std::move(cell), std::move(tiled)};
    } catch (const Error& e) {
        if (e.fault() != Fault::Input)
            throw;
        return std::nullopt; // a cell of the user's own file
    }
}

/// Size of the grade's cell over that of the catalogue.
std::optional<double> scale_of(const Period& period, const ChoiceGrade& grade) {
    if (!std::holds_alternative<StrutCell>(period.cell) || !(grade.strut_diameter_m > 0.0))
        return std::nullopt;
    return grade.strut_diameter_m / period.tiled.amounts.front();
}

} // namespace

void describe_openness(ChoiceGrade& grade) {
    constexpr Index boxes = 64;
    const std::optional<Period> period = period_of(grade);
    if (!period)
        return;
    const Openness open = openness(period->tiled.solid, boxes);
    grade.through_view = open.through_view[2];
    if (const std::optional<double> scale = scale_of(*period, grade))
        grade.opening_m = *scale * open.narrowest_opening;
}

std::optional<double> edge_of_grade(const ChoiceGrade& grade) {
    const std::optional<Period> period = period_of(grade);
    if (!period)
        return std::nullopt;
    const std::optional<double> scale = scale_of(*period, grade);
    return scale ? std::optional(*scale * edges_of(period->cell).x()) : std::nullopt;
}

} // namespace cellgrade
