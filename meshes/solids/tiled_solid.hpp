// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"
#include "meshes/catalogue/strut_cell.hpp"
#include "meshes/solids/implicit_solid.hpp"

#include <optional>
#include <vector>

namespace cellgrade {

/// Cells side by side as one solid.
struct SolidPlan {
    std::array<Index, 3> tiles{1, 1, 1}; ///< cells along x, y, z
    /// Along x, y, z. An axis that is not periodic is cut at the box, flat.
    std::array<bool, 3> periodic{};
    /// Relative densities: one for all, or one a layer of cells from z = 0 up. The offset, or the
    /// diameter, then runs smoothly between the middles of the layers (LayerProfile), so that the
    /// mean density of each layer, endless in x and y, is the one asked for. Empty: `amount`.
    std::vector<double> densities;
    /// Offset of a level-set cell [unit of f] or diameter of the thickest strut [m]; without it and
    /// without densities those of the cell's own file.
    std::optional<double> amount;
    double fillet_radius = 0.0; ///< at the joints of struts [m]
};

/// The specimen and what was chosen for it.
struct TiledSolid {
    ImplicitSolid solid;
    std::vector<double> amounts;   ///< offset or largest diameter [m] at the middle of each layer
    std::vector<double> densities; ///< mean relative density of each layer, as measured
    /// Of walls |g| < t: the smooth solids g < t and g < -t, whose difference they are; else empty.
    std::vector<ImplicitSolid> sides;
};

/// Errors (input): tiles outside 1 to 1000; densities that do not match the layers or are out of
/// the cell's reach, with or without grading; more or less than one of densities, amount and the
/// cell's own; a fillet for a level-set cell.
///
/// Layer densities are met within 0.1 % of the measure used (two grids, Richardson). About 0.5 s
/// for a uniform solid, 1 s a layer more for a graded one and 2 s for a search with
/// fillets.
[[nodiscard]] TiledSolid tiled_solid(const LevelSetCell& cell, const SolidPlan& plan);

/// The same for round struts with rounded ends (StrutField). Further errors: a cell that is no
/// right-angled box along x, y, z; a fillet radius below 0 or above a quarter of the
/// shortest cell edge.
[[nodiscard]] TiledSolid tiled_solid(const StrutCell& cell, const SolidPlan& plan);

} // namespace cellgrade
