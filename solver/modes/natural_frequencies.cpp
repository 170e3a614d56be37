// SPDX-License-Identifier: Apache-2.0
#include "solver/modes/natural_frequencies.hpp"

#include "solver/core/error.hpp"
#include "solver/modes/eigenpairs.hpp"
#include "solver/modes/frame.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

/// Shift that makes K + sigma M positive definite for a floating specimen: the square of the
/// bending frequency scale of one strut as long as the box, far below all true frequencies but far
/// above rounding.
double shift(const BeamMesh& mesh, const SectionModuli& moduli, double density) {
    double thinnest = mesh.elements.front().radius;
    for (const BeamElement& element : mesh.elements)
        thinnest = std::min(thinnest, element.radius);
    const double length = mesh.box.norm();
    const double ratio = thinnest / (length * length);
    return moduli.youngs / density * ratio * ratio;
}

/// Inverse square roots of the nodal inertias, as 6x6 blocks on the diagonal.
std::vector<Mat3> inverse_roots(const LumpedMass& mass) {
    std::vector<Mat3> roots;
    for (std::size_t n = 0; n < mass.mass.size(); ++n) {
        const Eigen::SelfAdjointEigenSolver<Mat3> axes(mass.inertia[n]);
        CELLGRADE_CHECK(mass.mass[n] > 0.0 && axes.eigenvalues().minCoeff() > 0.0,
                        "node {} has mass {} kg; every node needs mass and inertia above 0", n,
                        mass.mass[n]);
        roots.push_back(axes.operatorInverseSqrt());
    }
    return roots;
}

} // namespace

NaturalModes natural_frequencies(const BeamMesh& mesh,
                                 const SectionModuli& moduli,
                                 double density,
                                 std::span<const NodeSupport> supports,
                                 int count) {
    CELLGRADE_CHECK(density > 0.0 && std::isfinite(density), "density {} kg/m^3 must be above 0",
                    density);
    CELLGRADE_CHECK(!mesh.elements.empty(), "the mesh has no elements");
    const FrameUnknowns unknowns(mesh, supports);
    CELLGRADE_CHECK(count >= 1 && 3 * count < unknowns.count(),
                    "{} frequencies asked for; at least 1 and fewer than a third of the {} free "
                    "unknowns are possible",
                    count, unknowns.count());
    const SparseMatrix K =
        assemble(mesh, unknowns, [&](std::size_t e) { return frame_stiffness(mesh, e, moduli); });
    const SparseMatrix M = assemble(mesh, unknowns, [&](std::size_t e) {
        const BeamElement& element = mesh.elements[e];
        return Mat12(element.mass_factor * beam_consistent_mass(element_axis(mesh, element),
                                                                element.radius, moduli, density));
    });
    const double sigma = shift(mesh, moduli, density);
    const Eigenpairs pairs =
        largest_eigenpairs(M, SparseMatrix(K + sigma * M), count, "natural frequencies");
    NaturalModes modes;
    for (Eigen::Index i = 0; i < pairs.values.size(); ++i) {
        const double squared = 1.0 / pairs.values[i] - sigma;
        // Rounding leaves up to about 1e-6 sigma where there is no strain at all.
        modes.omega.push_back(squared > 1e-4 * sigma ? std::sqrt(squared) : 0.0);
        modes.shape.push_back(unknowns.shape(pairs.vectors.col(i)));
    }
    return modes;
}

double
largest_frequency(const BeamMesh& mesh, const SectionModuli& moduli, const LumpedMass& mass) {
    CELLGRADE_CHECK(mass.mass.size() == mesh.nodes.size() &&
                        mass.inertia.size() == mesh.nodes.size(),
                    "{} masses given for {} nodes", mass.mass.size(), mesh.nodes.size());
    const std::vector<Mat3> roots = inverse_roots(mass);
    const SparseMatrix A = assemble(mesh, FrameUnknowns(mesh, {}), [&](std::size_t e) {
        const BeamElement& element = mesh.elements[e];
        Mat12 scale = Mat12::Zero();
        int corner = 0;
        for (const Index node : {element.a, element.b}) {
            scale.block<3, 3>(corner, corner) = Mat3::Identity() / std::sqrt(mass.mass[node]);
            scale.block<3, 3>(corner + 3, corner + 3) = roots[node];
            corner += 6;
        }
        const Mat12 K =
            element.stiffness_factor *
            beam_one_point_stiffness(element_axis(mesh, element), element.radius, moduli);
        return Mat12(scale * K * scale);
    });
    return std::sqrt(largest_eigenvalue(A));
}

} // namespace cellgrade
