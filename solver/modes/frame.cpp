// SPDX-License-Identifier: Apache-2.0
#include "solver/modes/frame.hpp"

#include "solver/core/error.hpp"

#include <algorithm>

namespace cellgrade {

FrameUnknowns::FrameUnknowns(const BeamMesh& mesh, std::span<const NodeSupport> supports)
    : number_(6 * mesh.nodes.size(), 0) {
    for (const NodeSupport& support : supports) {
        CELLGRADE_CHECK(
            support.node >= 0 && static_cast<std::size_t>(support.node) < mesh.nodes.size(),
            "a support names node {}, but the mesh has {} nodes", support.node, mesh.nodes.size());
        for (int dof = 0; dof < 6; ++dof)
            if (support.held[dof])
                number_[6 * support.node + dof] = -1;
    }
    for (Eigen::Index& number : number_)
        if (number == 0)
            number = count_++;
}

std::vector<Vec3> FrameUnknowns::shape(const Eigen::VectorXd& free) const {
    std::vector<Vec3> displacement(number_.size() / 6, Vec3::Zero());
    double largest = 0.0;
    for (std::size_t n = 0; n < displacement.size(); ++n) {
        for (int i = 0; i < 3; ++i)
            if (number_[6 * n + i] >= 0)
                displacement[n][i] = free[number_[6 * n + i]];
        largest = std::max(largest, displacement[n].norm());
    }
    if (largest > 0.0)
        for (Vec3& d : displacement)
            d /= largest;
    return displacement;
}

Vec3 element_axis(const BeamMesh& mesh, const BeamElement& element) {
    return mesh.nodes[element.b] - mesh.nodes[element.a] +
           element.image_b.cast<double>().cwiseProduct(mesh.box);
}

SparseMatrix assemble(const BeamMesh& mesh,
                      const FrameUnknowns& unknowns,
                      const std::function<Mat12(std::size_t)>& element_matrix) {
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(144 * mesh.elements.size());
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const Mat12 matrix = element_matrix(e);
        const std::array<Index, 2> node = {mesh.elements[e].a, mesh.elements[e].b};
        for (int i = 0; i < 12; ++i)
            for (int j = 0; j < 12; ++j) {
                const Eigen::Index row = unknowns.at(node[i / 6], i % 6);
                const Eigen::Index column = unknowns.at(node[j / 6], j % 6);
                if (row >= 0 && column >= 0)
                    entries.emplace_back(row, column, matrix(i, j));
            }
    }
    SparseMatrix sum(unknowns.count(), unknowns.count());
    sum.setFromTriplets(entries.begin(), entries.end());
    return sum;
}

Mat12 frame_stiffness(const BeamMesh& mesh, std::size_t e, const SectionModuli& m) {
    const BeamElement& element = mesh.elements[e];
    return element.stiffness_factor *
           beam_stiffness(element_axis(mesh, element), element.radius, m);
}

std::vector<NodeSupport> bonded_supports(const BeamMesh& mesh, Bonded bonded) {
    std::vector<NodeSupport> supports;
    const auto hold = [&supports](const std::vector<Index>& nodes) {
        for (const Index node : nodes)
            supports.push_back({.node = node, .held = {true, true, true, true, true, true}});
    };
    if (bonded != Bonded::Nowhere)
        hold(mesh.bottom);
    if (bonded == Bonded::BothFaces)
        hold(mesh.top);
    return supports;
}

} // namespace cellgrade
