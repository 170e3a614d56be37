// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_block.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"
#include "solver/elements/relaxation_step.hpp"
#include "solver/elements/tet_point.hpp"
#include "solver/elements/tet_shape.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

void check_nodes(const TetMesh& mesh) {
    const auto n_nodes = static_cast<Index>(mesh.nodes.size());
    for (std::size_t e = 0; e < mesh.tets.size(); ++e)
        for (const Index node : mesh.tets[e])
            CELLGRADE_CHECK(node >= 0 && node < n_nodes,
                            "tetrahedron {}: node {} is outside 0 .. {}", e, node, n_nodes - 1);
}

/// Writes element e of the mesh into a lane; false when its map is turned inside out.
bool fill_lane(TetGroup& group, int lane, const TetMesh& mesh, const TetNodes& nodes) {
    Eigen::Matrix<double, 3, 10> X;
    for (int a = 0; a < 10; ++a) {
        group.nodes[a][lane] = nodes[a];
        X.col(a) = mesh.nodes[nodes[a]];
    }
    bool sound = true;
    for (int q = 0; q < 4; ++q) {
        const Mat3 J0 = X * tet::slopes(q); // dX/dxi, columns xi
        const double volume = J0.determinant();
        sound = sound && volume > 0.0 && std::isfinite(volume);
        const Mat3 inverse = J0.inverse();
        for (int k = 0; k < 3; ++k)
            for (int j = 0; j < 3; ++j)
                group.inv_J0[q][3 * k + j][lane] = inverse(k, j);
        group.weight[q][lane] = volume / 24.0;
    }
    return sound;
}

} // namespace

TetBlock make_tet_block(const TetMesh& mesh,
                        const AnyLaw& law,
                        std::span<const PronyTerm> prony,
                        const std::optional<MullinsDamage>& damage) {
    check(law);
    check_prony(prony);
    if (damage)
        damage->check();
    CELLGRADE_CHECK(prony.size() <= static_cast<std::size_t>(max_prony_terms),
                    "prony: {} terms; at most {} are possible", prony.size(), max_prony_terms);
    check_nodes(mesh);
    TetBlock block{.law = law, .prony = {prony.begin(), prony.end()}, .damage = damage};
    block.n_elements = static_cast<Index>(mesh.tets.size());
    block.n_nodes = static_cast<Index>(mesh.nodes.size());
    const std::size_t n_groups = (mesh.tets.size() + group_lanes - 1) / group_lanes;
    block.groups.resize(n_groups);
    for (std::size_t i = 0; i < n_groups * group_lanes; ++i) {
        const std::size_t e = std::min(i, mesh.tets.size() - 1);
        CELLGRADE_CHECK(fill_lane(block.groups[i / group_lanes], static_cast<int>(i % group_lanes),
                                  mesh, mesh.tets[e]),
                        "tetrahedron {} is turned inside out at rest", e);
    }
    block.history.assign(n_groups * block.n_history(), Lanes{});
    block.stored.assign(n_groups, Lanes{});
    return block;
}

void set_bulk_viscosity(TetBlock& block, double linear, double quadratic, double density) {
    CELLGRADE_CHECK(linear >= 0.0 && quadratic >= 0.0 && std::isfinite(linear + quadratic),
                    "bulk viscosity {} and {} must not be below 0", linear, quadratic);
    CELLGRADE_CHECK(density > 0.0 && std::isfinite(density), "density {} kg/m^3 must be above 0",
                    density);
    const double kappa = initial_moduli(block.law).kappa0;
    block.viscosity.assign(block.groups.size(), TetViscosity{});
    for (std::size_t g = 0; g < block.groups.size(); ++g)
        for (int lane = 0; lane < group_lanes; ++lane) {
            const TetGroup& group = block.groups[g];
            const double volume = tet_volume(group, lane);
            const tet::Slopes grad = tet_mean_gradients(group, lane); // dv/dx at rest
            double mobility = 0.0; // sum |dv/dx_a|^2 / m_a [1/(m^2 kg)]
            for (int a = 0; a < 10; ++a)
                mobility += grad.row(a).squaredNorm() / (tet::mass_share(a) * density * volume);
            const double omega = std::sqrt(kappa * volume * mobility);
            const double size = std::cbrt(volume);
            TetViscosity& viscosity = block.viscosity[g];
            viscosity.linear[lane] = linear * 2.0 * kappa / omega;
            viscosity.quadratic[lane] = quadratic * quadratic * density * size * size;
            viscosity.volume[lane] = 1.0;
        }
}

std::vector<NodePoint> rest_positions(const TetMesh& mesh) {
    std::vector<NodePoint> x;
    x.reserve(mesh.nodes.size());
    for (const Vec3& node : mesh.nodes)
        x.push_back({node.x(), node.y(), node.z()});
    return x;
}

void place_copies(std::span<const NodeCopy> copies,
                  const Vec3& box,
                  std::span<NodePoint> x) noexcept {
    for (const NodeCopy& copy : copies) {
        const NodePoint& from = x[copy.original];
        x[copy.node] = {from.x + copy.image.x() * box.x(), from.y + copy.image.y() * box.y(),
                        from.z + copy.image.z() * box.z()};
    }
}

void element_energies(const TetBlock& block, std::span<double> stored) {
    CELLGRADE_ASSERT(static_cast<Index>(stored.size()) == block.n_elements);
    for (Index e = 0; e < block.n_elements; ++e)
        stored[e] = block.stored[e / group_lanes][e % group_lanes];
}

TetEnergies tet_energies(const TetBlock& block) {
    std::vector<double> each(block.n_elements);
    element_energies(block, each);
    TetEnergies total{.stored = ordered_sum(each)};
    if (block.viscosity.empty())
        return total;
    for (Index e = 0; e < block.n_elements; ++e)
        each[e] = block.viscosity[e / group_lanes].dissipated[e % group_lanes];
    total.dissipated = ordered_sum(each);
    return total;
}

} // namespace cellgrade
