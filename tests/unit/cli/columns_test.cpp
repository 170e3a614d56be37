// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/columns.hpp"
#include "solver/cli/progress.hpp"

#include <doctest/doctest.h>

#include <limits>

using namespace cellgrade;

TEST_CASE("columns_text: names flush left, numbers right, no blanks at the end") {
    CHECK(columns_text({"name ", "n"}, {{"a", "10"}, {"longer", "7"}}) == "name     n\n"
                                                                          "a       10\n"
                                                                          "longer   7\n");
}

TEST_CASE("columns_text: a letter of several bytes is one wide") {
    CHECK(columns_text({"n", "m"}, {{"1 ± 2", "3"}, {"123456", "4"}}) == "     n  m\n"
                                                                         " 1 ± 2  3\n"
                                                                         "123456  4\n");
}

TEST_CASE("readable: four digits, and a dash for what is not known") {
    CHECK(readable(0.123456) == "0.1235");
    CHECK(readable(std::numeric_limits<double>::quiet_NaN()) == "-");
}

TEST_CASE("duration_text: seconds, minutes, hours") {
    CHECK(duration_text(12.4) == "12 s");
    CHECK(duration_text(200.0) == "3 min 20 s");
    CHECK(duration_text(7500.0) == "2 h 05 min");
}
