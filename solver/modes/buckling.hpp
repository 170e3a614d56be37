// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/modes/supports.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// One way to buckle.
struct BucklingMode {
    double critical_strain = 0.0; ///< nominal, shortening / height, compression positive [-]
    double critical_force = 0.0;  ///< on the upper face at that strain, compression positive [N]
    std::vector<Vec3> shape;      ///< displacement a node, largest of length 1
};

/// Lowest linear buckling strains under compression along z, lowest first.
///
///   K u = 0 with u_z(top) = -height     (K + strain K_G(N(u))) phi = 0
///
/// The upper nodes move down together, all else as supported; across periodic sides the box keeps
/// its size. Axial forces N of this straight-sided state make K_G (beam_geometric_stiffness()), so
/// bending moments and changes of shape before buckling are left out: right for stretch-dominated
/// cells and slender columns, too high for bending-dominated ones, which soften before they buckle.
/// Imperfection shapes for a crush are its main use. The count is proved as in
/// natural_frequencies().
///
/// Source: linear stability, Bathe (1996), Finite Element Procedures, sec. 6.8.2 (from memory).
/// @param supports must hold z of every upper node and leave no motion without strain
/// @param count    how many, at least 1
/// @throws Error (Input) for a mesh without upper nodes, supports that do not hold them or leave
///         the specimen loose; (Run) when the iteration does not converge or nothing buckles
[[nodiscard]] std::vector<BucklingMode> buckling(const BeamMesh& mesh,
                                                 const SectionModuli& moduli,
                                                 std::span<const NodeSupport> supports,
                                                 int count);

/// Between platens glued to both faces.
[[nodiscard]] std::vector<BucklingMode>
buckling(const BeamMesh& mesh, const SectionModuli& moduli, int count);

} // namespace cellgrade
