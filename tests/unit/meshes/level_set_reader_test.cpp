// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/solid_catalogue.hpp"

#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <map>

using namespace cellgrade;

namespace {

const std::string head = "schema = 1\nkind = \"level_set\"\nsize_mm = [5, 6, 7]\nside = \"wall\"\n";

std::string message(const std::string& text) {
    return test::message_of([&] { (void)parse_level_set_cell(text, "cell.toml"); });
}

double value(const LevelSetCell& cell, const Vec3& x) {
    double f = 0.0;
    cell.function(std::span(&x, 1), std::span(&f, 1));
    return f;
}

} // namespace

TEST_CASE("level-set catalogue: every cell reads, names its source and equals its file") {
    REQUIRE(solid_catalogue_names().size() == 16);
    for (const std::string& name : solid_catalogue_names()) {
        CAPTURE(name);
        const LevelSetCell cell = find_level_set_cell(name);
        CHECK(cell.name == name);
        CHECK_FALSE(cell.source.empty());
        const LevelSetCell file = find_level_set_cell(
            CELLGRADE_SOURCE_DIR "/meshes/catalogue/level_sets/" + name + ".toml");
        CHECK(file.size == cell.size);
        CHECK(file.side == cell.side);
        CHECK(value(file, Vec3(0.1, 0.2, 0.3)) == value(cell, Vec3(0.1, 0.2, 0.3)));
        CHECK(name.ends_with("skeletal") == (cell.side != SolidSide::Wall));
    }
    CHECK(test::message_of([] { (void)find_level_set_cell("gyroid_wal"); })
              .starts_with("level-set cell 'gyroid_wal' is not in the catalogue; did you mean "
                           "gyroid_wall"));
}

TEST_CASE("level-set reader: units, sides and offsets") {
    const LevelSetCell cell = parse_level_set_cell(
        head + "function = \"gyroid\"\nlevel = 0.1\noffset = 0.2\n", "cell.toml");
    CHECK((cell.size - Vec3(5e-3, 6e-3, 7e-3)).norm() < 1e-15);
    CHECK(cell.level == 0.1);
    CHECK(cell.offset == 0.2);
    LevelSetCell above = cell;
    above.side = SolidSide::Above;
    std::array<double, 2> f = {0.3, -0.4};
    shift_to_level(above, f);
    CHECK(test::rel_err(f[0], -0.2) < 1e-14);
    CHECK(test::rel_err(f[1], 0.5) < 1e-14);
    CHECK((scaled(cell, 2.0).size - 2.0 * cell.size).norm() < 1e-15);
}

TEST_CASE("level-set reader: faults are one line with file, line and key") {
    const std::map<std::string, std::string> faults = {
        {"function = \"gyriod\"", "cell.toml:5:12: function: "},
        {"expression = \"sin(x) + cos(q)\"", "cell.toml:5:14: expression: "},
        {"expression = \"cos(x/2)*cos(y)\"", "the function is not periodic along x"},
        {"expression = \"sin(x)/sin(y)\"", "it must be finite everywhere"},
        {"expression = \"log(sin(x))\"", "it must be finite everywhere"},
        {"expression = \"3\"", "the function does not vary over the cell"},
        {"expression = \"5 + sin(x)\"", "never meets the level 0"},
        {"expression = \"sin(x)\"\nfunction = \"gyroid\"", "is given too; only one is allowed"},
        {"", "one of function, expression and samples_file is needed"},
        {"function = \"gyroid\"\noffset = -1", "cell.toml:6:10: offset: "},
        {"function = \"gyroid\"\naxis = \"z\"", "cell.toml:6:1: axis: unknown key"},
        {"function = \"honeycomb\"\naxis = \"z\"\njunction_ratio = 9", "junction_ratio: 9 is not"},
        {"function = \"honeycomb\"\naxis = \"w\"", "cell.toml:6:8: axis: "},
        {"samples_file = \"none.csv\"\ncounts = [4, 4, 4]", "none.csv"},
        {"samples_file = \"none.csv\"\ncounts = [4, 1, 4]", "cell.toml:6:10: counts: "},
    };
    for (const auto& [text, want] : faults) {
        CAPTURE(text);
        const std::string got = message(head + text + "\n");
        CAPTURE(got);
        CHECK(got.find(want) != std::string::npos);
        CHECK(got.find('\n') == std::string::npos);
    }
}

TEST_CASE("level-set reader: a samples file lies beside the cell file") {
    const test::ScratchFolder folder;
    std::ofstream(folder / "cell.toml") << head << "samples_file = \"f.csv\"\ncounts = [2, 2, 2]\n";
    std::ofstream(folder / "f.csv") << "1,-1\n-1,1\n-1,1\n1,-1\n";
    const LevelSetCell cell = read_level_set_cell(folder / "cell.toml");
    CHECK(cell.name == "cell");
    CHECK(value(cell, Vec3(0, 0, 0)) == 1.0);
    CHECK(value(cell, Vec3(0.5, 0, 0)) == -1.0);
    CHECK(value(cell, Vec3(0.5, 0, 0.5)) == 1.0);
}
