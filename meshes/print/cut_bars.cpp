// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/cut_bars.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

/// Past a flat end, in radii: a cut at 11 degrees to the axis or more is whole.
constexpr double past_cut = 5.0;

/// Outward normal of the flat end of a strut that runs towards it by the unit vector `out`.
Vec3 end_normal(const BeamMesh& mesh, const Vec3& end, const Vec3& out) {
    constexpr double along_side = 1e-9; ///< a strut in a side does not cross it
    Vec3 normal = Vec3::Zero();
    int n_sides = 0;
    for (int k = 0; k < 3; ++k)
        for (const double side : {0.0, mesh.box[k]}) {
            const double outward = side == 0.0 ? -1.0 : 1.0;
            if (mesh.periodic[k] || end[k] != side || outward * out[k] < along_side)
                continue;
            ++n_sides;
            normal[k] = outward;
        }
    return n_sides == 1 && normal.dot(out) * std::hypot(1.0, past_cut) > 1.0 ? normal : out;
}

} // namespace

double CutBar::value(const Vec3& x) const noexcept {
    const Vec3 w = x - from;
    const double s = std::clamp(w.dot(along) / along.squaredNorm(), first, last);
    double f = (w - s * along).norm() - radius;
    if (first < 0.0)
        f = std::max(f, cut[0].dot(w));
    if (last > 1.0)
        f = std::max(f, cut[1].dot(w - along));
    return f;
}

double CutBar::reach() const noexcept {
    return radius * (first < 0.0 || last > 1.0 ? 1.0 + past_cut : 1.0);
}

std::vector<CutBar> cut_bars(const BeamMesh& mesh) {
    std::vector<int> degree(mesh.nodes.size(), 0);
    for (const BeamElement& e : mesh.elements) {
        ++degree[e.a];
        ++degree[e.b];
    }
    std::vector<CutBar> bars;
    for (std::size_t i = 0; i < mesh.elements.size();) {
        const BeamElement& start = mesh.elements[i];
        CutBar bar{.from = mesh.nodes[start.a], .radius = start.radius};
        Vec3i box = Vec3i::Zero();
        Index end = start.a;
        for (; i < mesh.elements.size() && mesh.elements[i].strut == start.strut; ++i) {
            box += mesh.elements[i].image_b;
            end = mesh.elements[i].b;
        }
        bar.along = mesh.nodes[end] + box.cast<double>().cwiseProduct(mesh.box) - bar.from;
        const double length = bar.along.norm();
        const double past = past_cut * bar.radius / length;
        if (degree[start.a] == 1) {
            bar.first = -past;
            bar.cut[0] = end_normal(mesh, mesh.nodes[start.a], -bar.along / length);
        }
        if (degree[end] == 1) {
            bar.last = 1.0 + past;
            bar.cut[1] = end_normal(mesh, mesh.nodes[end], bar.along / length);
        }
        bars.push_back(bar);
    }
    return bars;
}

} // namespace cellgrade
