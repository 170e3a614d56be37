// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/elements/beam_stiffness.hpp"
#include "solver/modes/supports.hpp"

#include <Eigen/SparseCore>

#include <functional>
#include <span>
#include <vector>

namespace cellgrade {

using SparseMatrix = Eigen::SparseMatrix<double>;

/// Numbers of the free unknowns: 6 a node, -1 where held.
class FrameUnknowns {
public:
    /// @throws Error (Input) for a support whose node is not in the mesh
    FrameUnknowns(const BeamMesh& mesh, std::span<const NodeSupport> supports);

    [[nodiscard]] Eigen::Index count() const { return count_; }
    [[nodiscard]] Eigen::Index at(Index node, int dof) const { return number_[6 * node + dof]; }
    /// Displacements of the nodes from a vector of free unknowns, largest of length 1 (or all
    /// zero).
    [[nodiscard]] std::vector<Vec3> shape(const Eigen::VectorXd& free) const;

private:
    std::vector<Eigen::Index> number_;
    Eigen::Index count_ = 0;
};

/// From end a to end b of an element, through the periodic sides [m].
[[nodiscard]] Vec3 element_axis(const BeamMesh& mesh, const BeamElement& element);

/// Sum of 12x12 element matrices over the free unknowns.
[[nodiscard]] SparseMatrix assemble(const BeamMesh& mesh,
                                    const FrameUnknowns& unknowns,
                                    const std::function<Mat12(std::size_t)>& element_matrix);

/// Stiffness of element e: exact static beam times its stiffness factor.
[[nodiscard]] Mat12 frame_stiffness(const BeamMesh& mesh, std::size_t e, const SectionModuli& m);

} // namespace cellgrade
