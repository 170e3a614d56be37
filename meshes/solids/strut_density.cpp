// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/strut_density.hpp"

#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/grid_measure.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "meshes/solids/strut_field.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double root_tolerance = 1e-4;
constexpr int most_boxes = 96; ///< along the shortest cell edge

/// Volume of the fillets alone in one cell [m^3].
double fillet_volume(const StrutCell& cell, double diameter, double fillet_radius) {
    const std::vector<double> ratios = strut_diameters(cell, 1.0);
    const LayerProfile uniform({diameter}, true);
    StrutField::Plan plan{.periodic = {true, true, true}, .fillet_radius = fillet_radius};
    const StrutField filleted(cell, ratios, uniform, plan);
    SampleGrid grid{.size = cell.lattice.diagonal()};
    const double spacing =
        std::max(grid.size.minCoeff() / most_boxes, 0.125 * std::min(diameter, fillet_radius));
    for (int a = 0; a < 3; ++a)
        grid.counts[a] = 2 * static_cast<int>(std::ceil(0.5 * grid.size[a] / spacing));
    plan.fillet_radius = 0.0;
    const StrutField plain(cell, ratios, uniform, plan);
    double volume[2] = {0.0, 0.0};
    for (const StrutField* field : {&filleted, &plain}) {
        const std::vector<double> f = sample_field(
            [field](std::span<const Vec3> x, std::span<double> v) {
                for (std::size_t k = 0; k < x.size(); ++k)
                    v[k] = field->value(x[k]);
            },
            grid, grid.size);
        SampleGrid coarse;
        const std::vector<double> kept = every_other_node(f, grid, coarse);
        volume[field == &plain] =
            (4.0 * measure_below(f, grid, 0.0).volume - measure_below(kept, coarse, 0.0).volume) /
            3.0;
    }
    return volume[0] - volume[1];
}

} // namespace

double filleted_fraction(const StrutCell& cell, double diameter, double fillet_radius) {
    const double plain = solid_fraction(cell, strut_diameters(cell, diameter)).relative_density;
    if (fillet_radius == 0.0)
        return plain;
    return plain + fillet_volume(cell, diameter, fillet_radius) / cell_volume(cell);
}

double filleted_diameter(const StrutCell& cell, double rb, double fillet_radius) {
    double high = diameter_for_density(cell, rb); // without fillets the struts are thicker
    if (fillet_radius == 0.0)
        return high;
    double low = 0.0;
    double diameter = 0.9 * high;
    for (int n = 0; n < 40; ++n) {
        const double excess = filleted_fraction(cell, diameter, fillet_radius) - rb;
        if (std::abs(excess) <= root_tolerance * rb)
            return diameter;
        (excess < 0.0 ? low : high) = diameter;
        // density goes about with the square of the diameter
        const double next = diameter * (1.0 - 0.5 * excess / rb);
        diameter = next > low && next < high ? next : 0.5 * (low + high);
        CELLGRADE_CHECK(diameter > 0.2 * fillet_radius,
                        "relative density {} of cell '{}' cannot be reached with fillets of {:.4g} "
                        "mm: struts would be thinner than a fifth of that",
                        rb, cell.name, 1e3 * fillet_radius);
        if (high - low < 1e-7 * high)
            return diameter;
    }
    throw input_error("no strut diameter gives cell '{}' relative density {} with fillets of "
                      "{:.4g} mm",
                      cell.name, rb, 1e3 * fillet_radius);
}

} // namespace cellgrade
