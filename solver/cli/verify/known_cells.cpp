// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/verify/known_cells.hpp"

#include <cmath>
#include <numbers>
#include <string>
#include <utility>

namespace cellgrade::known_cells {

namespace {

StrutCell cubic(std::string name, double edge, std::vector<Vec3> nodes) {
    StrutCell cell;
    cell.name = std::move(name);
    cell.lattice = edge * Mat3::Identity();
    cell.nodes = std::move(nodes);
    return cell;
}

/// Adds a strut between all nodes (and their images) at fractional distance `length`, each once.
void join(StrutCell& cell, double length) {
    const Index n = static_cast<Index>(cell.nodes.size());
    for (Index a = 0; a < n; ++a)
        for (Index b = a; b < n; ++b)
            for (int code = 0; code < 27; ++code) {
                const Vec3i image(code / 9 - 1, code / 3 % 3 - 1, code % 3 - 1);
                const bool mirror = a == b && code <= 13; // the other half is its mirror image
                const Vec3 axis = cell.nodes[b] - cell.nodes[a] + image.cast<double>();
                if (!mirror && std::abs(axis.norm() - length) < 1e-9)
                    cell.struts.push_back({.a = a, .b = b, .image_b = image});
            }
}

const std::vector<Vec3>& face_centred_nodes() {
    static const std::vector<Vec3> nodes = {
        {0.0, 0.0, 0.0}, {0.0, 0.5, 0.5}, {0.5, 0.0, 0.5}, {0.5, 0.5, 0.0}};
    return nodes;
}

} // namespace

StrutCell simple_cubic(double edge) {
    StrutCell cell = cubic("simple cubic", edge, {{0.0, 0.0, 0.0}});
    join(cell, 1.0);
    return cell;
}

StrutCell body_centred(double edge) {
    StrutCell cell = cubic("body-centred", edge, {{0.0, 0.0, 0.0}, {0.5, 0.5, 0.5}});
    join(cell, std::sqrt(0.75));
    return cell;
}

StrutCell octet(double edge) {
    StrutCell cell = cubic("octet", edge, face_centred_nodes());
    join(cell, std::sqrt(0.5));
    return cell;
}

StrutCell face_centred(double edge) {
    StrutCell cell = octet(edge);
    cell.name = "face-centred";
    std::erase_if(cell.struts, [](const Strut& strut) { return strut.a != 0; });
    return cell;
}

StrutCell kelvin(double edge) {
    std::vector<Vec3> nodes;
    for (int axis = 0; axis < 3; ++axis)
        for (const auto& [second, third] : {std::pair{0.25, 0.5}, std::pair{0.75, 0.5},
                                            std::pair{0.5, 0.25}, std::pair{0.5, 0.75}}) {
            Vec3 node = Vec3::Zero();
            node[(axis + 1) % 3] = second;
            node[(axis + 2) % 3] = third;
            nodes.push_back(node);
        }
    StrutCell cell = cubic("kelvin", edge, std::move(nodes));
    join(cell, std::sqrt(0.125));
    return cell;
}

StrutCell body_centred_with_edges(double edge) {
    StrutCell cell = body_centred(edge);
    cell.name = "body-centred with edges";
    join(cell, 1.0);
    return cell;
}

StrutCell hexagon_layer(double side, double height) {
    StrutCell cell;
    cell.name = "hexagon layer";
    cell.lattice.col(0) = side * Vec3(std::sqrt(3.0), 0.0, 0.0);
    cell.lattice.col(1) = side * Vec3(0.5 * std::sqrt(3.0), 1.5, 0.0);
    cell.lattice.col(2) = height * Vec3::UnitZ();
    cell.nodes = {{0.0, 0.0, 0.0}, {1.0 / 3.0, 1.0 / 3.0, 0.0}};
    cell.struts = {{.a = 0, .b = 1, .image_b = {0, 0, 0}},
                   {.a = 0, .b = 1, .image_b = {-1, 0, 0}},
                   {.a = 0, .b = 1, .image_b = {0, -1, 0}}};
    return cell;
}

BeamMesh column(double length, double radius, int n_elements) {
    BeamMesh mesh;
    mesh.box = Vec3(2.0 * radius, 2.0 * radius, length);
    for (Index i = 0; i <= n_elements; ++i) {
        mesh.nodes.emplace_back(radius, radius, length * i / n_elements);
        mesh.is_joint.push_back(i == 0 || i == n_elements);
        if (i > 0)
            mesh.elements.push_back({.a = i - 1, .b = i, .radius = radius, .strut = 0});
    }
    mesh.bottom = {0};
    mesh.top = {n_elements};
    mesh.solid_volume = mesh.centre_line_volume = std::numbers::pi * radius * radius * length;
    return mesh;
}

} // namespace cellgrade::known_cells
