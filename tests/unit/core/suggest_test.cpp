// SPDX-License-Identifier: Apache-2.0
#include "solver/core/suggest.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

TEST_CASE("edit_distance: textbook pairs") {
    CHECK(edit_distance("", "abc") == 3);
    CHECK(edit_distance("kitten", "sitting") == 3);
    CHECK(edit_distance("kelvni", "kelvin") == 1); // one swap of neighbours
}

TEST_CASE("nearest_names: nearest first and never a far one") {
    const std::vector<std::string> known{"octet", "kelvin", "diamond"};
    CHECK(nearest_names("kelvn", known) == std::vector<std::string>{"kelvin"});
    CHECK(nearest_names("gyroid", known).empty());
}
