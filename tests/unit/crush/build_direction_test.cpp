// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/build_direction.hpp"

#include "meshes/specimens/specimen.hpp"
#include "solver/cli/verify/known_cells.hpp"
#include "solver/crush/run_crush.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

namespace {

/// One slender body-centred cell, endless on all sides, elastic and slow.
CrushSetup endless_cell() {
    CrushSetup setup;
    setup.mesh = build_specimen(known_cells::body_centred(10e-3),
                                {.sides = Sides::Periodic,
                                 .ends = Ends::Periodic,
                                 .diameter = 0.5e-3,
                                 .beams = {.element_length = 1.1e-3, .joints = Joints::None}});
    setup.ends = SpecimenEnds::Periodic;
    setup.polymer = {.name = "linear",
                     .source = "invented for the test",
                     .density_kg_per_m3 = 1200.0,
                     .law = LinearElastic{.E = 50e6, .nu = 0.45, .void_fraction = 0.0}};
    setup.section = SectionKind::Resultants;
    setup.loading = {.strain_rate_per_s = 0.01, .to_strain = 0.02};
    return setup;
}

double last_force(const CrushSetup& setup) {
    const CrushRecord record = run_crush(setup);
    REQUIRE(record.trusted());
    return record.history.force_top_N.back();
}

} // namespace

// Exact      all struts of the cell stand at cos = 1/sqrt(3) to each axis: every force is that of
//            the isotropic cell times 1 / (1/(3 f) + 2/3)
// Tolerance  the forces are linear in the factor up to inertia, below 5 % of nothing here: waves of
//            a slow run, 1e-3
TEST_CASE("set_build_direction: a cell of struts at one angle is scaled by their factor") {
    const double f = 0.6, isotropic = last_force(endless_cell());
    for (const int axis : {0, 1, 2}) {
        CrushSetup setup = endless_cell();
        set_build_direction(setup, f, axis);
        CHECK(test::rel_err(last_force(setup), isotropic / (1.0 / (3.0 * f) + 2.0 / 3.0)) < 1e-3);
    }
}

TEST_CASE("set_build_direction: struts along the axis have the factor, those across it none") {
    CrushSetup setup;
    setup.mesh =
        build_specimen(known_cells::simple_cubic(5e-3), {.tiles = {2, 2, 2},
                                                         .sides = Sides::Periodic,
                                                         .diameter = 0.5e-3,
                                                         .beams = {.joints = Joints::None}});
    set_build_direction(setup, 0.7, 1);
    const BeamMesh& mesh = std::get<BeamMesh>(setup.mesh);
    int along = 0;
    for (const BeamElement& e : mesh.elements) {
        const Vec3 axis =
            mesh.nodes[e.b] + e.image_b.cast<double>().cwiseProduct(mesh.box) - mesh.nodes[e.a];
        const bool y = std::abs(axis.y()) > 0.5 * axis.norm();
        along += y ? 1 : 0;
        CHECK(test::rel_err(e.stiffness_factor, y ? 0.7 : 1.0) < 1e-14);
    }
    CHECK(along > 0);
}

TEST_CASE("set_build_direction: a solid takes the factor of the direction of loading") {
    CrushSetup setup = endless_cell();
    setup.mesh = TetMesh{};
    setup.polymer.law = NeoHookean{.mu = 2e6, .kappa = 1e8, .void_fraction = 0.0};
    CrushSetup across = setup;
    set_build_direction(setup, 0.8, 2);
    CHECK(test::rel_err(shear_modulus_Pa(setup.polymer), 1.6e6) < 1e-14);
    CHECK(test::rel_err(bulk_modulus_Pa(setup.polymer), 0.8e8) < 1e-14);
    set_build_direction(across, 0.8, 0);
    CHECK(shear_modulus_Pa(across.polymer) == 2e6);
}
