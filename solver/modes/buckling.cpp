// SPDX-License-Identifier: Apache-2.0
#include "solver/modes/buckling.hpp"

#include "solver/core/error.hpp"
#include "solver/modes/eigenpairs.hpp"
#include "solver/modes/frame.hpp"

#include <Eigen/SparseCholesky>

#include <algorithm>

namespace cellgrade {

namespace {

/// State under unit nominal strain: end displacements and the force on the upper face.
struct UnitCompression {
    Eigen::VectorXd displacement; ///< 6 a node
    double force = 0.0;           ///< compression positive [N]
};

void check_held(const BeamMesh& mesh, const FrameUnknowns& unknowns) {
    CELLGRADE_CHECK(!mesh.top.empty() && mesh.box.z() > 0.0,
                    "buckling needs a specimen with an upper face; this mesh has {} upper nodes",
                    mesh.top.size());
    for (const Index node : mesh.top)
        CELLGRADE_CHECK(unknowns.at(node, 2) < 0,
                        "upper node {} is free to move along z; hold it, the platen moves it",
                        node);
}

Vec12 element_ends(const BeamElement& element, const Eigen::VectorXd& u) {
    Vec12 ends;
    ends << u.segment<6>(6 * element.a), u.segment<6>(6 * element.b);
    return ends;
}

/// Forces on the nodes, 6 a node, held ones too.
Eigen::VectorXd
internal_forces(const BeamMesh& mesh, const SectionModuli& moduli, const Eigen::VectorXd& u) {
    Eigen::VectorXd f = Eigen::VectorXd::Zero(u.size());
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const BeamElement& element = mesh.elements[e];
        const Vec12 end = frame_stiffness(mesh, e, moduli) * element_ends(element, u);
        f.segment<6>(6 * element.a) += end.head<6>();
        f.segment<6>(6 * element.b) += end.tail<6>();
    }
    return f;
}

UnitCompression unit_compression(const BeamMesh& mesh,
                                 const SectionModuli& moduli,
                                 const FrameUnknowns& unknowns,
                                 const SparseMatrix& K) {
    const Eigen::Index n = 6 * static_cast<Eigen::Index>(mesh.nodes.size());
    UnitCompression state{.displacement = Eigen::VectorXd::Zero(n)};
    for (const Index node : mesh.top)
        state.displacement[6 * node + 2] = -mesh.box.z();
    const Eigen::VectorXd imposed = internal_forces(mesh, moduli, state.displacement);
    Eigen::VectorXd load = Eigen::VectorXd::Zero(unknowns.count());
    for (Eigen::Index i = 0; i < n; ++i)
        if (const Eigen::Index row =
                unknowns.at(static_cast<Index>(i / 6), static_cast<int>(i % 6));
            row >= 0)
            load[row] = -imposed[i];
    const Eigen::SimplicialLDLT<SparseMatrix> factor(K);
    CELLGRADE_CHECK(factor.info() == Eigen::Success && factor.vectorD().minCoeff() > 0.0,
                    "buckling: the supports leave the specimen loose; hold it so that it cannot "
                    "move without strain");
    const Eigen::VectorXd free = factor.solve(load);
    for (Eigen::Index i = 0; i < n; ++i)
        if (const Eigen::Index row =
                unknowns.at(static_cast<Index>(i / 6), static_cast<int>(i % 6));
            row >= 0)
            state.displacement[i] = free[row];
    const Eigen::VectorXd reaction = internal_forces(mesh, moduli, state.displacement);
    for (const Index node : mesh.top)
        state.force -= reaction[6 * node + 2];
    return state;
}

/// Tension positive [N].
double axial_force(const BeamMesh& mesh,
                   std::size_t e,
                   const SectionModuli& moduli,
                   const Eigen::VectorXd& u) {
    const BeamElement& element = mesh.elements[e];
    const Vec12 end = frame_stiffness(mesh, e, moduli) * element_ends(element, u);
    return end.segment<3>(6).dot(element_axis(mesh, element).normalized());
}

} // namespace

std::vector<BucklingMode> buckling(const BeamMesh& mesh,
                                   const SectionModuli& moduli,
                                   std::span<const NodeSupport> supports,
                                   int count) {
    const FrameUnknowns unknowns(mesh, supports);
    check_held(mesh, unknowns);
    CELLGRADE_CHECK(count >= 1 && 3 * count < unknowns.count(),
                    "{} buckling modes asked for; at least 1 and fewer than a third of the {} free "
                    "unknowns are possible",
                    count, unknowns.count());
    const SparseMatrix K =
        assemble(mesh, unknowns, [&](std::size_t e) { return frame_stiffness(mesh, e, moduli); });
    const UnitCompression state = unit_compression(mesh, moduli, unknowns, K);
    const SparseMatrix softening = assemble(mesh, unknowns, [&](std::size_t e) {
        const BeamElement& element = mesh.elements[e];
        return beam_geometric_stiffness(element_axis(mesh, element), element.radius, moduli,
                                        -axial_force(mesh, e, moduli, state.displacement));
    });
    const Eigenpairs pairs = largest_eigenpairs(softening, K, count, "buckling");
    std::vector<BucklingMode> modes;
    for (Eigen::Index i = 0; i < pairs.values.size() && pairs.values[i] > 0.0; ++i) {
        const double strain = 1.0 / pairs.values[i];
        modes.push_back({.critical_strain = strain,
                         .critical_force = strain * state.force,
                         .shape = unknowns.shape(pairs.vectors.col(i))});
    }
    if (modes.empty())
        throw run_error("buckling: no strut is compressed, so nothing buckles");
    return modes;
}

std::vector<BucklingMode> buckling(const BeamMesh& mesh, const SectionModuli& moduli, int count) {
    return buckling(mesh, moduli, bonded_supports(mesh, Bonded::BothFaces), count);
}

} // namespace cellgrade
