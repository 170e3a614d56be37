// SPDX-License-Identifier: Apache-2.0
#include "meshes/beams/subdivide.hpp"

#include "meshes/beams/joint_zones.hpp"
#include "meshes/density/rod_union.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cellgrade {
namespace {

constexpr int least_elements = 4;

using Zones = std::array<double, 2>;

double target_length(const NetStrut& strut, const BeamOptions& options) {
    if (options.element_length > 0.0)
        return options.element_length / options.refinement;
    const double d = 2.0 * strut.radius;
    return std::max(std::min(d, strut.whole_length / least_elements), 0.5 * d) / options.refinement;
}

void add_equal_parts(std::vector<double>& ends, double to, double target) {
    const double from = ends.back();
    // the small excess keeps exact halves from going up or down with rounding
    const int n = std::max(1, static_cast<int>(std::lround((to - from) / target + 1e-9)));
    for (int k = 1; k < n; ++k)
        ends.push_back(from + (to - from) * k / n);
    ends.push_back(to);
}

/// Ends of the elements along a strut of length L, from 0 to L.
std::vector<double>
element_ends(const NetStrut& strut, double L, const Zones& zones, const BeamOptions& options) {
    const double target = target_length(strut, options);
    const double least = options.element_length > 0.0 ? 0.0 : strut.radius / options.refinement;
    const auto own = [&](double zone) {
        return zone >= std::max(0.75 * target, least) ? zone : 0.0;
    };
    double first = own(zones[0]);
    double last = own(zones[1]);
    if (L - first - last < least)
        first = last = 0.0;
    std::vector<double> ends = {0.0};
    if (first > 0.0)
        add_equal_parts(ends, first, target);
    const double middle = L - first - last;
    const double fitting = least > 0.0 ? middle / std::max(1.0, std::floor(middle / least)) : 0.0;
    add_equal_parts(ends, L - last, std::max(target, std::min(fitting, middle)));
    if (last > 0.0)
        add_equal_parts(ends, L, target);
    return ends;
}

/// Share of [x0, x1] inside the zones of a strut of length L.
double zone_share(double x0, double x1, double L, const Zones& zones) {
    const double first = std::max(0.0, std::min(x1, zones[0]) - x0);
    const double last = std::max(0.0, x1 - std::max(x0, L - zones[1]));
    return std::min(1.0, (first + last) / (x1 - x0));
}

/// A point of the endless structure as a node of the mesh and the box it lies in.
struct Wrapped {
    Vec3 x;
    Vec3i box;
};

Wrapped wrap(const Vec3& p, const BeamMesh& mesh) {
    Wrapped w{p, Vec3i::Zero()};
    for (int k = 0; k < 3; ++k)
        if (mesh.periodic[k]) {
            w.box[k] = static_cast<int>(std::floor(p[k] / mesh.box[k] + 1e-12));
            w.x[k] = std::max(0.0, p[k] - w.box[k] * mesh.box[k]);
        }
    return w;
}

class Builder {
public:
    Builder(const StrutNet& net, const BeamOptions& options, BeamMesh& mesh)
        : net_(net), options_(options), mesh_(mesh) {
        for (const Vec3& p : net.nodes) {
            const Wrapped w = wrap(p, mesh);
            mesh.nodes.push_back(w.x);
            boxes_.push_back(w.box);
        }
        mesh.is_joint.assign(net.nodes.size(), true);
    }

    void add_strut(Index i, const Zones& zones, double mass_factor) {
        const NetStrut& strut = net_.struts[i];
        const Vec3 from = net_.nodes[strut.a];
        const Vec3 along = end_b(net_, strut) - from;
        const double L = along.norm();
        const std::vector<double> ends = element_ends(strut, L, zones, options_);
        Index here = strut.a;
        Vec3i box = boxes_[strut.a];
        for (std::size_t e = 1; e < ends.size(); ++e) {
            const bool is_last = e + 1 == ends.size();
            Vec3i next_box = boxes_[strut.b] + strut.image_b;
            const Index next = is_last ? strut.b : add_node(from + ends[e] / L * along, next_box);
            const double w = zone_share(ends[e - 1], ends[e], L, zones);
            mesh_.elements.push_back(
                {.a = here,
                 .b = next,
                 .image_b = next_box - box,
                 .radius = strut.radius,
                 .stiffness_factor = 1.0 / (w / options_.joint_stiffness + 1.0 - w),
                 .mass_factor = mass_factor,
                 .strut = i});
            here = next;
            box = next_box;
        }
    }

private:
    Index add_node(const Vec3& p, Vec3i& box) {
        const Wrapped w = wrap(p, mesh_);
        box = w.box;
        mesh_.nodes.push_back(w.x);
        mesh_.is_joint.push_back(false);
        return static_cast<Index>(mesh_.nodes.size() - 1);
    }

    const StrutNet& net_;
    const BeamOptions& options_;
    BeamMesh& mesh_;
    std::vector<Vec3i> boxes_; ///< one a node of the net
};

void find_faces(BeamMesh& mesh) {
    if (mesh.periodic[2])
        return;
    const double margin = 1e-9 * mesh.box.z();
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
        if (std::abs(mesh.nodes[n].z()) <= margin)
            mesh.bottom.push_back(static_cast<Index>(n));
        if (std::abs(mesh.nodes[n].z() - mesh.box.z()) <= margin)
            mesh.top.push_back(static_cast<Index>(n));
    }
}

void check(const StrutNet& net, const BeamOptions& options) {
    CELLGRADE_CHECK(net.lattice.isDiagonal() && net.lattice.diagonal().minCoeff() > 0.0,
                    "beams are made in a right-angled box along x, y, z only");
    CELLGRADE_CHECK(std::isfinite(options.element_length) && options.element_length >= 0.0,
                    "element length {} m is not allowed; a number above 0 is needed, or 0 for the "
                    "rule",
                    options.element_length);
    CELLGRADE_CHECK(std::isfinite(options.refinement) && options.refinement > 0.0,
                    "refinement {} of the elements is not allowed; a number above 0 is needed",
                    options.refinement);
    CELLGRADE_CHECK(std::isfinite(options.joint_stiffness) && options.joint_stiffness >= 1.0,
                    "joint stiffness factor {} is not allowed; a number of at least 1 is needed",
                    options.joint_stiffness);
}

} // namespace

BeamMesh subdivide(const StrutNet& net, const BeamOptions& options) {
    check(net, options);
    BeamMesh mesh{.box = net.lattice.diagonal(), .periodic = net.periodic};
    mesh.solid_volume = union_volume(net, Effort::Coarse);
    mesh.centre_line_volume = centre_line_volume(net);
    std::vector<Zones> zones(net.struts.size(), {0.0, 0.0});
    if (options.joints == Joints::Stiffened)
        zones = joint_zones(net);
    const double mass_factor = mesh.solid_volume / mesh.centre_line_volume;
    Builder builder(net, options, mesh);
    for (std::size_t i = 0; i < net.struts.size(); ++i)
        builder.add_strut(static_cast<Index>(i), zones[i], mass_factor);
    find_faces(mesh);
    return mesh;
}

} // namespace cellgrade
