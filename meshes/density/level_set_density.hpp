// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"
#include "meshes/density/grid_measure.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// How much of a level-set cell is solid at an offset.
struct LevelSetFraction {
    double relative_density = 0.0; ///< solid volume / cell volume
    double slope = 0.0;            ///< d relative density / d offset
    double surface_area = 0.0;     ///< of the solid in one cell [m^2]
    double error = 0.0;            ///< estimate for the relative density, absolute
};

/// Offsets and densities between which a cell is a lattice.
struct LevelSetReach {
    double least_offset = 0.0;  ///< below it the solid falls apart
    double most_offset = 0.0;   ///< above it some void is closed in
    double least_density = 0.0; ///< relative densities at the two
    double most_density = 0.0;
};

/// A level-set cell, sampled once, so that many offsets can be tried.
///
/// Volumes by measure_below() on grids of n / 2 and n boxes along each axis, extrapolated
/// (Richardson, order 2); the error estimate is the change against n / 4 and n / 2. n = 96, or 768
/// in a honeycomb's plane, doubled once where the estimate is above 0.05 % of the density; a wall
/// is the difference of its two sides. Walls at relative density 0.02 to 0.9 come out within 0.05 %
/// (tests/unit/meshes/level_set_density_test.cpp). About 0.05 s and 10 MB to make (80 MB refined),
/// 10 to 50 ms an offset, 0.5 s the reach.
class LevelSetMeasure {
public:
    /// Errors (input): a function whose volume cannot be measured to 0.2 % even on the finer grid.
    explicit LevelSetMeasure(const LevelSetCell& cell);

    [[nodiscard]] LevelSetFraction fraction(double offset);

    /// The reach in which the solid is one piece, endless in all three directions, and every piece
    /// of void is endless in at least one, so that powder can leave. By flood fill on the edges of
    /// the tetrahedra of a grid of 64 boxes along each axis (384 in a honeycomb's plane), bisected;
    /// offsets are within about 0.5 % of the range of f.
    [[nodiscard]] const LevelSetReach& reach();

    /// The offset for a relative density. Errors (input): a density out of reach, naming the reach.
    [[nodiscard]] double offset_for_density(double rb);

private:
    struct Samples {
        SampleGrid grid;
        std::vector<double> values; ///< g at the nodes
    };
    [[nodiscard]] Samples sampled(int n_boxes) const;
    void sample_all(int n_boxes);
    [[nodiscard]] BelowLevel solid(const Samples& samples, double offset) const;
    [[nodiscard]] LevelSetFraction extrapolated(double offset) const;
    [[nodiscard]] bool is_lattice(const Samples& samples, double offset) const;
    [[nodiscard]] std::string pieces_text(const Samples& samples, double offset) const;
    [[nodiscard]] double last_good(const Samples& samples, double good, double bad) const;

    LevelSetCell cell_;
    int n_boxes_ = 0;
    std::vector<Samples> samples_; ///< n, n / 2, n / 4 boxes along an axis
    std::optional<LevelSetReach> reach_;
};

/// Solid fraction of the endless cell at an offset.
[[nodiscard]] LevelSetFraction level_set_fraction(const LevelSetCell& cell, double offset);

/// The offset at which the cell has relative density `rb`; errors as in LevelSetMeasure.
[[nodiscard]] double offset_for_density(const LevelSetCell& cell, double rb);

} // namespace cellgrade
