// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_mass.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"
#include "solver/elements/tet_point.hpp"
#include "solver/elements/tet_shape.hpp"

#include <Eigen/Eigenvalues>

#include <cmath>

namespace cellgrade {
namespace {

using Mat10 = Eigen::Matrix<double, 10, 10>;

double laplacian_bound(const TetGroup& group, int lane, double mass) {
    Mat10 K = Mat10::Zero();
    for (int q = 0; q < 4; ++q) {
        const tet::Slopes grad = tet_gradients(group, lane, q);
        K += group.weight[q][lane] * grad * grad.transpose();
    }
    Eigen::Matrix<double, 10, 1> per_root;
    for (int a = 0; a < 10; ++a)
        per_root[a] = 1.0 / std::sqrt(tet::mass_share(a) * mass);
    const Mat10 scaled = per_root.asDiagonal() * K * per_root.asDiagonal();
    return Eigen::SelfAdjointEigenSolver<Mat10>(scaled, Eigen::EigenvaluesOnly).eigenvalues()[9];
}

} // namespace

TetMass tet_lumped_mass(const TetMesh& mesh, const TetBlock& block, double density) {
    CELLGRADE_CHECK(density > 0.0 && std::isfinite(density), "density {} kg/m^3 must be above 0",
                    density);
    CELLGRADE_ASSERT(block.n_elements == static_cast<Index>(mesh.tets.size()));
    std::vector<Index> owner(mesh.nodes.size());
    for (std::size_t n = 0; n < owner.size(); ++n)
        owner[n] = static_cast<Index>(n);
    for (const NodeCopy& copy : mesh.copies)
        owner[copy.node] = copy.original;
    TetMass mass;
    mass.node.assign(mesh.nodes.size(), 0.0);
    for (Index e = 0; e < block.n_elements; ++e) {
        const TetGroup& group = block.groups[e / group_lanes];
        const double of_element = density * tet_volume(group, e % group_lanes);
        mass.element.push_back(of_element);
        mass.laplacian.push_back(laplacian_bound(group, e % group_lanes, of_element));
        for (int a = 0; a < 10; ++a)
            mass.node[owner[mesh.tets[e][a]]] += tet::mass_share(a) * of_element;
    }
    mass.total = ordered_sum(mass.node);
    return mass;
}

} // namespace cellgrade
