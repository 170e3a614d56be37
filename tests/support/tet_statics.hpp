// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/tet_forces.hpp"
#include "solver/elements/tet_stiffness.hpp"
#include "solver/elements/tet_tiles.hpp"

#include <Eigen/SparseCholesky>

#include <cmath>
#include <limits>
#include <vector>

/// Static equilibrium of a tetrahedron mesh by Newton on the forces of the explicit kernel.
namespace cellgrade::test {

/// Displacement components that are given; the rest is free.
struct Support {
    std::vector<char> fixed;  ///< one a component, 3 n + i
    std::vector<double> u;    ///< given displacement where fixed [m]
    std::vector<double> load; ///< dead load where free [N]

    explicit Support(std::size_t n_nodes)
        : fixed(3 * n_nodes, 0), u(3 * n_nodes, 0.0), load(3 * n_nodes, 0.0) {}
    void fix(Index node, int axis, double value = 0.0) {
        fixed[3 * node + axis] = 1;
        u[3 * node + axis] = value;
    }
};

/// Work-equivalent loads of a uniform traction on every face whose six nodes `on_face` accepts: a
/// third of the face's force on each edge middle, by the three middles of edges as quadrature,
/// which is exact for flat faces with straight edges.
template <class OnFace>
void add_traction(Support& support, const TetMesh& mesh, const Vec3& traction, OnFace on_face) {
    constexpr int faces[4][6] = {
        {0, 1, 2, 4, 5, 6}, {0, 1, 3, 4, 8, 7}, {1, 2, 3, 5, 9, 8}, {0, 2, 3, 6, 9, 7}};
    for (const TetNodes& tet : mesh.tets)
        for (const auto& face : faces) {
            bool all = true;
            for (const int a : face)
                all = all && on_face(mesh.nodes[tet[a]]);
            if (!all)
                continue;
            const Vec3 &p = mesh.nodes[tet[face[0]]], &q = mesh.nodes[tet[face[1]]],
                       &r = mesh.nodes[tet[face[2]]];
            const double area = 0.5 * (q - p).cross(r - p).norm();
            for (int i = 3; i < 6; ++i)
                for (int axis = 0; axis < 3; ++axis)
                    support.load[3 * tet[face[i]] + axis] += traction[axis] * area / 3.0;
        }
}

using Sparse = Eigen::SparseMatrix<double>;

/// Number of each free component, -1 for fixed ones.
inline std::vector<int> number_free(const Support& support, int& n_free) {
    std::vector<int> number(support.fixed.size(), -1);
    n_free = 0;
    for (std::size_t i = 0; i < number.size(); ++i)
        if (!support.fixed[i])
            number[i] = n_free++;
    return number;
}

inline Sparse assemble(const TetMesh& mesh,
                       const std::vector<Mat30>& K,
                       const std::vector<int>& number,
                       int n_free) {
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(900 * mesh.tets.size());
    for (std::size_t e = 0; e < mesh.tets.size(); ++e)
        for (int i = 0; i < 30; ++i)
            for (int j = 0; j < 30; ++j) {
                const int row = number[3 * mesh.tets[e][i / 3] + i % 3];
                const int column = number[3 * mesh.tets[e][j / 3] + j % 3];
                if (row >= 0 && column >= 0 && row >= column)
                    entries.emplace_back(row, column, K[e](i, j));
            }
    Sparse matrix(n_free, n_free);
    matrix.setFromTriplets(entries.begin(), entries.end());
    return matrix;
}

/// Displacements of the linear problem [m]; empty when the matrix is singular.
inline std::vector<double>
solve_linear(const TetMesh& mesh, const std::vector<Mat30>& K, const Support& support) {
    int n_free = 0;
    const std::vector<int> number = number_free(support, n_free);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(n_free);
    for (std::size_t i = 0; i < number.size(); ++i)
        if (number[i] >= 0)
            right[number[i]] = support.load[i];
    for (std::size_t e = 0; e < mesh.tets.size(); ++e)
        for (int j = 0; j < 30; ++j) {
            const std::size_t at = 3 * mesh.tets[e][j / 3] + j % 3;
            if (support.fixed[at] && support.u[at] != 0.0)
                for (int i = 0; i < 30; ++i)
                    if (const int row = number[3 * mesh.tets[e][i / 3] + i % 3]; row >= 0)
                        right[row] -= K[e](i, j) * support.u[at];
        }
    Eigen::SimplicialLDLT<Sparse> solver(assemble(mesh, K, number, n_free));
    if (solver.info() != Eigen::Success)
        return {};
    const Eigen::VectorXd free = solver.solve(right);
    std::vector<double> u = support.u;
    for (std::size_t i = 0; i < number.size(); ++i)
        if (number[i] >= 0)
            u[i] = free[number[i]];
    return u;
}

inline std::vector<Mat30> stiffnesses(const TetBlock& block) {
    std::vector<Mat30> K;
    for (Index e = 0; e < block.n_elements; ++e)
        K.push_back(tet_stiffness(block, e));
    return K;
}

/// The mesh with ten nodes of its own for each element: every element can be moved alone.
inline TetMesh loosened(const TetMesh& mesh) {
    TetMesh loose;
    for (const TetNodes& tet : mesh.tets) {
        TetNodes own;
        for (int a = 0; a < 10; ++a) {
            own[a] = static_cast<Index>(loose.nodes.size());
            loose.nodes.push_back(mesh.nodes[tet[a]]);
        }
        loose.tets.push_back(own);
    }
    loose.n_corners = static_cast<Index>(loose.nodes.size());
    return loose;
}

inline double& component(NodePoint& x, int axis) {
    return axis == 0 ? x.x : axis == 1 ? x.y : x.z;
}

/// Tangents of all elements of a loosened block at x by central differences of step h [m].
inline std::vector<Mat30> tangents(TetBlock& loose, std::vector<NodePoint> x, double h) {
    std::vector<Mat30> K(loose.n_elements);
    std::vector<NodeForce> up(loose.n_slots()), down(loose.n_slots());
    for (int j = 0; j < 30; ++j) {
        const auto move = [&](double by) {
            for (Index e = 0; e < loose.n_elements; ++e)
                component(x[10 * e + j / 3], j % 3) += by;
        };
        move(h);
        bool sound = tet_forces(loose, x, 0.0, up, WithEnergy::No) == no_index;
        move(-2.0 * h);
        sound = tet_forces(loose, x, 0.0, down, WithEnergy::No) == no_index && sound;
        move(h);
        const double per = sound ? 0.5 / h : std::numeric_limits<double>::quiet_NaN();
        for (Index e = 0; e < loose.n_elements; ++e)
            for (int a = 0; a < 10; ++a) {
                const NodeForce &p = up[10 * e + a], &m = down[10 * e + a];
                K[e].block<3, 1>(3 * a, j) = per * Vec3(m.x - p.x, m.y - p.y, m.z - p.z);
            }
    }
    return K;
}

struct Equilibrium {
    std::vector<double> u;        ///< [m]
    std::vector<double> reaction; ///< internal force, equal to the load where free [N]
    bool found = false;
};

/// Newton in `steps` equal parts of supports and loads; stops where the residual is 1e-7 of the
/// largest nodal force, a few times the rounding of kappa (v - 1) at kappa/mu = 5000. An elastic
/// block only.
inline Equilibrium
solve_static(const TetMesh& mesh, TetBlock& block, const Support& support, int steps, double h) {
    const TetMesh apart = loosened(mesh);
    TetBlock loose = make_tet_block(apart, block.law, {});
    TetTiles tiles = make_tet_tiles(mesh);
    std::vector<NodeForce> force(mesh.nodes.size());
    Equilibrium now{.u = std::vector<double>(3 * mesh.nodes.size(), 0.0),
                    .reaction = std::vector<double>(3 * mesh.nodes.size(), 0.0)};
    int n_free = 0;
    const std::vector<int> number = number_free(support, n_free);
    std::vector<NodePoint> x = rest_positions(mesh), own(apart.nodes.size());
    Support part = support;
    for (int step = 1; step <= steps; ++step) {
        const double share = double(step) / steps;
        for (int round = 0; round < 25; ++round) {
            for (std::size_t i = 0; i < number.size(); ++i)
                component(x[i / 3], static_cast<int>(i % 3)) =
                    mesh.nodes[i / 3][static_cast<int>(i % 3)] + now.u[i];
            if (tet_node_forces(block, tiles, x, 0.0, force, WithEnergy::No) != no_index)
                return now;
            double residual = 0.0, largest = 0.0;
            for (std::size_t i = 0; i < number.size(); ++i) {
                const NodeForce& f = force[i / 3];
                now.reaction[i] = i % 3 == 0 ? -f.x : i % 3 == 1 ? -f.y : -f.z;
                largest = std::max(largest, std::abs(now.reaction[i]));
                part.load[i] = share * support.load[i] - now.reaction[i];
                part.u[i] = share * support.u[i] - now.u[i];
                if (number[i] >= 0)
                    residual = std::max(residual, std::abs(part.load[i]));
                else
                    part.u[i] = round == 0 ? part.u[i] : 0.0; // set whole, up to rounding
            }
            now.found = round > 0 && residual < 1e-7 * largest;
            if (now.found)
                break;
            for (std::size_t e = 0; e < mesh.tets.size(); ++e)
                for (int a = 0; a < 10; ++a)
                    own[10 * e + a] = x[mesh.tets[e][a]];
            const std::vector<double> du = solve_linear(mesh, tangents(loose, own, h), part);
            if (du.empty())
                return now;
            for (std::size_t i = 0; i < number.size(); ++i)
                now.u[i] += du[i];
        }
        if (!now.found)
            return now;
    }
    return now;
}

} // namespace cellgrade::test
