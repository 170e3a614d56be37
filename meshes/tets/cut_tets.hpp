// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/grid_cuts.hpp"
#include "meshes/tets/linear_tets.hpp"

#include <functional>
#include <utility>

namespace cellgrade {

/// Step 3 of stuff(): the inner part of one grid tetrahedron after another.
class TetCutter {
public:
    /// @param grid_node  number in the mesh of a grid node
    /// @param cut_node   number in the mesh of the crossing of a grid edge
    TetCutter(const GridCuts& g,
              LinearTets& mesh,
              std::function<Index(Index)> grid_node,
              std::function<Index(Index, Index)> cut_node)
        : g_(g), mesh_(mesh), grid_node_(std::move(grid_node)), cut_node_(std::move(cut_node)) {}

    void add(const Corners& tet, const ImplicitSolid& solid);

private:
    void whole(const Corners& tet);
    void fill(const Corners& nodes);
    void pyramid(const std::array<Index, 4>& ring, Index apex, bool first_diagonal);
    void wedge(const std::array<Index, 3>& a,
               const std::array<Index, 3>& b,
               const std::array<bool, 3>& diagonal);
    [[nodiscard]] bool shorter_diagonal(const std::array<Index, 4>& ring) const;
    [[nodiscard]] Index identity(Index node) const;

    void three_inside(const std::array<Index, 3>& inside, Index outside);
    void two_and_two(const std::array<Index, 2>& inside, const std::array<Index, 2>& outside);
    void two_and_one(const std::array<Index, 2>& inside, Index outside, Index on);

    const GridCuts& g_;
    LinearTets& mesh_;
    std::function<Index(Index)> grid_node_;
    std::function<Index(Index, Index)> cut_node_;
};

} // namespace cellgrade
