// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/grid_measure.hpp"
#include "meshes/solids/plan_check.hpp"
#include "meshes/solids/strut_density.hpp"
#include "meshes/solids/strut_field.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

namespace cellgrade {
namespace {

constexpr double layer_tolerance = 2e-4; ///< of a layer's relative density
constexpr int most_rounds = 40;
constexpr int n_boxes = 48; ///< along the shortest cell edge, for layers

void check_cell(const StrutCell& cell, double fillet_radius) {
    CELLGRADE_CHECK(cell.lattice.isDiagonal() && cell.lattice.diagonal().minCoeff() > 0.0,
                    "cell '{}' cannot be made solid: a right-angled box along x, y, z is needed "
                    "(size_mm, not oblique vectors_mm); describe the same lattice by such a cell",
                    cell.name);
    const double most = 0.25 * cell.lattice.diagonal().minCoeff();
    CELLGRADE_CHECK(std::isfinite(fillet_radius) && fillet_radius >= 0.0 && fillet_radius <= most,
                    "fillet radius {:.4g} mm is not allowed for cell '{}'; 0 to {:.4g} mm is",
                    1e3 * fillet_radius, cell.name, 1e3 * most);
}

PointField as_field(std::shared_ptr<const StrutField> field) {
    return [field = std::move(field)](std::span<const Vec3> x, std::span<double> f) {
        for (std::size_t k = 0; k < x.size(); ++k)
            f[k] = field->value(x[k]);
    };
}

/// Density of each layer of a stack of single cells, endless across, on one grid: too low by the
/// curvature of the struts, alike for graded and uniform ones.
std::vector<double> grid_densities(const StrutCell& cell,
                                   const std::vector<double>& ratios,
                                   const LayerProfile& diameter,
                                   const StrutField::Plan& plan) {
    StrutField::Plan stack{.tiles = {1, 1, plan.tiles[2]},
                           .periodic = {true, true, plan.periodic[2]},
                           .fillet_radius = plan.fillet_radius};
    const PointField field =
        as_field(std::make_shared<const StrutField>(cell, ratios, diameter, stack));
    SampleGrid grid{.size = cell.lattice.diagonal()};
    for (int a = 0; a < 3; ++a)
        grid.counts[a] = static_cast<int>(std::ceil(n_boxes * grid.size[a] / grid.size.minCoeff()));
    std::vector<double> densities;
    for (Index layer = 0; layer < plan.tiles[2]; ++layer) {
        const Vec3 base(0.0, 0.0, layer * grid.size.z());
        const std::vector<double> f = sample_field(
            [&](std::span<const Vec3> x, std::span<double> v) {
                std::vector<Vec3> moved(x.begin(), x.end());
                for (Vec3& p : moved)
                    p += base;
                field(moved, v);
            },
            grid, grid.size);
        densities.push_back(measure_below(f, grid, 0.0).volume / grid.size.prod());
    }
    return densities;
}

struct Layers {
    std::vector<double> diameters; ///< [m]
    std::vector<double> densities;
};

/// The start, and how much the grid misses at each of the densities.
struct UniformGrades {
    std::map<double, double> diameter;
    std::map<double, double> exact_over_grid;
};

UniformGrades uniform_grades(const StrutCell& cell,
                             const std::vector<double>& ratios,
                             const std::vector<double>& targets,
                             const StrutField::Plan& plan) {
    UniformGrades grades;
    StrutField::Plan one = plan;
    one.tiles = {1, 1, 1};
    one.periodic = {true, true, true};
    for (const double rb : targets) {
        if (grades.diameter.contains(rb))
            continue;
        const double d = filleted_diameter(cell, rb, plan.fillet_radius);
        grades.diameter[rb] = d;
        grades.exact_over_grid[rb] = rb / grid_densities(cell, ratios, {{d}, true}, one)[0];
    }
    return grades;
}

Layers graded_layers(const StrutCell& cell,
                     const std::vector<double>& ratios,
                     const std::vector<double>& targets,
                     const StrutField::Plan& plan) {
    const UniformGrades grades = uniform_grades(cell, ratios, targets, plan);
    Layers layers;
    for (const double rb : targets)
        layers.diameters.push_back(grades.diameter.at(rb));
    for (int round = 0; round < most_rounds; ++round) {
        const LayerProfile profile(layers.diameters, plan.periodic[2]);
        layers.densities = grid_densities(cell, ratios, profile, plan);
        double worst = 0.0;
        for (std::size_t k = 0; k < targets.size(); ++k) {
            layers.densities[k] *= grades.exact_over_grid.at(targets[k]);
            const double lack = 1.0 - layers.densities[k] / targets[k];
            worst = std::max(worst, std::abs(lack));
            layers.diameters[k] *= 1.0 + 0.6 * lack; // density goes about with the square
        }
        if (worst <= layer_tolerance) {
            layers.diameters = profile.at_middles();
            return layers;
        }
    }
    throw input_error("no diameters were found that give the layers of cell '{}' their densities; "
                      "grade more gently",
                      cell.name);
}

Layers choose_layers(const StrutCell& cell,
                     const std::vector<double>& ratios,
                     const SolidPlan& plan,
                     const StrutField::Plan& field) {
    const std::vector<double> targets = layer_targets(plan);
    const bool graded =
        std::any_of(targets.begin(), targets.end(), [&](double rb) { return rb != targets[0]; });
    if (graded)
        return graded_layers(cell, ratios, targets, field);
    double diameter = 0.0;
    if (!targets.empty())
        diameter = filleted_diameter(cell, targets[0], plan.fillet_radius);
    else if (plan.amount)
        diameter = *plan.amount;
    else
        diameter = *std::max_element(cell.diameters.begin(), cell.diameters.end());
    const auto n_layers = static_cast<std::size_t>(plan.tiles[2]);
    return {std::vector<double>(n_layers, diameter),
            std::vector<double>(n_layers, filleted_fraction(cell, diameter, plan.fillet_radius))};
}

} // namespace

TiledSolid tiled_solid(const StrutCell& cell, const SolidPlan& plan) {
    check_plan(plan, cell.name, !cell.diameters.empty());
    check_cell(cell, plan.fillet_radius);
    const std::vector<double> ratios = strut_diameters(cell, 1.0);
    const StrutField::Plan field{
        .tiles = plan.tiles, .periodic = plan.periodic, .fillet_radius = plan.fillet_radius};
    const Layers layers = choose_layers(cell, ratios, plan, field);
    TiledSolid made{.amounts = layers.diameters, .densities = layers.densities};
    made.solid.periodic = plan.periodic;
    for (int a = 0; a < 3; ++a)
        made.solid.box[a] = plan.tiles[a] * cell.lattice(a, a);
    made.solid.narrowest = *std::min_element(layers.diameters.begin(), layers.diameters.end()) *
                           *std::min_element(ratios.begin(), ratios.end());
    const auto struts = std::make_shared<const StrutField>(
        cell, ratios, LayerProfile(layers.diameters, plan.periodic[2]), field);
    made.solid.field = as_field(struts);
    made.solid.rounding = plan.fillet_radius;
    made.solid.pieces = [struts](const Vec3& x, double within, std::vector<FieldPiece>& near) {
        struts->pieces(x, within, near);
    };
    return made;
}

} // namespace cellgrade
