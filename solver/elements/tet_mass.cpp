// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_mass.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"
#include "solver/elements/tet_point.hpp"
#include "solver/elements/tet_shape.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>
#include <numeric>

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

/// Node masses from those of the elements.
void spread_to_nodes(TetMass& mass, const TetMesh& mesh) {
    std::vector<Index> owner(mesh.nodes.size());
    std::iota(owner.begin(), owner.end(), 0);
    for (const NodeCopy& copy : mesh.copies)
        owner[copy.node] = copy.original;
    mass.node.assign(mesh.nodes.size(), 0.0);
    for (std::size_t e = 0; e < mesh.tets.size(); ++e)
        for (int a = 0; a < 10; ++a)
            mass.node[owner[mesh.tets[e][a]]] += tet::mass_share(a) * mass.element[e];
}

double added_mass(const TetMass& mass, std::span<const double> omega, double limit) {
    double added = 0.0;
    for (std::size_t e = 0; e < omega.size(); ++e)
        if (omega[e] > limit)
            added += mass.element[e] * (std::pow(omega[e] / limit, 2) - 1.0);
    return added;
}

} // namespace

TetMass tet_lumped_mass(const TetMesh& mesh, const TetBlock& block, double density) {
    CELLGRADE_CHECK(density > 0.0 && std::isfinite(density), "density {} kg/m^3 must be above 0",
                    density);
    CELLGRADE_ASSERT(block.n_elements == static_cast<Index>(mesh.tets.size()));
    TetMass mass;
    for (Index e = 0; e < block.n_elements; ++e) {
        const TetGroup& group = block.groups[e / group_lanes];
        const double of_element = density * tet_volume(group, e % group_lanes);
        mass.element.push_back(of_element);
        mass.laplacian.push_back(laplacian_bound(group, e % group_lanes, of_element));
    }
    spread_to_nodes(mass, mesh);
    mass.total = ordered_sum(mass.node);
    return mass;
}

double raise_small_masses(TetMass& mass,
                          const TetMesh& mesh,
                          std::span<const double> omega,
                          double share) {
    CELLGRADE_ASSERT(omega.size() == mass.element.size());
    CELLGRADE_CHECK(share >= 0.0, "added mass share {} is below 0", share);
    double high = *std::max_element(omega.begin(), omega.end()), low = 0.0;
    if (share == 0.0)
        return high;
    constexpr int halvings = 60;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (added_mass(mass, omega, middle) <= share * mass.total ? high : low) = middle;
    }
    mass.added = added_mass(mass, omega, high);
    for (std::size_t e = 0; e < omega.size(); ++e)
        if (const double raise = std::pow(omega[e] / high, 2); raise > 1.0) {
            mass.element[e] *= raise;
            mass.laplacian[e] /= raise;
        }
    spread_to_nodes(mass, mesh);
    return high;
}

} // namespace cellgrade
