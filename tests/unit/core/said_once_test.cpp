// SPDX-License-Identifier: Apache-2.0
#include "solver/core/said_once.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

TEST_CASE("said once: sentences keep their first order, and whom they are about") {
    SaidOnce notes;
    notes.say("bottoms", "crown");
    notes.say("", "crown");
    notes.say("outgrows the pad", "front");
    notes.say("bottoms", "rear");
    REQUIRE(notes.all().size() == 2);
    CHECK(notes.all()[0].sentence == "bottoms");
    CHECK(notes.all()[0].of == std::vector<std::string>{"crown", "rear"});
    CHECK(notes.all()[1].of == std::vector<std::string>{"front"});
}
