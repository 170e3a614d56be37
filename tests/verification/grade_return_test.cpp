// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/specimens/specimen.hpp"
#include "solver/crush/run_crush.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/homogenize/grade_block.hpp"
#include "tests/unit/homogenize/grade_samples.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

using namespace cellgrade;

TEST_SUITE_BEGIN("verification");

// Problem    a block of a known grade law, pressed to half its height by the explicit solver
// Exact      the even column of the same law, column_path, with relaxation
// Tolerance  2 % of the area: the contact layers of two platens, 0.15 of an edge of 3.3 mm on 10
// mm,
//            give by stress over the confined modulus there, up to a tenth of their thickness: 1 %
//            of the height, on a plateau that hardly rises; and a row's mean force against its end
TEST_CASE("grade block: the explicit solver gives back the column of a grade law") {
    const PolymerCard card = test::known_card(0.0);
    const GradeTest column = test::crush_of(card, 0.5, 0.0, false);
    const BlockProof proof = prove_grade_law(card, column);
    CHECK(proof.record.trusted());
    REQUIRE(proof.branches.size() == 1);
    INFO("area ", proof.branches[0].area, " energy ", proof.branches[0].energy, " worst ",
         proof.branches[0].worst, " steps ", proof.record.steps);
    CHECK(proof.branches[0].to_strain > 0.49);
    CHECK(proof.branches[0].area < 0.02);
}

// Problem    proof by return: four cells at two densities are crushed, a law is fitted to each, a
//            solid block of the law is crushed by the same solver
// Exact      the crush of the cells, up to densification
// Tolerance  5 % of the area under the curve, the aim of the project. It holds the law's own misfit
//            (a stable law cannot follow the falling stress of octet and Kelvin cells), and what
//            the block adds
TEST_CASE("grade law: a block of it gives back the crush of four cells" * doctest::skip()) {
    const PolymerCard polymer = find_card("medium");
    for (const std::string name : {"octet", "kelvin", "body_centred", "diamond"})
        for (const double rb : {0.10, 0.15}) {
            CrushSetup setup{.mesh = {}, .polymer = polymer};
            setup.mesh = build_specimen(
                find_cell(name), {.tiles = {2, 2, 4}, .sides = Sides::Periodic, .densities = {rb}});
            setup.loading = {.strain_rate_per_s = 0.01, .to_strain = 0.85, .to_stress_ratio = 8.0};
            setup.platen_friction = 0.45;
            setup.strut_friction = 0.5;
            const CrushRecord record = run_crush(setup);
            CHECK(record.trusted());
            const CrushCurve curve = crush_curve(record);
            const double density = rb * polymer.density_kg_per_m3;
            const CrushTraits traits =
                crush_traits(curve, {.relative_density = rb,
                                     .solid_density_kg_per_m3 = polymer.density_kg_per_m3});
            REQUIRE(std::isfinite(traits.densification_strain));
            const GradeTest test{.name = name,
                                 .curve = curve,
                                 .strain_rate_per_s = 0.01,
                                 .to_strain = traits.densification_strain};
            const GradeLaw law = fit_grade_law({.name = name,
                                                .relative_density = rb,
                                                .density_kg_per_m3 = density,
                                                .prony = polymer.prony,
                                                .prony_source = "of the polymer",
                                                .compression = test});
            const BlockProof proof = prove_grade_law(law.card, test);
            INFO(name, " ", rb, ": law ", law.branches[0].area, ", block ", proof.branches[0].area,
                 " energy ", proof.branches[0].energy, " worst ", proof.branches[0].worst);
            CHECK(proof.record.trusted());
            CHECK(proof.branches[0].to_strain > traits.densification_strain - 0.01);
            CHECK(proof.branches[0].area < 0.05);
            CHECK(std::abs(proof.branches[0].energy) < 0.05);
        }
}

TEST_SUITE_END();
