// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/results/hdf5.hpp"

namespace cellgrade {

/// Group /mesh of a result file.
///
///   both      nodes_m [n,3], bottom, top; box_x_m, box_y_m, box_z_m, periodic, solid_volume_m3
///   beams     elements [m,2], image_b [m,3], radius_m, stiffness_factor, mass_factor, strut [m],
///             is_joint [n]; centre_line_volume_m3
///   solid     tets [m,10] and surface [k,6] in the order of TetNodes and FaceNodes, copies [c,5]:
///             node, original, image x y z; n_corners
void write_mesh(h5::Writer& file, const SpecimenMesh& mesh);

/// What write_mesh() wrote. Errors (input): numbers of nodes that are not there, datasets of
/// different lengths.
[[nodiscard]] SpecimenMesh read_mesh(const h5::Reader& file);

} // namespace cellgrade
