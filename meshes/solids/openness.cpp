// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/openness.hpp"

#include "meshes/solids/print_check.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace cellgrade {

namespace {

/// One bit a ray for each axis, cleared where a box of solid lies on it.
struct Views {
    std::array<Index, 3> n;
    std::array<std::vector<char>, 3> open;

    explicit Views(const std::array<Index, 3>& boxes) : n(boxes) {
        for (std::size_t axis = 0; axis < 3; ++axis)
            open[axis].assign(static_cast<std::size_t>(n[(axis + 1) % 3]) *
                                  static_cast<std::size_t>(n[(axis + 2) % 3]),
                              1);
    }
    void block(const std::array<Index, 3>& at) {
        for (std::size_t axis = 0; axis < 3; ++axis) {
            const std::size_t u = (axis + 1) % 3, v = (axis + 2) % 3;
            open[axis][static_cast<std::size_t>(at[v]) * static_cast<std::size_t>(n[u]) +
                       static_cast<std::size_t>(at[u])] = 0;
        }
    }
    [[nodiscard]] double share(std::size_t axis) const {
        const auto free = std::count(open[axis].begin(), open[axis].end(), 1);
        return static_cast<double>(free) / static_cast<double>(open[axis].size());
    }
};

} // namespace

Openness openness(const ImplicitSolid& solid, Index per_edge) {
    CELLGRADE_CHECK(solid.periodic[0] && solid.periodic[1] && solid.periodic[2],
                    "openness is that of an endless lattice; the solid is not periodic");
    const double spacing = solid.box.minCoeff() / per_edge;
    std::array<Index, 3> n{};
    for (int axis = 0; axis < 3; ++axis)
        n[static_cast<std::size_t>(axis)] =
            static_cast<Index>(std::lround(std::ceil(solid.box[axis] / spacing - 1e-9)));
    Views views(n);
    std::vector<Vec3> points(static_cast<std::size_t>(n[0]));
    std::vector<double> values(points.size());
    for (Index k = 0; k < n[2]; ++k)
        for (Index j = 0; j < n[1]; ++j) {
            for (Index i = 0; i < n[0]; ++i)
                points[static_cast<std::size_t>(i)] =
                    Vec3((i + 0.5) / n[0], (j + 0.5) / n[1], (k + 0.5) / n[2])
                        .cwiseProduct(solid.box);
            solid.field(points, values);
            for (Index i = 0; i < n[0]; ++i)
                if (values[static_cast<std::size_t>(i)] < 0.0)
                    views.block({i, j, k});
        }
    Openness out;
    for (std::size_t axis = 0; axis < 3; ++axis)
        out.through_view[axis] = views.share(axis);
    const PrintCheck check = check_print(solid, {}, spacing);
    if (check.opening)
        out.narrowest_opening = check.opening->width;
    return out;
}

} // namespace cellgrade
