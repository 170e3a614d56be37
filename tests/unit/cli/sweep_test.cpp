// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/sweep.hpp"
#include "solver/cli/sweep_order.hpp"
#include "solver/core/error.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <limits>
#include <string>

#include <unistd.h>

using namespace cellgrade;

namespace {

class Folder {
public:
    Folder()
        : path_(std::filesystem::temp_directory_path() / ("sweep_" + std::to_string(getpid()))) {
        std::filesystem::remove_all(path_);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    ~Folder() { std::filesystem::remove_all(path_); }
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

std::vector<GradeCase> five_cases() {
    std::vector<GradeCase> cases;
    for (int i = 0; i < 5; ++i)
        cases.push_back({.key = std::string(63, 'a') + std::to_string(i), .cell = "octet"});
    return cases;
}

GradeRow row_of(const GradeCase& grade, double value) {
    GradeRow row;
    row.grade = grade;
    row.status = "trusted";
    row.traits.plateau_stress_Pa = value;
    row.traits.residual_strain = std::numeric_limits<double>::quiet_NaN();
    row.curve = {{0.0, 0.1}, {0.0, value}, 2};
    row.curve.shear_strain = {0.0, 0.25};
    row.curve.shear_stress_Pa = {0.0, value / 7.0};
    row.shear = {value, 0.1, 0.2, 0.3, 0.4, 0.5, std::numeric_limits<double>::quiet_NaN()};
    row.polymer_modulus_Pa = value / 11.0;
    row.uncertainty.resize(2);
    row.uncertainty[1].parts[3] = value / 13.0;
    row.uncertainty[1].settled_cells = value / 17.0;
    row.density_kg_per_m3 = 1.0 / 3.0;
    row.guards = {{"kinetic_share", value, 0.05, true, false}, {"penetration", 0.1, 0.2, false}};
    return row;
}

} // namespace

TEST_CASE("CaseCache: a row comes back bit for bit") {
    const Folder folder;
    const CaseCache cache(folder.path());
    const GradeRow row = row_of(five_cases().front(), 0.1 + 0.2);
    cache.save(row);
    std::string note;
    const std::optional<GradeRow> back = cache.load(row.grade, note);
    REQUIRE(back.has_value());
    CHECK(note.empty());
    CHECK(std::bit_cast<std::uint64_t>(back->traits.plateau_stress_Pa) ==
          std::bit_cast<std::uint64_t>(row.traits.plateau_stress_Pa));
    CHECK(std::bit_cast<std::uint64_t>(back->traits.residual_strain) ==
          std::bit_cast<std::uint64_t>(row.traits.residual_strain));
    CHECK(back->curve.nominal_stress_Pa == row.curve.nominal_stress_Pa);
    CHECK(back->curve.turn == 2);
    CHECK(back->curve.shear_strain == row.curve.shear_strain);
    CHECK(back->curve.shear_stress_Pa == row.curve.shear_stress_Pa);
    CHECK(back->shear.shear_modulus_Pa == row.shear.shear_modulus_Pa);
    CHECK(back->shear.normal_stress_before_Pa == 0.5);
    CHECK(std::isnan(back->shear.normal_stress_after_Pa));
    CHECK(back->polymer_modulus_Pa == row.polymer_modulus_Pa);
    REQUIRE(back->uncertainty.size() == 2);
    CHECK(std::isnan(back->uncertainty[0].parts[3]));
    CHECK(back->uncertainty[1].parts[3] == row.uncertainty[1].parts[3]);
    CHECK(std::isnan(back->uncertainty[1].parts[4]));
    CHECK(back->uncertainty[1].settled_cells == row.uncertainty[1].settled_cells);
    REQUIRE(back->guards.size() == 2);
    CHECK(back->guards[0].name == "kinetic_share");
    CHECK_FALSE(back->guards[0].enforced);
    CHECK_FALSE(back->guards[1].met);
    CHECK(back->guards[1].limit == 0.2);
}

TEST_CASE("run_sweep: rows keep the order of the cases for any number of threads") {
    const std::vector<GradeCase> cases = five_cases();
    for (const int threads : {1, 2, 7}) {
        const Folder folder;
        const SweepResult swept = run_sweep(
            cases,
            [&](std::size_t i, const auto&) { return row_of(cases[i], static_cast<double>(i)); },
            CaseCache(folder.path()), threads);
        CHECK(swept.counts.computed == 5);
        for (std::size_t i = 0; i < 5; ++i)
            CHECK(swept.rows[i].traits.plateau_stress_Pa == static_cast<double>(i));
    }
}

TEST_CASE("run_sweep: finished cases are reused, failed ones are rows with the reason") {
    const std::vector<GradeCase> cases = five_cases();
    const Folder folder;
    const CaseCache cache(folder.path());
    cache.save(row_of(cases[1], 7.0));
    const SweepResult swept = run_sweep(
        cases,
        [&](std::size_t i, const auto&) -> GradeRow {
            if (i == 3)
                throw run_error("element 12 is inside out");
            return row_of(cases[i], 1.0);
        },
        cache, 2);
    CHECK(swept.counts.computed == 4);
    CHECK(swept.counts.reused == 1);
    CHECK(swept.counts.failed == 1);
    CHECK(swept.rows[1].traits.plateau_stress_Pa == 7.0);
    CHECK(swept.rows[3].status == "failed");
    CHECK(swept.rows[3].reason == "element 12 is inside out");
    CHECK(std::isnan(swept.rows[3].traits.plateau_stress_Pa));
}

TEST_CASE("run_sweep: a defect of the program is not a row") {
    const std::vector<GradeCase> cases = five_cases();
    const Folder folder;
    CHECK_THROWS_AS((void)run_sweep(
                        cases,
                        [](std::size_t, const auto&) -> GradeRow {
                            throw std::logic_error("index out of range");
                        },
                        CaseCache(folder.path()), 2),
                    std::logic_error);
}

TEST_CASE("telling_order: ends, middle, the rest; all cells alike; straight before shear") {
    std::vector<GradeCase> cases;
    for (const char* cell : {"octet", "kelvin"})
        for (const double density : {0.05, 0.10, 0.15, 0.20, 0.25})
            cases.push_back({.cell = cell, .relative_density = density});
    cases.push_back({.cell = "octet", .relative_density = 0.05, .load = CaseLoad::Shear});
    const std::vector<std::size_t> order = telling_order(cases);
    CHECK(order == std::vector<std::size_t>{0, 4, 5, 9, 2, 7, 10, 1, 3, 6, 8});
    CHECK(telling_order({}).empty());
    CHECK(telling_order(std::span(cases).first(1)) == std::vector<std::size_t>{0});
}

TEST_CASE("run_sweep: the share counts what was reused, by cost") {
    const Folder folder;
    const CaseCache cache(folder.path());
    const std::vector<GradeCase> cases = five_cases();
    cache.save(row_of(cases[0], 1.0));
    double first = -1.0, given = -1.0, last = -1.0;
    const SweepHooks hooks{.progress =
                               [&](double share, double reused, const std::string&) {
                                   if (first < 0.0)
                                       first = share;
                                   given = reused;
                                   last = share;
                               },
                           .costs = {6.0, 1.0, 1.0, 1.0, 1.0}};
    (void)run_sweep(
        cases,
        [&](std::size_t i, const std::function<void(double)>& share) {
            share(0.5);
            return row_of(cases[i], 2.0);
        },
        cache, 1, hooks);
    CHECK(std::abs(given - 0.6) < 1e-12);
    CHECK(std::abs(first - 0.65) < 1e-12);
    CHECK(std::abs(last - 1.0) < 1e-12);
}
