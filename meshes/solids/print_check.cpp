// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/print_check.hpp"

#include "meshes/density/grid_pieces.hpp"
#include "meshes/solids/surface_distance.hpp"
#include "meshes/solids/throat.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double usual_boxes = 2e6;
constexpr double thin_share = 0.01; ///< of the solid, whose thickness is told

double usual_spacing(const ImplicitSolid& solid) {
    CELLGRADE_CHECK(solid.narrowest > 0.0,
                    "the solid does not tell its narrowest part; give a spacing for the check");
    return std::max(0.2 * solid.narrowest, std::cbrt(solid.box.prod() / usual_boxes));
}

void measure_solid(const SurfaceDistance& grid, double limit, PrintCheck& found) {
    if (std::find(grid.is_solid.begin(), grid.is_solid.end(), 0) == grid.is_solid.end())
        return; // no surface, no width
    const std::vector<MiddlePair> pairs = middle_pairs(grid, Phase::Solid);
    found.narrowest = narrowest_throat(grid, ridge_radii(grid, pairs), Phase::Solid);
    const std::vector<NarrowPlace> thickness = local_thickness(grid, pairs);
    if (thickness.empty())
        return;
    const auto n = static_cast<double>(thickness.size());
    const NarrowPlace& thin = thickness[static_cast<std::size_t>(thin_share * n)];
    if (!found.narrowest || thin.width < found.narrowest->width)
        found.narrowest = thin;
    const auto enough =
        std::partition_point(thickness.begin(), thickness.end(),
                             [limit](const NarrowPlace& place) { return place.width < limit; });
    found.share_below = static_cast<double>(enough - thickness.begin()) / n;
}

void count_closed_pores(const SurfaceDistance& grid, PrintCheck& found) {
    std::vector<std::uint8_t> is_void;
    for (const std::uint8_t solid : grid.is_solid)
        is_void.push_back(solid == 0);
    double closed = 0.0;
    double all = 0.0;
    for (const GridPiece& p :
         find_pieces(grid.counts, grid.periodic, is_void, Joined::Diagonals).pieces) {
        all += p.n_nodes;
        if (p.winding > 0 || p.on_any_face())
            continue;
        ++found.n_closed_pores;
        closed += p.n_nodes;
    }
    found.closed_share = all > 0.0 ? closed / all : 0.0;
}

void count_loose_pieces(const SurfaceDistance& grid, PrintCheck& found) {
    double all = 0.0;
    double largest = 0.0;
    const GridPieces solid =
        find_pieces(grid.counts, grid.periodic, grid.is_solid, Joined::Diagonals);
    for (const GridPiece& p : solid.pieces) {
        all += p.n_nodes;
        largest = std::max(largest, static_cast<double>(p.n_nodes));
    }
    if (solid.pieces.empty())
        return;
    found.n_loose_pieces = static_cast<Index>(solid.pieces.size()) - 1;
    found.loose_share = 1.0 - largest / all;
    found.solid_share = all / static_cast<double>(grid.is_solid.size());
}

std::string told(const Vec3& at) {
    return fmt::format("({:.3g}, {:.3g}, {:.3g}) mm", 1e3 * at.x(), 1e3 * at.y(), 1e3 * at.z());
}

} // namespace

void PrintLimits::check() const {
    CELLGRADE_CHECK(std::isfinite(least_solid) && least_solid >= 0.0,
                    "least printable width {} m is not allowed; 0 or more is", least_solid);
    CELLGRADE_CHECK(std::isfinite(least_opening) && least_opening >= 0.0,
                    "least opening {} m is not allowed; 0 or more is", least_opening);
}

PrintCheck check_print(const ImplicitSolid& solid, const PrintLimits& limits, double spacing) {
    limits.check();
    const SurfaceDistance grid =
        surface_distance(solid, spacing > 0.0 ? spacing : usual_spacing(solid));
    PrintCheck found{.spacing = grid.spacing};
    measure_solid(grid, limits.least_solid, found);
    found.opening =
        narrowest_throat(grid, ridge_radii(grid, middle_pairs(grid, Phase::Void)), Phase::Void);
    count_closed_pores(grid, found);
    count_loose_pieces(grid, found);
    return found;
}

std::vector<std::string> print_faults(const PrintCheck& found, const PrintLimits& limits) {
    std::vector<std::string> faults;
    if (found.narrowest && found.narrowest->width < limits.least_solid)
        faults.push_back(fmt::format("the solid is {:.3g} mm thin at {}, below the least printable "
                                     "{:.3g} mm, as is {:.1f} % "
                                     "of it; raise the density or the cell size",
                                     1e3 * found.narrowest->width, told(found.narrowest->at),
                                     1e3 * limits.least_solid, 100.0 * found.share_below));
    else if (limits.least_solid > 0.0 && found.narrowest && !found.resolves(found.narrowest->width))
        faults.push_back(fmt::format(
            "the grid of {:.3g} mm is too coarse to tell the thickness of the solid, {:.3g} mm; "
            "check with a fifth of that",
            1e3 * found.spacing.maxCoeff(), 1e3 * found.narrowest->width));
    if (found.opening && found.opening->width < limits.least_opening)
        faults.push_back(fmt::format(
            "the void is {:.3g} mm narrow at {}, below the least opening {:.3g} mm; lower the "
            "density or raise the cell size",
            1e3 * found.opening->width, told(found.opening->at), 1e3 * limits.least_opening));
    if (found.n_closed_pores > 0)
        faults.push_back(fmt::format("{} closed pores trap powder or resin, {:.2f} % of the void; "
                                     "lower the density",
                                     found.n_closed_pores, 100.0 * found.closed_share));
    if (found.n_loose_pieces > 0)
        faults.push_back(fmt::format("{} loose pieces, {:.2f} % of the solid", found.n_loose_pieces,
                                     100.0 * found.loose_share));
    return faults;
}

} // namespace cellgrade
