// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/elastic_constants.hpp"
#include "solver/homogenize/stiffness.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <map>
#include <numbers>
#include <sstream>

using namespace cellgrade;

namespace {

using Json = nlohmann::json;
using Vec6 = Eigen::Matrix<double, 6, 1>;

/// Lattice vectors from edges and angles [degrees], a along x, b in the xy plane.
Mat3 lattice_of(const std::vector<double>& abc_angles) {
    const auto cosine = [&](int i) { return std::cos(abc_angles[i] * std::numbers::pi / 180.0); };
    const double a = abc_angles[0], b = abc_angles[1], c = abc_angles[2];
    const double ca = cosine(3), cb = cosine(4), cg = cosine(5), sg = std::sqrt(1.0 - cg * cg);
    const double cy = (ca - cb * cg) / sg;
    Mat3 lattice;
    lattice << a, b * cg, c * cb, 0.0, b * sg, c * cy, 0.0, 0.0,
        c * std::sqrt(1.0 - cb * cb - cy * cy);
    return lattice;
}

StrutCell cell_of(const Json& record) {
    StrutCell cell;
    cell.name = record["name"];
    cell.lattice = lattice_of(record["cell_abc_alpha_beta_gamma"]);
    for (const Json& node : record["nodes_reduced"])
        cell.nodes.emplace_back(node[0], node[1], node[2]);
    for (std::size_t s = 0; s < record["struts"].size(); ++s) {
        const Json& pair = record["struts"][s];
        const Json& image = record["images"][s];
        cell.struts.push_back(
            {.a = pair[0], .b = pair[1], .image_b = Vec3i(image[0], image[1], image[2])});
    }
    return cell;
}

Mat6 symmetric_from_upper(const std::vector<double>& upper) {
    Mat6 full;
    std::size_t n = 0;
    for (int i = 0; i < 6; ++i)
        for (int j = i; j < 6; ++j)
            full(i, j) = full(j, i) = upper[n++];
    return full;
}

std::vector<std::vector<std::string>> csv_rows(const std::filesystem::path& path) {
    std::ifstream file(path);
    std::vector<std::vector<std::string>> rows;
    for (std::string line; std::getline(file, line);) {
        std::istringstream cells(line);
        std::vector<std::string>& row = rows.emplace_back();
        for (std::string cell; std::getline(cells, cell, ',');)
            row.push_back(cell);
    }
    rows.erase(rows.begin());
    return rows;
}

std::map<std::string, StrutCell> cubic_cells(const std::filesystem::path& folder) {
    std::map<std::string, StrutCell> cells;
    for (const auto& row : csv_rows(folder / "unit_cell_nodes.csv")) {
        StrutCell& cell = cells[row[0]];
        cell.name = row[0];
        cell.lattice = Mat3::Identity();
        cell.nodes.emplace_back(std::stod(row[2]), std::stod(row[3]), std::stod(row[4]));
    }
    for (const auto& row : csv_rows(folder / "unit_cell_struts.csv"))
        cells[row[0]].struts.push_back(
            {.a = std::stoi(row[1]),
             .b = std::stoi(row[2]),
             .image_b = Vec3i(std::stoi(row[3]), std::stoi(row[4]), std::stoi(row[5]))});
    return cells;
}

} // namespace

TEST_SUITE_BEGIN("verification");

// Problem    stiffness tensors of 100 periodic strut cells of six crystal systems, two radii mixed,
//            three instances each, solid with E = 1 and nu = 0.3.
// Exact      compliance tensors of a separate shear-flexible beam model (five damaged cells out).
// Source     I. Grega et al. (2024), J. Mech. Phys. Solids, doi 10.1016/j.jmps.2024.105966; data
//            folder strut-cell-compliance.
// Tolerance  an independent frame with shear factor 0.89 meets these data with a median of 0.05 %
//            and a 90th percentile of 0.2 %; asked here: median 0.1 %, 95 % of all under 0.5 %.
TEST_CASE("stiffness: tensors of 95 open cells agree with an independent beam model") {
    const auto folder = test::data_folder();
    if (!folder) {
        MESSAGE("skipped: no data folder");
        return;
    }
    std::ifstream file(*folder / "strut-cell-compliance" / "cells_dev.json");
    REQUIRE(file.good());
    SectionModuli moduli = section_moduli(1.0, 0.3);
    moduli.shear_factor = 0.89;
    std::vector<double> errors;
    for (const Json& record : Json::parse(file)) {
        if (!record["reproduced_independently"].get<bool>())
            continue;
        const StrutCell cell = cell_of(record);
        for (const Json& instance : record["instances"]) {
            std::vector<double> diameters = instance["strut_radii"];
            for (double& d : diameters)
                d *= 2.0;
            const ElasticStiffness got = elastic_stiffness(cell, diameters, moduli);
            const Mat6 want = symmetric_from_upper(instance["compliance_mandel_upper"]).inverse();
            errors.push_back((to_mandel(got.C) - want).norm() / want.norm());
            CHECK(test::rel_err(got.centre_line_density, instance["relative_density"]) < 2e-3);
        }
    }
    REQUIRE(errors.size() > 250);
    std::sort(errors.begin(), errors.end());
    const auto share = [&](double p) {
        return errors[static_cast<std::size_t>(p * static_cast<double>(errors.size() - 1))];
    };
    INFO("median ", share(0.5), ", 90 % ", share(0.9), ", 95 % ", share(0.95), ", max ",
         errors.back());
    CHECK(share(0.5) < 1e-3);
    CHECK(share(0.95) < 5e-3);
}

// Problem    C11, C12, C44 of simple cubic and body-centred cells over d/a, nu = 0.33.
// Exact      coefficients of a separate homogenisation, printed to 12 digits.
// Source     O. Weeger (2021), Int. J. Solids Struct. 224, 111037; data folder
//            cubic-beam-homogenisation, shear factor 5/6.
// Tolerance  1e-4 for d/a >= 0.005 (the source itself loses digits on slender struts: 2e-5).
TEST_CASE("stiffness: cubic coefficients over slenderness agree with published ones") {
    const auto folder = test::data_folder();
    if (!folder) {
        MESSAGE("skipped: no data folder");
        return;
    }
    const auto cells = cubic_cells(*folder / "cubic-beam-homogenisation");
    SectionModuli moduli = section_moduli(1.0, 0.33);
    moduli.shear_factor = 5.0 / 6.0;
    int compared = 0;
    for (const auto& row : csv_rows(*folder / "cubic-beam-homogenisation" / "coefficients.csv")) {
        const double d = std::stod(row[1]);
        if (d < 0.005)
            continue;
        const Mat6 C = elastic_stiffness(cells.at(row[0]), d, moduli).C;
        INFO(row[0], " d/a ", d);
        CHECK(test::rel_err(C(0, 0), std::stod(row[2])) < 1e-4);
        CHECK(std::abs(C(0, 1) - std::stod(row[3])) < 1e-4 * C(0, 0)); // zero for simple cubic
        CHECK(test::rel_err(C(3, 3), std::stod(row[4])) < 1e-4);
        ++compared;
    }
    CHECK(compared >= 10);
}
