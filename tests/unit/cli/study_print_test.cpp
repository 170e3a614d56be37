// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_print.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

namespace {

PolymerCard printed_card() {
    PolymerCard card = find_card("medium");
    card.print = PrintEffects{.void_fraction = Scatter{0.004, 6},
                              .diameter_offset = ScatteredValue{0.06e-3, Scatter{0.03e-3, 24}},
                              .build_direction_factor = ScatteredValue{0.8, Scatter{0.05, 5}}};
    for (const std::string& key : print_value_keys(card.print))
        card.sources[key] = "invented";
    return card;
}

bool told(const StudyPrint& p, std::string_view part) {
    for (const std::string& note : p.notes)
        if (note.find(part) != std::string::npos)
            return true;
    return false;
}

} // namespace

TEST_CASE("study_print: a card without print effects is left as it is, and nothing is said") {
    const StudyPrint p = study_print({}, find_card("medium"), ModelKind::Beams);
    CHECK(p.notes.empty());
    CHECK(p.diameter_offset == 0.0);
    CHECK_FALSE(p.factor.has_value());
    const StudyPrint asked =
        study_print({.as_drawn = true, .build_axis = 2}, find_card("medium"), ModelKind::Beams);
    CHECK(told(asked, "no diameter_offset_mm"));
    CHECK(told(asked, "isotropic"));
}

TEST_CASE("study_print: the offset is used unless the study says as_drawn") {
    const StudyPrint p = study_print({}, printed_card(), ModelKind::Beams);
    CHECK(p.diameter_offset == 0.06e-3);
    CHECK(told(p, "0.06 mm thicker"));
    const StudyPrint drawn = study_print({.as_drawn = true}, printed_card(), ModelKind::Beams);
    CHECK(drawn.diameter_offset == 0.0);
    CHECK(told(drawn, "without the offset of 0.06 mm"));
}

TEST_CASE("study_print: the factor needs a build direction, and a solid tells its band") {
    const StudyPrint none = study_print({}, printed_card(), ModelKind::Beams);
    CHECK_FALSE(none.factor.has_value());
    CHECK(told(none, "not used"));
    CHECK(told(none, "0.8 to 1"));
    const StudyPrint beams = study_print({.build_axis = 2}, printed_card(), ModelKind::Beams);
    CHECK(*beams.factor == 0.8);
    CHECK(told(beams, "build_direction z"));
    CHECK(told(study_print({.build_axis = 2}, printed_card(), ModelKind::Solid), "1 to 1.25"));
    CHECK(told(study_print({.build_axis = 0}, printed_card(), ModelKind::Solid), "0.8 to 1"));
}

TEST_CASE("study_print: a seed names one print; a card without scatter has but one") {
    const PrintChoice third{.build_axis = 2, .scatter_seed = 3};
    const StudyPrint a = study_print(third, printed_card(), ModelKind::Beams);
    const StudyPrint b = study_print(third, printed_card(), ModelKind::Beams);
    CHECK(a.diameter_offset == b.diameter_offset);
    CHECK(a.diameter_offset != 0.06e-3);
    CHECK(*a.factor != 0.8);
    CHECK(void_fraction(a.polymer) != void_fraction(printed_card()));
    CHECK(told(a, "scatter_seed 3"));
    const StudyPrint other = study_print({.scatter_seed = 4}, printed_card(), ModelKind::Beams);
    CHECK(other.diameter_offset != a.diameter_offset);
    CHECK(test::message_of([&] {
              (void)study_print(third, find_card("medium"), ModelKind::Beams);
          }).find("no scatter") != std::string::npos);
}
