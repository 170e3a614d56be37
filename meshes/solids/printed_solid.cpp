// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/printed_solid.hpp"

#include "meshes/density/grid_measure.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace cellgrade {
namespace {

constexpr int n_boxes = 64;            ///< along the shortest cell edge, for the density
constexpr double most_density = 0.98;  ///< past it the cell is filled
constexpr double gradient_step = 1e-6; ///< of the shortest edge of the box

/// f at the foot of each point, see moved_surface().
class FootField {
public:
    FootField(const ImplicitSolid& solid, double outward)
        : field_(solid.field), box_(solid.box), periodic_(solid.periodic), outward_(outward),
          step_(gradient_step * solid.box.minCoeff()) {}

    void operator()(std::span<const Vec3> points, std::span<double> values) const {
        constexpr std::size_t block = 64;
        std::array<Vec3, 4 * block> around;
        std::array<double, 4 * block> f{};
        std::array<Vec3, block> foot;
        for (std::size_t first = 0; first < points.size(); first += block) {
            const std::size_t n = std::min(block, points.size() - first);
            for (std::size_t k = 0; k < n; ++k) {
                around[4 * k] = home(points[first + k]);
                for (int a = 0; a < 3; ++a)
                    around[4 * k + 1 + a] = around[4 * k] + step_ * Vec3::Unit(a);
            }
            field_(std::span(around).first(4 * n), std::span(f).first(4 * n));
            for (std::size_t k = 0; k < n; ++k) {
                const double* at = &f[4 * k];
                const Vec3 rise(at[1] - at[0], at[2] - at[0], at[3] - at[0]);
                const double steep = rise.norm();
                foot[k] = around[4 * k];
                if (steep > 0.0)
                    foot[k] -= outward_ / steep * rise;
            }
            field_(std::span(foot).first(n), values.subspan(first, n));
        }
    }

private:
    /// One place for the two that periodic faces share.
    [[nodiscard]] Vec3 home(Vec3 x) const {
        for (int a = 0; a < 3; ++a)
            if (periodic_[a])
                x[a] -= box_[a] * std::floor(x[a] / box_[a]);
        return x;
    }

    ImplicitSolid::Field field_;
    Vec3 box_;
    std::array<bool, 3> periodic_;
    double outward_, step_;
};

/// Small boxes along the edges of a column of cells: many in the plane of a cell that does not vary
/// along an axis, where walls may be thin and creased; along that axis one, or some for layers.
Vec3i column_counts(const AnyCell& any, const SolidPlan& plan) {
    const auto* cell = std::get_if<LevelSetCell>(&any);
    const bool plane = cell != nullptr && !(cell->varies[0] && cell->varies[1] && cell->varies[2]);
    const bool graded = plan.densities.size() > 1;
    const Vec3 edges = edges_of(any);
    Vec3i counts;
    for (int a = 0; a < 3; ++a) {
        if (!plane)
            counts[a] =
                2 * static_cast<int>(std::ceil(0.5 * n_boxes * edges[a] / edges.minCoeff()));
        else if (cell->varies[a])
            counts[a] = 768;
        else
            counts[a] = graded && a == 2 ? 16 : 1;
    }
    if (counts.z() > 1)
        counts.z() *= static_cast<int>(plan.tiles[2]);
    return counts;
}

/// Share of the box that is solid, two grids extrapolated.
double solid_share(const ImplicitSolid& solid, const Vec3i& counts) {
    const SampleGrid grid{.size = solid.box, .counts = counts};
    const std::vector<double> f = sample_field(solid.field, grid, grid.size);
    SampleGrid coarse;
    const std::vector<double> kept = every_other_node(f, grid, coarse);
    return (4.0 * measure_below(f, grid, 0.0).volume - measure_below(kept, coarse, 0.0).volume) /
           3.0 / grid.size.prod();
}

/// What a column of cells gains. A wall is the difference of its two sides: the crease of its own
/// function between them, at the middle, would spoil the grid's measure.
double gained_share(const TiledSolid& column, double outward, const Vec3i& counts) {
    const auto gain = [&](const ImplicitSolid& solid, double h) {
        return solid_share(moved_surface(solid, h), counts) - solid_share(solid, counts);
    };
    if (column.sides.empty())
        return gain(column.solid, outward);
    return gain(column.sides[0], outward) - gain(column.sides[1], -outward);
}

TiledSolid tiled(const AnyCell& cell, const SolidPlan& plan) {
    return std::visit([&](const auto& c) { return tiled_solid(c, plan); }, cell);
}

} // namespace

ImplicitSolid moved_surface(const ImplicitSolid& solid, double outward) {
    ImplicitSolid moved = solid;
    moved.narrowest += 2.0 * outward;
    if (!solid.pieces) {
        moved.field = FootField(solid, outward);
        return moved;
    }
    moved.rounding = std::max(solid.rounding - outward, 0.0);
    moved.field = [field = solid.field, outward](std::span<const Vec3> x, std::span<double> f) {
        field(x, f);
        for (double& value : f)
            value -= outward;
    };
    moved.pieces = [pieces = solid.pieces, outward](const Vec3& x, double within,
                                                    std::vector<FieldPiece>& near) {
        pieces(x, within, near);
        for (FieldPiece& piece : near)
            piece.value -= outward;
    };
    return moved;
}

PrintedSolid printed_solid(const AnyCell& cell, const SolidPlan& plan, double thickness_offset) {
    PrintedSolid p{.drawn = tiled(cell, plan)};
    p.drawn_density = std::accumulate(p.drawn.densities.begin(), p.drawn.densities.end(), 0.0) /
                      static_cast<double>(p.drawn.densities.size());
    p.solid = p.drawn.solid;
    p.relative_density = p.drawn_density;
    if (thickness_offset == 0.0)
        return p;
    CELLGRADE_CHECK(p.drawn.solid.narrowest + thickness_offset > 0.0,
                    "a printer that makes walls and struts {:.3g} mm thinner leaves nothing of the "
                    "narrowest, about {:.3g} mm; draw it thicker",
                    -thickness_offset / units::mm, p.drawn.solid.narrowest / units::mm);
    const double outward = 0.5 * thickness_offset;
    p.solid = moved_surface(p.drawn.solid, outward);
    SolidPlan stack = plan; // endless across, as densities are meant
    stack.tiles = {1, 1, plan.tiles[2]};
    stack.periodic = {true, true, plan.periodic[2]};
    if (plan.densities.size() == 1) { // found already
        stack.densities.clear();
        stack.amount = p.drawn.amounts.front();
    }
    p.relative_density += gained_share(tiled(cell, stack), outward, column_counts(cell, plan));
    CELLGRADE_CHECK(p.relative_density > 0.0 && p.relative_density < most_density,
                    "printed {:.3g} mm thicker, the cell '{}' of relative density {:.3g} is filled "
                    "to {:.3g}; draw it thinner",
                    thickness_offset / units::mm, name_of(cell), p.drawn_density,
                    p.relative_density);
    return p;
}

} // namespace cellgrade
