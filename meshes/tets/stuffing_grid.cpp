// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/stuffing_grid.hpp"

#include "solver/core/error.hpp"

#include <cstdint>

namespace cellgrade {

StuffingGrid::StuffingGrid(const Vec3& box, const std::array<Index, 3>& cubes)
    : box_(box), n_(cubes) {
    std::int64_t corners = 1, centres = 1;
    for (int axis = 0; axis < 3; ++axis) {
        CELLGRADE_ASSERT(box[axis] > 0.0 && cubes[axis] >= 1);
        step_[axis] = box[axis] / static_cast<double>(cubes[axis]);
        corners *= cubes[axis] + std::int64_t{1};
        centres *= cubes[axis];
    }
    std::int64_t next = corners + centres;
    CELLGRADE_CHECK(next < INT32_MAX / 4,
                    "a grid of {} x {} x {} cubes is too large to mesh; a larger element size or a "
                    "smaller specimen is needed",
                    cubes[0], cubes[1], cubes[2]);
    first_centre_ = static_cast<Index>(corners);
    for (int side = 0; side < 6; ++side) {
        const int axis = side / 2;
        first_middle_[side] = static_cast<Index>(next);
        next += std::int64_t{n_[(axis + 1) % 3]} * n_[(axis + 2) % 3];
    }
    first_middle_[6] = static_cast<Index>(next);
}

Vec3i StuffingGrid::half_steps(Index node) const {
    if (node < first_centre_) {
        const Index row = n_[0] + 1, layer = row * (n_[1] + 1);
        return {2 * (node % row), 2 * (node % layer / row), 2 * (node / layer)};
    }
    if (node < first_middle_[0]) {
        const Index c = node - first_centre_, layer = n_[0] * n_[1];
        return {2 * (c % n_[0]) + 1, 2 * (c % layer / n_[0]) + 1, 2 * (c / layer) + 1};
    }
    int side = 0;
    while (node >= first_middle_[side + 1])
        ++side;
    const int axis = side / 2, u = (axis + 1) % 3, v = (axis + 2) % 3;
    const Index m = node - first_middle_[side];
    Vec3i at;
    at[axis] = side % 2 == 0 ? 0 : 2 * n_[axis];
    at[u] = 2 * (m % n_[u]) + 1;
    at[v] = 2 * (m / n_[u]) + 1;
    return at;
}

Vec3 StuffingGrid::position(Index node) const {
    const Vec3i at = half_steps(node);
    Vec3 x;
    for (int axis = 0; axis < 3; ++axis)
        x[axis] = at[axis] == 2 * n_[axis] ? box_[axis] : 0.5 * at[axis] * step_[axis];
    return x;
}

Index StuffingGrid::node_at(const Vec3i& at) const {
    const Vec3i half(at[0] / 2, at[1] / 2, at[2] / 2);
    const int odd = (at[0] & 1) + (at[1] & 1) + (at[2] & 1);
    for (int axis = 0; axis < 3; ++axis)
        if (at[axis] < 0 || at[axis] > 2 * n_[axis])
            return no_index;
    if (odd == 0)
        return half[0] + (n_[0] + 1) * (half[1] + (n_[1] + 1) * half[2]);
    if (odd == 3)
        return first_centre_ + half[0] + n_[0] * (half[1] + n_[1] * half[2]);
    if (odd == 1)
        return no_index;
    int axis = 0;
    while ((at[axis] & 1) != 0)
        ++axis;
    if (at[axis] != 0 && at[axis] != 2 * n_[axis])
        return no_index;
    const int u = (axis + 1) % 3, v = (axis + 2) % 3;
    return first_middle_[2 * axis + (at[axis] == 0 ? 0 : 1)] + half[u] + n_[u] * half[v];
}

} // namespace cellgrade
