// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study.hpp"
#include "solver/cli/study_cases.hpp"
#include "solver/core/publish.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <string>

#include <unistd.h>

using namespace cellgrade;

namespace {

const std::string head = "schema = 1\n[polymer]\ncard = \"medium\"\n";
const std::string whole = head +
                          "[cell]\nname = \"octet\"\nsize_mm = 5\n[specimen]\n"
                          "tiles = [1, 2, 3]\nrelative_density = 0.12\nsides = \"confined\"\n"
                          "[loading]\nspeed_m_per_s = 2.5\nto_strain = 0.6\n";

class StudyFile {
public:
    explicit StudyFile(const std::string& text)
        : path_(std::filesystem::temp_directory_path() /
                ("study_test_" + std::to_string(getpid()) + ".toml")) {
        publish_text(path_, text);
    }
    StudyFile(const StudyFile&) = delete;
    StudyFile& operator=(const StudyFile&) = delete;
    ~StudyFile() { std::filesystem::remove(path_); }
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

StudyConfig read(const std::string& text, StudyUse use = StudyUse::OneCrush) {
    const StudyFile file(text);
    return read_study(file.path(), use);
}

std::string message(const std::string& text, StudyUse use = StudyUse::OneCrush) {
    try {
        (void)read(text, use);
    } catch (const Error& e) {
        CHECK(e.fault() == Fault::Input);
        return e.what();
    }
    return "";
}

} // namespace

TEST_CASE("read_study: print limits are optional and decide no result") {
    const std::string limits = "[print]\nnarrowest_wall_mm = 0.4\nnarrowest_opening_mm = 1.5\n";
    const StudyConfig c = read(whole + limits);
    CHECK(test::rel_err(c.print.least_solid, 0.4e-3) < 1e-14);
    CHECK(test::rel_err(c.print.least_opening, 1.5e-3) < 1e-14);
    CHECK(
        study_text(c).ends_with("[print]\nnarrowest_wall_mm = 0.4\nnarrowest_opening_mm = 1.5\n"));
    CHECK(read(study_text(c)).print.least_opening == c.print.least_opening);
    CHECK(study_text(read(whole)).find("[print]") == std::string::npos);
    CHECK(prepare_case(c).grade.key == prepare_case(read(whole)).grade.key);
    CHECK(message(whole + "[print]\nnarrowest_wall = 0.4\n").find("narrowest_wall_mm") !=
          std::string::npos);
}

TEST_CASE("read_study: values arrive in SI") {
    const StudyConfig c = read(whole);
    CHECK(c.polymer == "medium");
    CHECK(test::rel_err(*c.cell.scale, 5e-3) < 1e-15);
    CHECK(c.specimen.tiles == std::array<Index, 3>{1, 2, 3});
    CHECK(c.specimen.sides == SpecimenSides::Confined);
    CHECK_FALSE(c.specimen.periodic_sides);
    CHECK(*c.loading.speed_m_per_s == 2.5);
    CHECK(c.loading.to_strain == 0.6);
}

TEST_CASE("study_text: what is printed reads back to the same text") {
    const std::string once = study_text(read(whole));
    CHECK(study_text(read(once)) == once);
}

TEST_CASE("read_study: contradictions and misspellings name the key") {
    CHECK(message(whole + "strain_rate_per_s = 1\n").find("loading.speed_m_per_s: not together") !=
          std::string::npos);
    CHECK(message(whole + "unlod = true\n").find("did you mean unload") != std::string::npos);
    CHECK(message(whole + "[limit]\n").find("did you mean limits") != std::string::npos);
    CHECK(message(head).find("cell") != std::string::npos);
    CHECK(message(head + "[cell]\nname = \"a\"\nfile = \"b\"\n").find("exactly one") !=
          std::string::npos);
}

TEST_CASE("expand_sweep: cells, then densities, then rates before speeds") {
    const StudyConfig c = read(head + "[sweep]\ncells = [\"octet\", \"own.toml\"]\n"
                                      "relative_densities = [0.1, 0.2]\n"
                                      "strain_rates_per_s = [0.01]\nspeeds_m_per_s = [5]\n",
                               StudyUse::Table);
    const std::vector<StudyConfig> cases = expand_sweep(c);
    REQUIRE(cases.size() == 8);
    CHECK(cases[0].cell.name == "octet");
    CHECK(*cases[0].loading.strain_rate_per_s == 0.01);
    CHECK_FALSE(cases[0].loading.speed_m_per_s.has_value());
    CHECK(*cases[1].loading.speed_m_per_s == 5.0);
    CHECK(*cases[2].specimen.relative_density == 0.2);
    CHECK(cases[4].cell.file.filename() == "own.toml");
    CHECK(cases[4].cell.name.empty());
    CHECK(cases[7].sweep.cells.empty());
}

TEST_CASE("prepare_case: the key follows what decides the result and nothing else") {
    const std::string key = prepare_case(read(whole)).grade.key;
    CHECK(key.size() == 64);
    CHECK(prepare_case(read("name = \"other\"\n" + whole)).grade.key == key);
    CHECK(prepare_case(read(whole + "unload = true\n")).grade.key != key);
    std::string soft = whole;
    soft.replace(soft.find("medium"), 6, "soft");
    CHECK(prepare_case(read(soft)).grade.key != key);
    std::string kelvin = whole;
    kelvin.replace(kelvin.find("octet"), 5, "kelvin");
    CHECK(prepare_case(read(kelvin)).grade.key != key);
}

TEST_CASE("study_mesh: a buckling shape bends the specimen by its share of a strut diameter") {
    const auto mesh = [](const std::string& more) {
        return std::get<BeamMesh>(
            study_mesh(read(head +
                                "[cell]\nname = \"octet\"\nsize_mm = 5\n[specimen]\n"
                                "tiles = [1, 1, 2]\nrelative_density = 0.05\n" +
                                more,
                            StudyUse::Geometry)));
    };
    const BeamMesh straight = mesh(""), bent = mesh("buckling_shape_share = 0.1\n");
    REQUIRE(bent.nodes.size() == straight.nodes.size());
    double largest = 0.0;
    for (std::size_t i = 0; i < bent.nodes.size(); ++i)
        largest = std::max(largest, (bent.nodes[i] - straight.nodes[i]).norm());
    CHECK(test::rel_err(largest, 0.1 * 2.0 * straight.elements.front().radius) < 1e-12);
    for (const Index node : bent.top)
        CHECK(bent.nodes[node].z() == straight.nodes[node].z());
    CHECK(message(head + "[cell]\nname = \"octet\"\n[specimen]\nsides = \"periodic\"\n"
                         "ends = \"periodic\"\nbuckling_shape_share = 0.1\n",
                  StudyUse::Geometry)
              .find("specimen.buckling_shape_share: not together") != std::string::npos);
}

TEST_CASE("read_study: print effects to take are read, written and part of the key") {
    const std::string print = "[print]\nas_drawn = true\nbuild_direction = \"y\"\n"
                              "scatter_seed = 3\n";
    const StudyConfig c = read(whole + print);
    CHECK(c.printed.as_drawn);
    CHECK(c.printed.build_axis == 1);
    CHECK(c.printed.scatter_seed == 3);
    CHECK(study_text(c).ends_with(print));
    CHECK(study_text(read(study_text(c))) == study_text(c));
    CHECK(message(whole + "[print]\nbuild_direction = \"up\"\n").find("print.build_direction") !=
          std::string::npos);
    CHECK(message(whole + "[print]\nbuild_direction = [0, 0, 1]\n").find("build_direction") !=
          std::string::npos);
    CHECK(message(whole + "[print]\nscatter_seed = -1\n").find("print.scatter_seed") !=
          std::string::npos);
    CHECK(message(whole + "[print]\nas_drawn = 1\n").find("print.as_drawn") != std::string::npos);
    const std::string drawn = "[print]\nas_drawn = true\n";
    CHECK(prepare_case(read(whole + drawn)).grade.key != prepare_case(read(whole)).grade.key);
}

TEST_CASE("read_study: directions, temperatures and paths are read, written and part of the key") {
    const std::string oblique = head +
                                "[cell]\nname = \"octet\"\nsize_mm = 5\ndirection = [1, 1, 0]\n"
                                "[specimen]\ntiles = [1, 1, 1]\nrelative_density = 0.12\n"
                                "[loading]\nstrain_rate_per_s = 0.01\npath_angle_deg = 30\n"
                                "platen_friction = 0.5\n";
    const StudyConfig c = read(oblique);
    CHECK(c.cell.direction == std::array<Index, 3>{1, 1, 0});
    CHECK(std::abs(c.loading.path_angle - 0.523598775598299) < 1e-15);
    CHECK(study_text(read(study_text(c))) == study_text(c));
    const GradeCase g = prepare_case(c).grade;
    CHECK(g.load == CaseLoad::Oblique);
    CHECK(std::abs(g.path_angle_deg - 30.0) < 1e-12);
    CHECK(g.direction == c.cell.direction);
    StudyConfig straight = c;
    straight.cell.direction = {0, 0, 1};
    CHECK(prepare_case(straight).grade.key != g.key);

    StudyConfig sheared = c;
    sheared.loading.path_angle = 0.0;
    sheared.loading.shear_to_strain = 0.4;
    sheared.loading.to_strain = 0.1;
    CHECK(study_text(sheared).find("precompression = 0.1") != std::string::npos);
    CHECK(read(study_text(sheared)).loading.to_strain == 0.1);
    CHECK(prepare_case(sheared).grade.load == CaseLoad::Shear);
}

TEST_CASE("read_study: what cannot be loaded so is told at its key") {
    const std::string cell = head + "[cell]\nname = \"octet\"\n[loading]\n"
                                    "strain_rate_per_s = 0.01\n";
    CHECK(message(cell + "precompression = 0.1\n").find("needs shear_to_strain") !=
          std::string::npos);
    CHECK(message(cell + "shear_to_strain = 0.5\nto_strain = 0.2\n").find("`precompression`") !=
          std::string::npos);
    CHECK(message(cell + "shear_to_strain = 0.5\npath_angle_deg = 10\n").find("two loads") !=
          std::string::npos);
    CHECK(message(cell + "path_angle_deg = 70\n").find("0 to 60") != std::string::npos);
    CHECK(message(head + "[cell]\nname = \"octet\"\ndirection = [1, 0.5, 0]\n")
              .find("not a whole number") != std::string::npos);
}

TEST_CASE("expand_sweep: every combination straight, then sheared, then oblique") {
    const std::string text = head +
                             "[cell]\nname = \"octet\"\n[specimen]\nends = \"bonded\"\n[loading]\n"
                             "to_strain = 0.6\nshear_to_strain = 0.3\nunload = true\n[sweep]\n"
                             "relative_densities = [0.1]\nstrain_rates_per_s = [0.01]\n"
                             "directions = [[0, 0, 1], [1, 1, 1]]\ntemperatures_C = [-10, 20]\n"
                             "shear_precompressions = [0.0, 0.2]\npath_angles_deg = [15]\n";
    const StudyConfig study = read(text, StudyUse::Table);
    CHECK(study_text(read(study_text(study), StudyUse::Table)) == study_text(study));
    const std::vector<StudyConfig> cases = expand_sweep(study);
    REQUIRE(cases.size() == 2U * 2U * 4U);
    CHECK(cases[0].loading.to_strain == 0.6);
    CHECK(cases[0].loading.unload);
    CHECK_FALSE(moves_sideways(cases[0].loading));
    CHECK(cases[1].loading.to_strain == 0.0);
    CHECK(cases[2].loading.to_strain == 0.2);
    CHECK(cases[2].loading.shear_to_strain == 0.3);
    CHECK_FALSE(cases[2].loading.unload);
    CHECK(cases[3].loading.path_angle > 0.0);
    CHECK(cases[4].temperature_C == 20.0);
    CHECK(cases[8].cell.direction == std::array<Index, 3>{1, 1, 1});
}

TEST_CASE("read_study: a whole lattice from tables stands in for a cell") {
    const auto folder = std::filesystem::temp_directory_path();
    const std::string stem = "study_lattice_" + std::to_string(getpid());
    const auto nodes = folder / (stem + "_nodes.csv"), struts = folder / (stem + "_struts.csv");
    publish_text(nodes, "node,x_mm,y_mm,z_mm\n0,0,0,0\n1,10,0,0\n2,0,10,0\n3,10,10,0\n"
                        "4,5,5,10\n");
    publish_text(struts, "node_a,node_b\n0,4\n1,4\n2,4\n3,4\n");
    const std::string table = head + "[cell]\nnodes_file = \"" + nodes.string() +
                              "\"\nstruts_file = \"" + struts.string() + "\"\n";
    const std::string good = table + "[specimen]\ndiameter_mm = 0.8\nends = \"bonded\"\n"
                                     "[loading]\nstrain_rate_per_s = 0.01\n";
    const StudyConfig c = read(good);
    CHECK(study_text(read(study_text(c))) == study_text(c));
    const StudyCase prepared = prepare_case(c);
    CHECK(prepared.grade.cell == nodes.stem().string());
    CHECK(test::rel_err(prepared.grade.strut_diameter_m, 0.8e-3) < 1e-12);
    // four struts of sqrt(150) mm in 10 x 10 x 10 mm, joined at one node: the union is a little
    // less
    const double share = 4.0 * std::sqrt(150.0) * 0.16 * M_PI / 1000.0;
    CHECK(prepared.grade.relative_density < share);
    CHECK(prepared.grade.relative_density > 0.95 * share);
    const std::string first_key = prepared.grade.key;
    publish_text(struts, "node_a,node_b\n0,4\n1,4\n2,4\n3,4\n0,1\n");
    CHECK(prepare_case(c).grade.key != first_key);
    const auto says = [](const std::string& text, const std::string& part) {
        return message(text).find(part) != std::string::npos;
    };
    CHECK(
        says(table + "size_mm = 5\n[loading]\nstrain_rate_per_s = 1\n", "cell.size_mm: not toge"));
    CHECK(says(table + "[specimen]\ntiles = [1, 1, 1]\n[loading]\nstrain_rate_per_s = 1\n",
               "specimen.tiles: not for a whole lattice"));
    CHECK(says(table + "[specimen]\nsides = \"periodic\"\n[loading]\nstrain_rate_per_s = 1\n",
               "specimen.sides: a whole lattice"));
    CHECK(says(good + "[model]\nkind = \"solid\"\n", "model.kind: a whole lattice"));
    CHECK(says(head + "[cell]\nnodes_file = \"a.csv\"\n[loading]\nstrain_rate_per_s = 1\n",
               "cell.struts_file: missing"));
    std::filesystem::remove(nodes);
    std::filesystem::remove(struts);
}
