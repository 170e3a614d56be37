// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// A strut from node `a` of the home cell to node `b` of the cell `image_b` lattice vectors away.
struct Strut {
    Index a = no_index;
    Index b = no_index;
    Vec3i image_b = Vec3i::Zero();
};

/// A periodic cell of struts; every strut is listed once for the whole periodic structure, so that
/// struts on faces and edges are not counted twice when the cell is tiled.
struct StrutCell {
    std::string name;
    std::string source;            ///< where the geometry comes from, may be empty
    Mat3 lattice = Mat3::Zero();   ///< columns are the three lattice vectors [m]
    std::vector<Vec3> nodes;       ///< fractional coordinates, each component in [0, 1)
    std::vector<Strut> struts;     ///< never empty after reading
    std::vector<double> diameters; ///< one a strut [m]; empty: one diameter for all, chosen later
    bool is_whole = false; ///< a finite lattice from tables: never repeated, cut or made endless;
                           ///< its nodes may lie on the upper faces, and no strut has an image
};

} // namespace cellgrade
