// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_solver.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/thread_count.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/tet_meshes.hpp"
#include "tests/support/tet_statics.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

LinearElastic polymer(double poisson) {
    return {.E = 2.0, .nu = poisson, .void_fraction = 0.0};
}

/// 1e-8 of forces of the size of the shear modulus: the first residual has that of the bulk
/// modulus.
double tolerance(double poisson) {
    return 1e-8 * std::min(1.0, 1.5 * (1.0 - 2.0 * poisson) / (1.0 + poisson));
}

/// A distorted block, lower face held, upper face moved, a load inside.
struct Block {
    TetMesh mesh = box_mesh(4, 4, 12, Vec3(1.0, 1.2, 3.0));
    Support support{0};

    Block() {
        std::vector<Vec3> moved = mesh.nodes;
        shake(moved, 0.02, 7);
        move_corners(mesh, [&, at = 0](const Vec3& X) mutable {
            const Vec3& to = moved[at++];
            return X.z() < 1e-9 || X.z() > 3.0 - 1e-9 ? Vec3(to.x(), to.y(), X.z()) : to;
        });
        support = Support(mesh.nodes.size());
        for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
            const auto node = static_cast<Index>(n);
            const bool top = mesh.nodes[n].z() > 3.0 - 1e-9;
            if (mesh.nodes[n].z() < 1e-9 || top)
                for (int axis = 0; axis < 3; ++axis)
                    support.fix(node, axis, top ? 0.01 * (axis + 1) : 0.0);
            else
                support.load[3 * n] = 1e-4 * mesh.nodes[n].z();
        }
    }

    [[nodiscard]] TetSolver::Solution solve(double poisson, int copies) const {
        const TetBlock block = make_tet_block(mesh, polymer(poisson), {});
        const auto column = [&](const std::vector<double>& values) {
            return NodeFields(Eigen::Map<const Eigen::VectorXd>(
                                  values.data(), static_cast<Eigen::Index>(values.size()))
                                  .replicate(1, copies));
        };
        return TetSolver(mesh, block, support.fixed)
            .solve(column(support.u), column(support.load), tolerance(poisson));
    }
};

} // namespace

// The sparse factorisation of the same element matrices is the oracle. Tolerance: the residual is
// 1e-8 of forces of the shear modulus; times the condition of a bar three times its width, some
// 1e2.
TEST_CASE("tet solver: supports, loads and many fields give what a factorisation gives") {
    const Block b;
    for (const double poisson : {0.0, 0.3, 0.49, 0.4999}) {
        const TetBlock block = make_tet_block(b.mesh, polymer(poisson), {});
        const std::vector<double> want = solve_linear(b.mesh, stiffnesses(block), b.support);
        for (const int copies : {1, 3, 9}) { // one alone, side by side, eight and one
            const TetSolver::Solution got = b.solve(poisson, copies);
            INFO("nu ", poisson, ", ", copies, " fields, ", got.iterations, " iterations");
            double worst = 0.0;
            for (int k = 0; k < copies; ++k)
                for (std::size_t i = 0; i < want.size(); ++i)
                    worst = std::max(worst, std::abs(got.u(i, k) - want[i]));
            CHECK(worst < 1e-6 * 0.03);
            CHECK(got.iterations < 400);
        }
    }
}

TEST_CASE("tet solver: the same bits for any number of threads") {
    const Block b;
    use_threads(1);
    const NodeFields one = b.solve(0.45, 6).u;
    for (const int threads : {2, 4}) {
        use_threads(threads);
        CHECK(b.solve(0.45, 6).u == one);
    }
    use_threads(1);
}

TEST_CASE("tet solver: a solid that can move freely is told") {
    Block b;
    b.support = Support(b.mesh.nodes.size());
    b.support.load[2] = 1.0;
    CHECK_THROWS_AS((void)b.solve(0.3, 1), Error);
}
