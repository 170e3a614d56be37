// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/lumped_mass.hpp"
#include "solver/modes/supports.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Small vibrations, lowest first.
struct NaturalModes {
    std::vector<double> omega; ///< circular frequencies [rad/s]; motions without strain: 0
    std::vector<std::vector<Vec3>> shape; ///< one a mode: displacement a node, largest of length 1
};

/// Lowest natural frequencies of a specimen of elastic beams.
///
///   (K - omega^2 M) phi = 0     exact static Timoshenko elements, consistent mass with rotary part
///
/// Converges from above, with the fourth power of the element length for slender struts and the
/// second where shear matters. Lanczos on
/// (K + sigma M)^-1 M; the number of frequencies below the last one is proved by the signs of the
/// pivots (Sylvester's law of inertia), so that none of a repeated frequency is missed.
/// Along periodic axes the shapes repeat with the box. Where a frequency is repeated its shapes are
/// one basis of many. Serial; memory of one sparse factor of 6 unknowns a node.
///
/// Source: Spectra library for the Lanczos iteration; Bathe (1996), Finite Element Procedures,
/// sec. 11.6 for the pivots (from memory).
/// @param density of the polymer [kg/m^3]; the mass factors of the mesh apply
/// @param count   how many, at least 1; must be below a third of the unknowns
/// @throws Error (Input) for such arguments or a support off the mesh; (Run) when the iteration
/// does
///         not converge or the count cannot be proved
[[nodiscard]] NaturalModes natural_frequencies(const BeamMesh& mesh,
                                               const SectionModuli& moduli,
                                               double density,
                                               std::span<const NodeSupport> supports,
                                               int count);

/// Largest circular frequency of the explicit solver's own mesh at rest [rad/s]: one-point elements
/// and its lumped mass. The leapfrog is stable below the step 2 / omega; beam_stable_omega() must
/// lie above. Free specimen.
/// @throws Error (Input) for a node without mass; (Run) when the iteration does not converge
[[nodiscard]] double
largest_frequency(const BeamMesh& mesh, const SectionModuli& moduli, const LumpedMass& mass);

} // namespace cellgrade
