// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/solid_stiffness.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_stiffness.hpp"

#include <Eigen/IterativeLinearSolvers>
#include <Eigen/SparseCore>

#include <algorithm>
#include <vector>

namespace cellgrade {

namespace {

using Vec30 = Eigen::Matrix<double, 30, 1>;
using Sparse = Eigen::SparseMatrix<double>;

constexpr double tolerance = 1e-8;

/// First unknown of each node: its three displacements; -1 for the held node. Copies have that of
/// their original.
struct Unknowns {
    std::vector<Eigen::Index> first;
    Eigen::Index count = 0;
};

Unknowns number_unknowns(const TetMesh& mesh) {
    Unknowns u;
    u.first.assign(mesh.nodes.size(), 0);
    for (const NodeCopy& copy : mesh.copies)
        u.first[copy.node] = -2;
    const Index held = mesh.tets.front()[0];
    Index origin = held;
    for (const NodeCopy& copy : mesh.copies)
        if (copy.node == held)
            origin = copy.original;
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
        if (u.first[n] == -2)
            continue;
        if (static_cast<Index>(n) == origin) {
            u.first[n] = -1;
            continue;
        }
        u.first[n] = u.count;
        u.count += 3;
    }
    for (const NodeCopy& copy : mesh.copies)
        u.first[copy.node] = u.first[copy.original];
    return u;
}

/// Displacements of an element's nodes under unit strain i, without the periodic part.
Vec30 affine(const TetMesh& mesh, const TetNodes& tet, int i) {
    Mat3 strain = Mat3::Zero();
    if (i < 3) {
        strain(i, i) = 1.0;
    } else {
        const int a = i == 3 ? 1 : 0, b = i == 5 ? 1 : 2; // yz xz xy
        strain(a, b) = strain(b, a) = 0.5;
    }
    Vec30 d;
    for (int n = 0; n < 10; ++n)
        d.segment<3>(3 * n) = strain * mesh.nodes[tet[n]];
    return d;
}

struct LinearSystem {
    Sparse K;
    Eigen::MatrixXd load; ///< one column a unit strain
};

LinearSystem assemble(const TetMesh& mesh, const TetBlock& block, const Unknowns& unknowns) {
    LinearSystem system;
    system.load = Eigen::MatrixXd::Zero(unknowns.count, 6);
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(465 * mesh.tets.size());
    for (std::size_t e = 0; e < mesh.tets.size(); ++e) {
        const Mat30 K = tet_stiffness(block, static_cast<Index>(e));
        Eigen::Matrix<double, 30, 6> strained;
        for (int i = 0; i < 6; ++i)
            strained.col(i) = K * affine(mesh, mesh.tets[e], i);
        for (int row = 0; row < 30; ++row) {
            const Eigen::Index r = unknowns.first[mesh.tets[e][row / 3]];
            if (r < 0)
                continue;
            system.load.row(r + row % 3) -= strained.row(row);
            for (int column = 0; column < 30; ++column) {
                const Eigen::Index c = unknowns.first[mesh.tets[e][column / 3]];
                if (c >= 0 && c + column % 3 <= r + row % 3) // the lower half is enough
                    entries.emplace_back(static_cast<int>(r + row % 3),
                                         static_cast<int>(c + column % 3), K(row, column));
            }
        }
    }
    system.K.resize(unknowns.count, unknowns.count);
    system.K.setFromTriplets(entries.begin(), entries.end());
    return system;
}

void check(const TetMesh& mesh, double youngs, double poisson) {
    CELLGRADE_CHECK(youngs > 0.0, "Young's modulus {} Pa must be above 0", youngs);
    CELLGRADE_CHECK(poisson > -1.0 && poisson < 0.5, "Poisson's ratio {} must lie in (-1, 0.5)",
                    poisson);
    CELLGRADE_CHECK(mesh.periodic[0] && mesh.periodic[1] && mesh.periodic[2] && !mesh.tets.empty(),
                    "the stiffness tensor needs a mesh that repeats along x, y and z");
}

} // namespace

SolidStiffness solid_stiffness(const TetMesh& mesh, double youngs, double poisson) {
    check(mesh, youngs, poisson);
    const TetBlock block =
        make_tet_block(mesh, LinearElastic{.E = youngs, .nu = poisson, .void_fraction = 0.0}, {});
    const Unknowns unknowns = number_unknowns(mesh);
    const LinearSystem system = assemble(mesh, block, unknowns);
    Eigen::ConjugateGradient<Sparse, Eigen::Lower, Eigen::IncompleteCholesky<double>> solver;
    solver.setTolerance(tolerance);
    solver.compute(system.K);
    SolidStiffness result;
    Eigen::MatrixXd w(unknowns.count, 6);
    for (int i = 0; i < 6; ++i) {
        w.col(i) = solver.solve(system.load.col(i));
        if (solver.info() != Eigen::Success)
            throw run_error("the stiffness of the solid did not converge: relative residual {:.2g} "
                            "after {} iterations",
                            solver.error(), solver.iterations());
        result.iterations = std::max(result.iterations, static_cast<Index>(solver.iterations()));
    }
    double volume = 0.0;
    for (std::size_t e = 0; e < mesh.tets.size(); ++e) {
        Eigen::Matrix<double, 30, 6> d;
        for (int i = 0; i < 6; ++i)
            d.col(i) = affine(mesh, mesh.tets[e], i);
        for (int n = 0; n < 10; ++n)
            if (const Eigen::Index first = unknowns.first[mesh.tets[e][n]]; first >= 0)
                d.middleRows<3>(3 * n) += w.middleRows<3>(first);
        result.C += d.transpose() * tet_stiffness(block, static_cast<Index>(e)) * d;
        for (const Lanes& weight : block.groups[e / group_lanes].weight)
            volume += weight[e % group_lanes];
    }
    result.C /= mesh.box.prod();
    result.C = 0.5 * (result.C + result.C.transpose()).eval();
    result.relative_density = volume / mesh.box.prod();
    return result;
}

} // namespace cellgrade
