// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_forces.hpp"
#include "tests/support/tet_meshes.hpp"

#include <Eigen/Geometry>

#include <random>
#include <vector>

/// Invented elements and positions for the tests of tetrahedra; the seeds are fixed.
namespace cellgrade::test {

inline constexpr double sample_size = 1e-3; // edge of an element [m]

/// One law of each kind, mu = 2 MPa, kappa 30 times as much, void 0.3; of the foam, which does not
/// split, kappa is 2.2 times mu.
inline std::vector<AnyLaw> sample_laws() {
    return {NeoHookean{.mu = 2e6, .kappa = 6e7, .void_fraction = 0.3},
            Yeoh{.C10 = 1e6, .C20 = 2e5, .C30 = 3e4, .kappa = 6e7, .void_fraction = 0.3},
            LinearElastic{.E = 5.87e6, .nu = 0.4674, .void_fraction = 0.3},
            MooneyRivlin{.C10 = 7e5, .C01 = 3e5, .kappa = 6e7, .void_fraction = 0.3},
            ArrudaBoyce{.mu = 1.9e6, .locking_stretch = 3.0, .kappa = 6e7, .void_fraction = 0.3},
            Ogden{.mu_1 = 2.2e6,
                  .alpha_1 = 1.7,
                  .mu_2 = -1e5,
                  .alpha_2 = -2.6,
                  .mu_3 = 0.0,
                  .alpha_3 = 0.0,
                  .mu_4 = 0.0,
                  .alpha_4 = 0.0,
                  .kappa = 6e7,
                  .void_fraction = 0.3},
            HillFoam{.mu_1 = 1.5e6,
                     .alpha_1 = 3.0,
                     .nu_1 = 0.3,
                     .mu_2 = 5e5,
                     .alpha_2 = -1.0,
                     .nu_2 = 0.3,
                     .mu_3 = 0.0,
                     .alpha_3 = 0.0,
                     .nu_3 = 0.0,
                     .void_fraction = 0.3}};
}

inline const std::vector<PronyTerm> sample_terms = {{.share = 0.2, .time_s = 1e-4},
                                                    {.share = 0.3, .time_s = 2e-3}};

/// On the scale of the energies at sample_gradient().
inline const MullinsDamage sample_damage{.r = 1.5, .m = 5e4, .beta = 0.2};

/// n elements with curved edges, each with ten nodes of its own.
inline TetMesh loose_tets(Index n, unsigned seed) {
    TetMesh mesh;
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> part(-0.04, 0.04);
    for (Index e = 0; e < n; ++e) {
        const TetMesh one =
            quadratic({{0, 0, 0}, {1, 0, 0}, {0.1, 1, 0}, {0.2, 0.3, 0.9}}, {{0, 1, 2, 3}});
        TetNodes nodes;
        for (int a = 0; a < 10; ++a) {
            nodes[a] = static_cast<Index>(mesh.nodes.size());
            const double x = part(random), y = part(random), z = part(random);
            mesh.nodes.push_back(sample_size * (one.nodes[a] + Vec3(x, y, z)));
        }
        mesh.tets.push_back(nodes);
    }
    return mesh;
}

/// Every node moved by up to `share` of the element size, about a mean deformation F.
inline std::vector<NodePoint>
deformed(const TetMesh& mesh, const Mat3& F, double share, unsigned seed) {
    std::vector<Vec3> x;
    for (const Vec3& X : mesh.nodes)
        x.push_back(F * X);
    shake(x, share * sample_size, seed);
    std::vector<NodePoint> points;
    for (const Vec3& at : x)
        points.push_back({at.x(), at.y(), at.z()});
    return points;
}

inline Mat3 sample_gradient() {
    return (Mat3() << 1.2, 0.15, -0.1, 0.05, 0.9, 0.2, 0.1, -0.15, 0.92).finished();
}

inline Vec3 vector_of(const NodeForce& f) {
    return {f.x, f.y, f.z};
}
inline Vec3 vector_of(const NodePoint& x) {
    return {x.x, x.y, x.z};
}

inline double largest(const std::vector<NodeForce>& forces) {
    double most = 0.0;
    for (const NodeForce& f : forces)
        most = std::max(most, vector_of(f).norm());
    return most;
}

inline double largest_difference(const std::vector<NodeForce>& a, const std::vector<NodeForce>& b) {
    double most = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i)
        most = std::max(most, (vector_of(a[i]) - vector_of(b[i])).norm());
    return most;
}

} // namespace cellgrade::test
