// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/lumped_mass.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cellgrade {
namespace {

EndInertia true_share(const BeamElement& element, double h, double density) {
    const double r2 = element.radius * element.radius;
    const double mass = 0.5 * density * element.mass_factor * std::numbers::pi * r2 * h;
    return {.mass = mass, .axial = 0.5 * mass * r2, .bend = 0.25 * mass * r2};
}

void raise_to_axial(EndInertia& end, const BeamGroup& group, int lane) {
    const double EA = group.EA[lane], kGA = group.kGA[lane], h = group.h[lane];
    const double raised =
        std::max({end.axial, end.mass * group.EI[lane] / EA, end.mass * group.GJ[lane] / EA,
                  0.25 * end.mass * h * h * kGA / (EA - kGA)});
    end.axial = raised;
    end.bend = raised;
}

/// R0 diag(axial, bend, bend) R0^T of a frame whose e1 is the centre line.
Mat3 inertia_tensor(const EndInertia& end, const BeamGroup& group, int lane) {
    const double w = group.q0[0][lane], x = group.q0[1][lane];
    const double y = group.q0[2][lane], z = group.q0[3][lane];
    const Vec3 e1(1.0 - 2.0 * (y * y + z * z), 2.0 * (x * y + w * z), 2.0 * (x * z - w * y));
    return end.bend * Mat3::Identity() + (end.axial - end.bend) * e1 * e1.transpose();
}

} // namespace

LumpedMass
lumped_mass(const BeamMesh& mesh, const BeamBlock& block, double density, RotaryRule rule) {
    CELLGRADE_CHECK(density > 0.0 && std::isfinite(density), "density {} kg/m^3 must be above 0",
                    density);
    CELLGRADE_ASSERT(block.n_elements == static_cast<Index>(mesh.elements.size()));
    LumpedMass lumped;
    lumped.mass.assign(mesh.nodes.size(), 0.0);
    lumped.inertia.assign(mesh.nodes.size(), Mat3::Zero());
    lumped.end.resize(mesh.elements.size());
    double true_rotary = 0.0, used_rotary = 0.0;
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const BeamElement& element = mesh.elements[e];
        CELLGRADE_CHECK(element.mass_factor > 0.0 && std::isfinite(element.mass_factor),
                        "beam element {}: mass factor {} must be above 0", e, element.mass_factor);
        const BeamGroup& group = block.groups[e / group_lanes];
        const auto lane = static_cast<int>(e % group_lanes);
        EndInertia end = true_share(element, group.h[lane], density);
        true_rotary += end.axial + 2.0 * end.bend;
        if (rule == RotaryRule::RaisedToAxial) {
            CELLGRADE_CHECK(group.kGA[lane] < group.EA[lane],
                            "beam element {}: kGA = {} N is not below EA = {} N, so no rotary "
                            "inertia brings shear down to the axial frequency",
                            e, group.kGA[lane], group.EA[lane]);
            raise_to_axial(end, group, lane);
        }
        used_rotary += end.axial + 2.0 * end.bend;
        lumped.end[e] = end;
        const Mat3 inertia = inertia_tensor(end, group, lane);
        for (const Index node : {element.a, element.b}) {
            lumped.mass[node] += end.mass;
            lumped.inertia[node] += inertia;
        }
    }
    lumped.total = ordered_sum(lumped.mass);
    lumped.added_rotary = true_rotary > 0.0 ? (used_rotary - true_rotary) / true_rotary : 0.0;
    return lumped;
}

} // namespace cellgrade
