// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/subdivide.hpp"
#include "meshes/catalogue/strut_cell.hpp"
#include "solver/core/types.hpp"
#include "solver/elements/beam_stiffness.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Whether joints are stiffer than the struts; by default a plain frame from centre to centre.
struct JointModel {
    Joints joints = Joints::None;
    /// Factor on EA, GA, EI, GJ over joint_zones() of Joints::Stiffened, at least 1; see
    /// BeamOptions
    double stiffness = BeamOptions{}.joint_stiffness;
};

/// Elastic stiffness of a periodic cell, small strain.
struct ElasticStiffness {
    /// sigma = C eps [Pa]; order xx yy zz yz xz xy, engineering shear strains
    Mat6 C = Mat6::Zero();
    double cell_volume = 0.0;         ///< [m^3]
    double centre_line_density = 0.0; ///< sum A L / cell volume, overlaps at joints counted twice
};

/// Stiffness tensor of a periodic cell of round struts joined rigidly.
///
/// The macroscopic strain enters through the struts that cross into another cell image:
///
///   u_b = u_b(home) + eps (lattice image_b)    theta_b = theta_b(home)
///   C_ij = (1 / V) sum over struts d_i^T K d_j    d_i the end displacements under unit strain i
///
/// with the free displacements and rotations that make the energy least. One element a strut is
/// exact for the plain frame; with stiffened joints a strut has one more in each joint zone, whose
/// bounds are those of a crush mesh but for the rounding of that mesh to whole elements. The whole
/// cell may move: one joint is held against translation, which costs nothing because the loads
/// balance. Sparse LDL^T; serial.
///
/// Source: average-energy (Hill) condition on a periodic frame; for instance Vigliotti & Pasini
/// (2012), Comput. Methods Appl. Mech. Eng. 229 (from memory).
/// Valid for small strain and slender struts (joint overlap is not seen by Joints::None).
/// @param diameters one a strut [m]
/// @param moduli    a very large shear factor gives Euler-Bernoulli struts
/// @throws Error (Input) for moduli or diameters not above 0, a joint factor below 1, sizes that do
/// not match, a singular lattice, a strut of no length,
///         struts that hang together in more than one piece, or a frame that can move freely
[[nodiscard]] ElasticStiffness elastic_stiffness(const StrutCell& cell,
                                                 std::span<const double> diameters,
                                                 const SectionModuli& moduli,
                                                 const JointModel& joints = {});

/// The same with one diameter for every strut [m].
[[nodiscard]] ElasticStiffness elastic_stiffness(const StrutCell& cell,
                                                 double diameter,
                                                 const SectionModuli& moduli,
                                                 const JointModel& joints = {});

} // namespace cellgrade
