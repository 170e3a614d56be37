// SPDX-License-Identifier: Apache-2.0
#include "solver/core/keyed_file.hpp"

#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace cellgrade;

TEST_CASE("KeyedTable: reads typed values and nested tables") {
    const KeyedTable t =
        parse_keyed_text("a = 2\nb = 'x'\nc = [[1,2],[3,4]]\n[d]\ne = 1.5\n", "f.toml");
    CHECK(t.number("a") == 2.0);
    CHECK(t.text("b") == "x");
    CHECK(t.integer_rows("c", 2)[1][0] == 3);
    CHECK(t.table("d").positive("e") == 1.5);
    CHECK_NOTHROW(t.finish());
}

TEST_CASE("KeyedTable: a wrong value names file, line, column and key") {
    const KeyedTable t = parse_keyed_text("a = 2\n[d]\ne = -1.5\nf = nan\n", "f.toml");
    CHECK(test::message_of([&] { (void)t.table("d").positive("e"); }) ==
          "f.toml:3:5: d.e: -1.5 is not allowed; a number above 0 is needed");
    CHECK(test::message_of([&] { (void)t.table("d").number("f"); }) ==
          "f.toml:4:5: d.f: not a finite number");
    CHECK(test::message_of([&] { (void)t.number("g"); }).find("g: missing") != std::string::npos);
    CHECK(t.table("d").where().key == "d");
    CHECK(t.table("d").where().line == 2);
}

TEST_CASE("KeyedTable: an unknown key names the nearest known one") {
    const KeyedTable t = parse_keyed_text("\nspeed_m_s = 2\n", "f.toml");
    CHECK_FALSE(t.has("speed_m_per_s"));
    const std::string message = test::message_of([&] { t.finish(); });
    CHECK(message.find("f.toml:2:1: speed_m_s: unknown key") == 0);
    CHECK(message.find("speed_m_per_s") != std::string::npos);
}

TEST_CASE("parse_keyed_text: broken TOML ends in one line with its place") {
    const std::string message =
        test::message_of([] { (void)parse_keyed_text("a = \n", "f.toml"); });
    CHECK(message.find("f.toml:1:") == 0);
    CHECK(message.find('\n') == std::string::npos);
}

TEST_CASE("read_keyed_file: a file that is not there is an input error") {
    try {
        (void)read_keyed_file("no/such/file.toml");
        FAIL("no error");
    } catch (const Error& e) {
        CHECK(e.fault() == Fault::Input);
        CHECK(e.where().file == "no/such/file.toml");
    }
}
