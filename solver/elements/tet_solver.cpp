// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_solver.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/node_matrix.hpp"
#include "solver/elements/node_row.hpp"
#include "solver/elements/tet_cycle.hpp"
#include "solver/elements/tet_stiffness.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace cellgrade {

namespace {

constexpr Index most_rounds = 3000;
constexpr Index batch = 256; ///< elements whose matrices are kept at a time
constexpr std::array<std::array<int, 2>, 6> edges = {
    {{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}}};

/// Calls f(element, matrix) in order; the matrices are made by all threads, a batch at a time.
template <class F>
void for_each_stiffness(const TetBlock& block, F f) {
    std::vector<Mat30> K(batch);
    for (Index first = 0; first < block.n_elements; first += batch) {
        const Index n = std::min(batch, block.n_elements - first);
#pragma omp parallel for schedule(static)
        for (Index i = 0; i < n; ++i)
            K[i] = tet_stiffness(block, first + i);
        for (Index i = 0; i < n; ++i)
            f(first + i, K[i]);
    }
}

/// Displacements of the ten nodes from those of the corners.
Eigen::Matrix<double, 30, 12> from_corners() {
    Eigen::Matrix<double, 30, 12> J = Eigen::Matrix<double, 30, 12>::Zero();
    for (int a = 0; a < 4; ++a)
        J.block<3, 3>(3 * a, 3 * a).setIdentity();
    for (int m = 0; m < 6; ++m)
        for (const int a : edges[m])
            J.block<3, 3>(12 + 3 * m, 3 * a) = 0.5 * Mat3::Identity();
    return J;
}

} // namespace

NodeFields tet_linear_forces(const TetMesh& mesh, const TetBlock& block, const NodeFields& u) {
    NodeFields f = NodeFields::Zero(u.rows(), u.cols());
    NodeFields own(30, u.cols()), forces(30, u.cols());
    for_each_stiffness(block, [&](Index e, const Mat30& K) {
        for (int a = 0; a < 10; ++a)
            own.middleRows<3>(3 * a) = u.middleRows<3>(3 * mesh.tets[e][a]);
        forces.noalias() = K * own;
        for (int a = 0; a < 10; ++a)
            f.middleRows<3>(3 * mesh.tets[e][a]) += forces.middleRows<3>(3 * a);
    });
    return f;
}

struct TetSolver::System {
    const TetMesh& mesh;
    const TetBlock& block;
    std::vector<Index> unknown; ///< of each node of the mesh
    std::vector<char> held;     ///< of the unknowns
    NodeMatrix fine, coarse;
    EdgeParents parents;
    std::unique_ptr<CornerCycle> corner_cycle;
    std::unique_ptr<TetCycle> cycle;

    System(const TetMesh& m, const TetBlock& b) : mesh(m), block(b) {}
    void number(std::span<const char> mesh_held);
    void assemble();
    void make_cycles();
    template <int W>
    [[nodiscard]] NodeRows<W> loads(const NodeFields& forces, Index first, int columns) const;
    template <int W>
    [[nodiscard]] Index solve(NodeRows<W> r, NodeRows<W>& x, double tolerance) const;
    template <int W>
    [[nodiscard]] Index
    add_solution(const NodeFields& forces, NodeFields& u, Index first, double tolerance) const;
};

void TetSolver::System::number(std::span<const char> mesh_held) {
    unknown.assign(mesh.nodes.size(), 0);
    for (const NodeCopy& copy : mesh.copies)
        unknown[copy.node] = no_index;
    Index count = 0;
    for (std::size_t n = 0; n < unknown.size(); ++n) {
        if (static_cast<Index>(n) == mesh.n_corners)
            parents.n_corners = count;
        if (unknown[n] != no_index)
            unknown[n] = count++;
    }
    for (const NodeCopy& copy : mesh.copies)
        unknown[copy.node] = unknown[copy.original];
    held.assign(3 * static_cast<std::size_t>(count), 0);
    for (std::size_t i = 0; i < mesh_held.size(); ++i)
        if (mesh_held[i])
            held[3 * static_cast<std::size_t>(unknown[i / 3]) + i % 3] = 1;
    parents.of.resize(static_cast<std::size_t>(count - parents.n_corners));
    for (const TetNodes& tet : mesh.tets)
        for (std::size_t k = 0; k < 6; ++k)
            parents.of[unknown[tet[4 + k]] - parents.n_corners] = {unknown[tet[edges[k][0]]],
                                                                   unknown[tet[edges[k][1]]]};
}

void TetSolver::System::assemble() {
    std::vector<Index> all, corners;
    for (const TetNodes& tet : mesh.tets)
        for (int a = 0; a < 10; ++a) {
            all.push_back(unknown[tet[a]]);
            if (a < 4)
                corners.push_back(unknown[tet[a]]);
        }
    fine = node_pattern(all, 10, static_cast<Index>(held.size() / 3));
    coarse = node_pattern(corners, 4, parents.n_corners);
    const Eigen::Matrix<double, 30, 12> J = from_corners();
    const auto hold = [&](auto& K, const Index* nodes) { // rows and columns away but the diagonal
        for (int i = 0; i < K.rows(); ++i)
            if (held[3 * static_cast<std::size_t>(nodes[i / 3]) + i % 3]) {
                const double diagonal = K(i, i);
                K.row(i).setZero();
                K.col(i).setZero();
                K(i, i) = diagonal;
            }
    };
    const auto add = [&](NodeMatrix& A, const auto& K, const Index* nodes, int n) {
        for (int a = 0; a < n; ++a)
            for (int b = 0; b < n; ++b) {
                NodeMatrix::Block& block_ab = A.at(nodes[a], nodes[b]);
                for (int i = 0; i < 9; ++i)
                    block_ab[i] += K(3 * a + i / 3, 3 * b + i % 3);
            }
    };
    for_each_stiffness(block, [&](Index e, const Mat30& K) {
        const Index* nodes = &all[10 * static_cast<std::size_t>(e)];
        Mat30 free = K;
        hold(free, nodes);
        add(fine, free, nodes, 10);
        for (int i = 12; i < 30; ++i) // a held edge middle is no spring between its corners
            if (held[3 * static_cast<std::size_t>(nodes[i / 3]) + i % 3])
                free(i, i) = 0.0;
        Eigen::Matrix<double, 12, 12> linear = J.transpose() * free * J;
        hold(linear, nodes);
        add(coarse, linear, nodes, 4);
    });
}

