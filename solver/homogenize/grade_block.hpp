// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_setup.hpp"
#include "solver/homogenize/grade_law.hpp"

namespace cellgrade {

/// A full block of tetrahedra without cells, as a specimen endless sideways.
/// @param size          edge of the cube [m]
/// @param cubes         grid cubes along an edge, >= 3
[[nodiscard]] TetMesh full_block(double size, Index cubes);

/// A grade's law crushed as the grade was.
struct BlockProof {
    CrushRecord record;
    CrushCurve curve;
    std::vector<BranchError> branches; ///< of the block against the test
};

/// Crushes a full block of a grade's law by the explicit solver of the lattices, between platens
/// without friction, endless sideways with no mean stress, at the rate of the test and as far as
/// the law's errors are counted.
///
/// The state is even, so any difference from column_path is the solver's: contact layers of the
/// platens, inertia, a row's mean force against its end. A block of 10 mm takes seconds to a
/// minute.
[[nodiscard]] BlockProof
prove_grade_law(const PolymerCard& card, const GradeTest& test, const CrushHooks& hooks = {});

/// The same for a sheared test (a curve with columns of shear): the block is glued to its platens,
/// compressed to the strain of the test, and sheared as far. The difference is of shear stress over
/// shear strain. An isotropic law has G / E between 1/3 and 1/2: lattices whose shear is stiffer
/// (body-centred, octet) are missed by that, and the proof says by how much.
/// @throws Error (Input) for a test without shear
[[nodiscard]] BlockProof
prove_grade_shear(const PolymerCard& card, const GradeTest& test, const CrushHooks& hooks = {});

} // namespace cellgrade
