// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/strut_net.hpp"
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
// Tolerance  2 % of the area: the contact layers of two platens, 0.15 of an edge of 3.3 mm on 10,
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

// Problem    a neo-Hookean block glued to its platens, compressed by nothing, sheared to 0.4
// Exact      homogeneous simple shear, sigma_12 = mu g, J = 1 (references D6, Rivlin's universal
//            relation; Poynting's normal stress is held by the glued platens)
// Tolerance  1 %: inertia of the start and a row's mean force against its end
TEST_CASE("grade block: sheared, it gives back simple shear of a known law") {
    constexpr double mu = 0.1e6;
    const PolymerCard card{.name = "neo-Hookean",
                           .source = "invented for the test",
                           .density_kg_per_m3 = 150.0,
                           .law = NeoHookean{.mu = mu, .kappa = 10.0 * mu, .void_fraction = 0.0}};
    GradeTest test{.name = "simple shear", .curve = {}, .strain_rate_per_s = 0.01};
    for (int i = 0; i <= 400; ++i) {
        test.curve.nominal_strain.push_back(0.0);
        test.curve.nominal_stress_Pa.push_back(0.0);
        test.curve.shear_strain.push_back(1e-3 * i);
        test.curve.shear_stress_Pa.push_back(mu * 1e-3 * i);
    }
    test.curve.turn = static_cast<Index>(test.curve.nominal_strain.size());
    const BlockProof proof = prove_grade_shear(card, test);
    CHECK(proof.record.trusted());
    REQUIRE(proof.branches.size() == 1);
    INFO("area ", proof.branches[0].area, " worst ", proof.branches[0].worst);
    CHECK(proof.branches[0].to_strain > 0.39);
    CHECK(proof.branches[0].area < 0.01);
    CHECK_THROWS(
        (void)prove_grade_shear(card, test::crush_of(test::known_card(0.0), 0.5, 0.0, false)));
}

struct Return {
    GradeLaw law;
    BlockProof proof;
    CrushTraits traits;
    bool trusted = false;
};

/// Crush of a cell of 5 mm, 2 x 2 x 4, endless sideways, glued to its platens, six elements a strut
/// (examples/15_grade_law); its law; a block of the law.
Return there_and_back(const std::string& cell_name, double rb) {
    const PolymerCard polymer = find_card("medium");
    const StrutCell cell = find_cell(cell_name);
    double shortest = HUGE_VAL;
    for (const Strut& strut : cell.struts)
        shortest = std::min(shortest, length(cell, strut));
    CrushSetup setup{.mesh = {}, .polymer = polymer};
    setup.mesh = build_specimen(cell, {.tiles = {2, 2, 4},
                                       .sides = Sides::Periodic,
                                       .densities = {rb},
                                       .beams = {.element_length = shortest / 6.0}});
    setup.loading = {.strain_rate_per_s = 0.01, .to_strain = 0.8, .to_stress_ratio = 8.0};
    setup.ends = SpecimenEnds::Bonded;
    setup.strut_friction = *polymer.friction_on_itself;
    const CrushRecord record = run_crush(setup);
    Return out{.law = {}, .proof = {}, .traits = {}, .trusted = record.trusted()};
    const CrushCurve curve = crush_curve(record);
    out.traits = crush_traits(
        curve, {.relative_density = rb, .solid_density_kg_per_m3 = polymer.density_kg_per_m3});
    REQUIRE(std::isfinite(out.traits.densification_strain));
    const GradeTest test{.name = cell_name,
                         .curve = curve,
                         .strain_rate_per_s = 0.01,
                         .to_strain = out.traits.densification_strain};
    out.law = fit_grade_law({.name = cell_name,
                             .relative_density = rb,
                             .density_kg_per_m3 = rb * polymer.density_kg_per_m3,
                             .prony = polymer.prony,
                             .prony_source = "of the polymer",
                             .compression = test});
    out.proof = prove_grade_law(out.law.card, test);
    return out;
}

// Problem    proof by return: four cells at two densities are crushed, a law is fitted to each, a
//            solid block of the law is crushed by the same solver
// Exact      the crush of the cells, up to densification
// Tolerance  5 % of the area under the curve, the aim of the project; it holds the law's own misfit
//            and 1.5 to 2.5 % of the block's contact layers. A stable law cannot follow a curve
//            that falls: the Kelvin cell at 15 %, whose stress drops when its last layer snaps,
//            misses the aim. That is told in solver/README.md and asserted here as a miss, so that
//            a law that mends it turns this case red and the text is mended with it.
TEST_CASE("grade law: a block of it gives back the crush of four cells" * doctest::skip()) {
    struct Grade {
        std::string cell;
        double rb;
        bool met;
    };
    for (const Grade& grade : {Grade{"octet", 0.08, true}, Grade{"octet", 0.15, true},
                               Grade{"body_centred", 0.08, true}, Grade{"body_centred", 0.15, true},
                               Grade{"diamond", 0.08, true}, Grade{"diamond", 0.15, true},
                               Grade{"kelvin", 0.08, true}, Grade{"kelvin", 0.15, false}}) {
        const Return back = there_and_back(grade.cell, grade.rb);
        REQUIRE(back.proof.branches.size() == 1);
        const BranchError& block = back.proof.branches[0];
        INFO(grade.cell, " ", grade.rb, ": law ", back.law.branches[0].area, ", block ", block.area,
             " energy ", block.energy, " worst ", block.worst);
        CHECK(back.trusted);
        CHECK(back.proof.record.trusted());
        CHECK(block.to_strain > back.traits.densification_strain - 0.01);
        CHECK((block.area < 0.05) == grade.met);
        CHECK(std::abs(block.energy) < 0.05);
        CHECK(back.law.elliptic_to > back.traits.densification_strain - 0.02);
    }
}

TEST_SUITE_END();
