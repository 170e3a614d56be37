// SPDX-License-Identifier: Apache-2.0
#include "meshes/beams/audit.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>
#include <tuple>

namespace cellgrade {
namespace {

std::string place(const Vec3& x) {
    return fmt::format("({:.4g}, {:.4g}, {:.4g}) mm", 1e3 * x.x(), 1e3 * x.y(), 1e3 * x.z());
}

void check_nodes(const BeamMesh& mesh) {
    const double margin = 1e-9 * mesh.box.z();
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
        const Vec3& x = mesh.nodes[n];
        CELLGRADE_CHECK(x.allFinite(), "node {} of the specimen has no finite place", n);
        CELLGRADE_CHECK(mesh.periodic[2] || (x.z() >= -margin && x.z() <= mesh.box.z() + margin),
                        "node {} at {} lies outside the faces of the specimen", n, place(x));
    }
}

void check_elements(const BeamMesh& mesh) {
    const auto n_nodes = static_cast<Index>(mesh.nodes.size());
    std::set<std::tuple<Index, Index, int, int, int>> seen;
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const BeamElement& element = mesh.elements[e];
        CELLGRADE_CHECK(element.a >= 0 && element.a < n_nodes && element.b >= 0 &&
                            element.b < n_nodes,
                        "element {} has an end that is no node", e);
        CELLGRADE_CHECK(std::isfinite(element.radius) && element.radius > 0.0,
                        "element {} has radius {} m", e, element.radius);
        CELLGRADE_CHECK(length(mesh, element) > 1e-6 * element.radius,
                        "element {} of strut {} at {} has no length", e, element.strut,
                        place(mesh.nodes[element.a]));
        const bool turned = element.a > element.b;
        const Vec3i image = turned ? Vec3i(-element.image_b) : element.image_b;
        CELLGRADE_CHECK(seen.emplace(std::min(element.a, element.b), std::max(element.a, element.b),
                                     image.x(), image.y(), image.z())
                            .second,
                        "element {} of strut {} at {} is given twice", e, element.strut,
                        place(mesh.nodes[element.a]));
    }
}

void check_reach(const BeamMesh& mesh) {
    std::vector<std::vector<Index>> neighbours(mesh.nodes.size());
    for (const BeamElement& element : mesh.elements) {
        neighbours[element.a].push_back(element.b);
        neighbours[element.b].push_back(element.a);
    }
    std::vector<bool> reached(mesh.nodes.size(), false);
    std::vector<Index> stack = mesh.bottom;
    if (mesh.periodic[2])
        stack = {0};
    for (const Index n : stack)
        reached[n] = true;
    while (!stack.empty()) {
        const Index here = stack.back();
        stack.pop_back();
        for (const Index there : neighbours[here])
            if (!reached[there]) {
                reached[there] = true;
                stack.push_back(there);
            }
    }
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        CELLGRADE_CHECK(reached[n], "node {} at {} is not joined to the lower face of the specimen",
                        n, place(mesh.nodes[n]));
}

} // namespace

double length(const BeamMesh& mesh, const BeamElement& element) {
    return (mesh.nodes[element.b] + mesh.box.cwiseProduct(element.image_b.cast<double>()) -
            mesh.nodes[element.a])
        .norm();
}

double mass_volume(const BeamMesh& mesh) {
    std::vector<double> parts;
    for (const BeamElement& e : mesh.elements)
        parts.push_back(std::numbers::pi * e.radius * e.radius * length(mesh, e) * e.mass_factor);
    return ordered_sum(parts);
}

void check_beam_mesh(const BeamMesh& mesh) {
    CELLGRADE_CHECK(!mesh.nodes.empty() && !mesh.elements.empty(), "the specimen is empty");
    check_nodes(mesh);
    check_elements(mesh);
    if (!mesh.periodic[2])
        CELLGRADE_CHECK(!mesh.bottom.empty() && !mesh.top.empty(),
                        "the specimen has no joint on its {} face: nothing can be pressed there",
                        mesh.bottom.empty() ? "lower" : "upper");
    check_reach(mesh);
}

} // namespace cellgrade
