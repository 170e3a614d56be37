// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_cell.hpp"

#include <array>
#include <span>
#include <vector>

namespace cellgrade {

/// A round strut of a net, from nodes[a] to nodes[b] + lattice * image_b.
struct NetStrut {
    Index a = no_index;
    Index b = no_index;
    Vec3i image_b = Vec3i::Zero(); ///< non-zero only along periodic axes
    double radius = 0.0;           ///< [m]
    double whole_length = 0.0;     ///< length before it was cut [m]; sets the element length
};

/// Joined round struts in space: a unit cell or a whole specimen, before it becomes beams.
struct StrutNet {
    std::vector<Vec3> nodes;        ///< [m]
    std::vector<bool> is_cut;       ///< one a node: a flat end on the plane that cut the strut
    std::vector<NetStrut> struts;   ///< each once
    Mat3 lattice = Mat3::Zero();    ///< columns: periods, or the gross size where not periodic [m]
    std::array<bool, 3> periodic{}; ///< along each lattice vector
};

/// Position of the second end of a strut, beside its first [m].
[[nodiscard]] Vec3 end_b(const StrutNet& net, const NetStrut& strut);
[[nodiscard]] double length(const StrutNet& net, const NetStrut& strut);

/// The cell as an endless net.
/// @param diameters one a strut [m], above 0
[[nodiscard]] StrutNet periodic_net(const StrutCell& cell, std::span<const double> diameters);

/// Diameters of all struts [m]. A cell without diameters of its own: `largest` for each. A cell
/// with its own: scaled in common so that the thickest has `largest`.
[[nodiscard]] std::vector<double> strut_diameters(const StrutCell& cell, double largest);

/// Volume of the parallelepiped of the lattice vectors [m^3].
[[nodiscard]] double cell_volume(const StrutCell& cell);

/// Length of a strut of the cell [m].
[[nodiscard]] double length(const StrutCell& cell, const Strut& strut);

} // namespace cellgrade
