// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/solid_fraction.hpp"

#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/rod_union.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace cellgrade {
namespace {

constexpr double root_tolerance = 1e-6; ///< of the relative density
constexpr int most_iterations = 60;
constexpr double closed = 0.98; ///< past it only closed pores are left: no lattice any more

struct Point {
    double density = 0.0;
    double slope = 0.0; ///< d density / d scale
};

Point density_at(const StrutNet& net, double volume, double scale) {
    const RodUnion rods(net, scale, Effort::Fine);
    return {rods.volume(scale) / volume, rods.growth(scale) / volume};
}

Error unreachable(const StrutCell& cell, double rb) {
    return input_error("relative density {} of cell '{}' cannot be reached; above 0 and at most {} "
                       "is possible, there the struts fill the cell",
                       rb, cell.name, closed);
}

} // namespace

SolidFraction solid_fraction(const StrutCell& cell, std::span<const double> diameters) {
    const StrutNet net = periodic_net(cell, diameters);
    const double volume = cell_volume(cell);
    SolidFraction f;
    f.relative_density = union_volume(net) / volume;
    f.centre_line_density = centre_line_volume(net) / volume;
    f.overlap_share = 1.0 - f.relative_density / f.centre_line_density;
    return f;
}

double diameter_for_density(const StrutCell& cell, double rb) {
    if (!(rb > 0.0 && rb <= closed))
        throw unreachable(cell, rb);
    const double volume = cell_volume(cell);
    double reference = 0.1 * std::cbrt(volume);
    const StrutNet net = periodic_net(cell, strut_diameters(cell, reference));
    // without overlap the density is an upper bound, so this scale is below the root
    double low = std::sqrt(rb * volume / centre_line_volume(net));
    double high = HUGE_VAL;
    double scale = low;
    for (int n = 0; n < most_iterations; ++n) {
        const Point at = density_at(net, volume, scale);
        const double excess = at.density - rb;
        if (std::abs(excess) <= root_tolerance * rb)
            return scale * reference;
        (excess < 0.0 ? low : high) = scale;
        double next = at.slope > 0.0 ? scale - excess / at.slope : HUGE_VAL;
        if (next >= high || next <= low) // Newton left the bracket
            next = std::isfinite(high) ? 0.5 * (low + high) : 1.2 * low;
        scale = std::min(next, 1.5 * scale); // the slope falls to nothing as the voids close
        if (high - low <= 1e-9 * scale)
            return scale * reference;
    }
    throw unreachable(cell, rb);
}

std::vector<double> diameters_for_density(const StrutCell& cell, double rb) {
    return strut_diameters(cell, diameter_for_density(cell, rb));
}

} // namespace cellgrade
