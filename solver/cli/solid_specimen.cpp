// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/solid_specimen.hpp"

#include "meshes/quality/tet_quality.hpp"
#include "meshes/solids/printed_solid.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <cmath>
#include <utility>

namespace cellgrade {

namespace {

constexpr double most_volume_error = 0.005;

SolidPlan plan_of(const SpecimenChoice& s) {
    CELLGRADE_CHECK(s.node_offset_share == 0.0 && s.diameter_scatter == 0.0 &&
                        s.buckling_shape == 0.0,
                    "node_offset_share, diameter_scatter_share and buckling_shape_share are known "
                    "for beams only");
    CELLGRADE_CHECK(!s.elements_per_strut, "elements_per_strut is known for beams only; for solids "
                                           "give element_length_mm or elements_across");
    SolidPlan plan{
        .tiles = s.tiles,
        .periodic = {s.periodic_sides, s.periodic_sides, s.ends == SpecimenEnds::Periodic},
        .densities = s.layer_relative_densities,
        .amount = s.diameter,
        .fillet_radius = s.fillet_radius};
    if (s.relative_density)
        plan.densities = {*s.relative_density};
    return plan;
}

void check_volume(const TetMesh& mesh, const Log& log) {
    const double error = curved_volume(mesh) / mesh.solid_volume - 1.0;
    CELLGRADE_CHECK(std::abs(error) < most_volume_error,
                    "the volume of the mesh misses that of the solid by {:.2g} %, {} % is allowed, "
                    "although its surface was moved by {:.3g} mm; smaller elements are needed",
                    100.0 * error, 100.0 * most_volume_error, mesh.surface_shift / units::mm);
    log.write(LogLevel::Decision,
              "volume of the mesh / solid - 1: {:.2g} %, after its surface was moved by {:.2g} mm",
              100.0 * error, mesh.surface_shift / units::mm);
}

} // namespace

SolidSpecimen build_solid(const SpecimenChoice& choice,
                          const AnyCell& cell,
                          double thickness_offset,
                          const Log& log) {
    const SolidPlan plan = plan_of(choice);
    if (std::holds_alternative<LevelSetCell>(cell))
        CELLGRADE_CHECK(!choice.diameter,
                        "diameter_mm: the cell {} has no struts; "
                        "relative_density is needed",
                        name_of(cell));
    PrintedSolid printed = printed_solid(cell, plan, thickness_offset);
    const TiledSolid& drawn = printed.drawn;
    CELLGRADE_CHECK(drawn.solid.narrowest >= choice.min_diameter,
                    "the narrowest wall or strut, about {:.3g} mm, is thinner than {:.3g} mm, the "
                    "thinnest that prints",
                    drawn.solid.narrowest / units::mm, choice.min_diameter / units::mm);
    SolidSpecimen s{.solid = std::move(printed.solid),
                    .mesh = {},
                    .relative_density = printed.relative_density,
                    .drawn_density = printed.drawn_density,
                    .amounts = std::move(printed.drawn.amounts)};
    const double volume = s.relative_density * s.solid.box.prod();
    s.mesh =
        mesh_solid(s.solid,
                   {.element_size = choice.element_length.value_or(0.0) / choice.element_refinement,
                    .across = choice.elements_across * choice.element_refinement,
                    .volume = volume},
                   log);
    s.mesh.solid_volume = volume;
    check_volume(s.mesh, log);
    return s;
}

} // namespace cellgrade