void TetSolver::System::make_cycles() {
    std::vector<Vec3> x(static_cast<std::size_t>(parents.n_corners));
    for (Index n = 0; n < mesh.n_corners; ++n)
        x[unknown[n]] = mesh.nodes[n];
    Vec3 box = mesh.box;
    for (int axis = 0; axis < 3; ++axis)
        if (!mesh.periodic[axis])
            box[axis] = std::numeric_limits<double>::infinity();
    corner_cycle = std::make_unique<CornerCycle>(coarse, rigid_patches(coarse, x, box, held));
    cycle = std::make_unique<TetCycle>(fine, *corner_cycle, parents, held);
}

template <int W>
NodeRows<W> TetSolver::System::loads(const NodeFields& forces, Index first, int columns) const {
    NodeRows<W> r(held.size() / 3);
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i)
        for (int a = 0; a < 3; ++a)
            for (int k = 0; k < columns; ++k)
                if (!held[3 * static_cast<std::size_t>(unknown[i]) + a])
                    r[unknown[i]].at[a * W + k] -= forces(3 * i + a, first + k);
    return r;
}

template <int W>
Index TetSolver::System::solve(NodeRows<W> r, NodeRows<W>& x, double tolerance) const {
    const auto n = static_cast<Index>(r.size());
    NodeRows<W> p(r.size()), q(r.size()), z(r.size()), used(r.size());
    std::array<double, W> limit = dots(r, r), rz{}, beta{}, alpha{};
    for (double& square : limit)
        square *= tolerance * tolerance;
    for (Index round = 0; round <= most_rounds; ++round) {
        const std::array<double, W> now = dots(r, r);
        bool done = true;
        for (int k = 0; k < W; ++k)
            done = done && now[k] <= limit[k];
        if (done)
            return round;
        used = r;
        cycle->apply(used, z);
        const std::array<double, W> rz_next = dots(r, z);
        for (int k = 0; k < W; ++k)
            beta[k] = rz[k] > 0.0 ? rz_next[k] / rz[k] : 0.0;
        rz = rz_next;
#pragma omp parallel for schedule(static) if (n > small_job)
        for (Index i = 0; i < n; ++i)
            for (int k = 0; k < 3 * W; ++k)
                p[i].at[k] = z[i].at[k] + beta[k % W] * p[i].at[k];
        multiply(fine, p, q);
        const std::array<double, W> pq = dots(p, q);
        for (int k = 0; k < W; ++k) // a field that is done rests
            alpha[k] = pq[k] > 0.0 && now[k] > limit[k] ? rz[k] / pq[k] : 0.0;
#pragma omp parallel for schedule(static) if (n > small_job)
        for (Index i = 0; i < n; ++i)
            for (int k = 0; k < 3 * W; ++k) {
                x[i].at[k] += alpha[k % W] * p[i].at[k];
                r[i].at[k] -= alpha[k % W] * q[i].at[k];
            }
    }
    throw run_error("the linear solution of the solid did not converge in {} iterations; a part of "
                    "it may be free to move, or its elements too flat",
                    most_rounds);
}

template <int W>
Index TetSolver::System::add_solution(const NodeFields& forces,
                                      NodeFields& u,
                                      Index first,
                                      double tolerance) const {
    const int columns = std::min(W, static_cast<int>(u.cols()) - first);
    NodeRows<W> x(held.size() / 3);
    const Index rounds = solve(loads<W>(forces, first, columns), x, tolerance);
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i)
        for (int a = 0; a < 3; ++a)
            for (int k = 0; k < columns; ++k)
                u(3 * i + a, first + k) += x[unknown[i]].at[a * W + k];
    return rounds;
}

TetSolver::TetSolver(const TetMesh& mesh, const TetBlock& block, std::span<const char> held)
    : system_(std::make_unique<System>(mesh, block)) {
    system_->number(held);
    system_->assemble();
    system_->make_cycles();
}

TetSolver::~TetSolver() = default;

TetSolver::Solution
TetSolver::solve(const NodeFields& u0, const NodeFields& loads, double tolerance) const {
    Solution s{.u = u0};
    NodeFields forces = tet_linear_forces(system_->mesh, system_->block, u0);
    if (loads.size() > 0)
        forces -= loads;
    const auto n = static_cast<Index>(u0.cols());
    for (Index first = 0; first < n; first += 8)
        s.iterations = std::max(
            s.iterations, n - first == 1 ? system_->add_solution<1>(forces, s.u, first, tolerance)
                                         : system_->add_solution<8>(forces, s.u, first, tolerance));
    return s;
}

} // namespace cellgrade
