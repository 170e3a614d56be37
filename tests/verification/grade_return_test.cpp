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
    BlockProof pressed;
    std::vector<BlockProof> sheared; ///< at no compression, at 20 %
    CrushTraits traits;
    bool trusted = true; ///< of the lattice's crushes
};

/// Crush of a cell of 5 mm, 2 x 2 x 4, endless sideways, glued to its platens, six elements a strut
/// (examples/15_grade_law).
GradeTest crush_of_cell(const std::string& name, double rb, CrushLoading loading, bool& trusted) {
    const PolymerCard polymer = find_card("medium");
    const StrutCell cell = find_cell(name);
    double shortest = HUGE_VAL;
    for (const Strut& strut : cell.struts)
        shortest = std::min(shortest, length(cell, strut));
    CrushSetup setup{.mesh = {}, .polymer = polymer};
    setup.mesh = build_specimen(cell, {.tiles = {2, 2, 4},
                                       .sides = Sides::Periodic,
                                       .densities = {rb},
                                       .beams = {.element_length = shortest / 6.0}});
    setup.loading = loading;
    setup.ends = SpecimenEnds::Bonded;
    setup.strut_friction = *polymer.friction_on_itself;
    const CrushRecord record = run_crush(setup);
    trusted = trusted && record.trusted();
    return {.name = name,
            .curve = crush_curve(record),
            .strain_rate_per_s = *loading.strain_rate_per_s};
}

/// The crushes, the law and blocks of the law.
Return there_and_back(const std::string& name, double rb) {
    const PolymerCard polymer = find_card("medium");
    Return out;
    GradeTest pressed = crush_of_cell(
        name, rb, {.strain_rate_per_s = 0.01, .to_strain = 0.8, .to_stress_ratio = 8.0},
        out.trusted);
    out.traits =
        crush_traits(pressed.curve, {.relative_density = rb,
                                     .solid_density_kg_per_m3 = polymer.density_kg_per_m3});
    REQUIRE(std::isfinite(out.traits.densification_strain));
    pressed.to_strain = out.traits.densification_strain;
    std::vector<GradeTest> sheared;
    for (const double strain : {0.0, 0.2})
        sheared.push_back(crush_of_cell(
            name, rb, {.strain_rate_per_s = 0.01, .to_strain = strain, .shear_to_strain = 0.4},
            out.trusted));
    out.law = fit_grade_law({.name = name,
                             .relative_density = rb,
                             .density_kg_per_m3 = rb * polymer.density_kg_per_m3,
                             .prony = polymer.prony,
                             .prony_source = "of the polymer",
                             .compression = pressed,
                             .shear = sheared});
    out.pressed = prove_grade_law(out.law.card, pressed);
    for (const GradeTest& test : sheared)
        out.sheared.push_back(prove_grade_shear(out.law.card, test));
    return out;
}

// Problem    proof by return: four cells at two densities are crushed and sheared, a law is fitted
// to
//            each, a solid block of the law is crushed and sheared by the same solver
// Exact      the crush of the cells, up to densification and to a shear of 0.4
// Tolerance  5 % of the area under the curve, the aim of the project; it holds the law's own misfit
//            and up to 1.5 % of the block's contact layers. A stable law cannot follow a curve that
//            falls: a Kelvin cell of 15 %, whose stress drops when its last layer snaps, and
//            body-centred cells, whose struts buckle in shear, miss the aim. That is told in
//            solver/README.md and asserted here as a miss, so that a law that mends it turns this
//            case red and the text is mended with it.
TEST_CASE("grade law: a block of it gives back crush and shear of four cells" * doctest::skip()) {
    struct Grade {
        std::string cell;
        double rb;
        bool pressed, sheared; ///< the aim is met
    };
    for (const Grade& grade :
         {Grade{"octet", 0.08, true, true}, Grade{"octet", 0.15, true, true},
          Grade{"kelvin", 0.08, true, true}, Grade{"kelvin", 0.15, false, true},
          Grade{"body_centred", 0.08, true, false}, Grade{"body_centred", 0.15, true, false},
          Grade{"diamond", 0.08, true, true}, Grade{"diamond", 0.15, true, true}}) {
        const Return back = there_and_back(grade.cell, grade.rb);
        REQUIRE(back.pressed.branches.size() == 1);
        const BranchError& block = back.pressed.branches[0];
        INFO(grade.cell, " ", grade.rb, ": law ", back.law.branches[0].area, ", block ", block.area,
             " energy ", block.energy, " worst ", block.worst);
        // the octet of 0.15 breaks its platen balance when it is sheared at 20 %
        CHECK((back.trusted || (grade.cell == "octet" && grade.rb == 0.15)));
        CHECK(back.pressed.record.trusted());
        CHECK(block.to_strain > back.traits.densification_strain - 0.01);
        CHECK((block.area < 0.05) == grade.pressed);
        CHECK(std::abs(block.energy) < 0.05);
        REQUIRE(back.sheared.size() == 2);
        for (const BlockProof& sheared : back.sheared) {
            INFO("sheared ", sheared.branches[0].area);
            CHECK(sheared.record.trusted());
            CHECK((sheared.branches[0].area < 0.05) == grade.sheared);
        }
    }
}

TEST_SUITE_END();
