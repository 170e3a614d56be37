// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/surface_pair.hpp"

#include "solver/contact/pair_kernel.hpp"

namespace cellgrade {

NearestPoints nearest_points(SurfacePair::Kind kind, const PairPlaces& x) noexcept {
    lane::PairVectors<double> at;
    for (int i = 0; i < 4; ++i)
        at[i] = {x[i].x(), x[i].y(), x[i].z()};
    const lane::Nearest<double> near =
        kind == SurfacePair::Kind::VertexTriangle
            ? lane::nearest_points<SurfacePair::Kind::VertexTriangle>(at)
            : lane::nearest_points<SurfacePair::Kind::EdgeEdge>(at);
    return {.share = near.share,
            .difference = {near.difference.x, near.difference.y, near.difference.z},
            .distance = near.distance};
}

} // namespace cellgrade
