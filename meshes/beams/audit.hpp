// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"

namespace cellgrade {

/// Throws an input error for the first thing that makes a beam mesh unfit for a crush: a node that
/// is not finite, lies outside a face or has no element; an element without length or radius, with
/// an end out of range, or given twice; a face without nodes; a node that cannot be reached from
/// the lower face (from the first node, when periodic along z).
void check_beam_mesh(const BeamMesh& mesh);

/// Length of an element [m].
[[nodiscard]] double length(const BeamMesh& mesh, const BeamElement& element);

/// Sum over the elements of A L mass_factor [m^3]; equals solid_volume.
[[nodiscard]] double mass_volume(const BeamMesh& mesh);

} // namespace cellgrade
