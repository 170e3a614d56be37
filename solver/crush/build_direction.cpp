// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/build_direction.hpp"

#include "materials/print/sampled_print.hpp"

namespace cellgrade {

namespace {

constexpr int loading_axis = 2;

void scale_beams(BeamMesh& mesh, double factor, int axis) {
    for (BeamElement& e : mesh.elements) {
        const Vec3 along =
            mesh.nodes[e.b] + e.image_b.cast<double>().cwiseProduct(mesh.box) - mesh.nodes[e.a];
        e.stiffness_factor *= factor_at_angle(factor, along[axis] / along.norm());
    }
}

} // namespace

void set_build_direction(CrushSetup& setup, double factor, int axis) {
    if (auto* mesh = std::get_if<BeamMesh>(&setup.mesh))
        scale_beams(*mesh, factor, axis);
    else
        scale_stress(setup.polymer, factor_at_angle(factor, axis == loading_axis ? 1.0 : 0.0));
}

} // namespace cellgrade
