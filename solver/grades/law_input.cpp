// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/law_input.hpp"

#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace cellgrade {

namespace {

using Rows = std::vector<const GradeRow*>;

bool close(double a, double b) {
    return std::abs(a - b) <= 1e-6 * std::abs(b);
}

template <class Keep>
Rows those(const Rows& rows, Keep keep) {
    Rows kept;
    std::copy_if(rows.begin(), rows.end(), std::back_inserter(kept),
                 [&](const GradeRow* row) { return keep(*row); });
    return kept;
}

/// "0.08, 0.12" of the values that the rows have.
template <class Value>
std::string listed(const Rows& rows, Value value) {
    std::set<std::string> seen;
    for (const GradeRow* row : rows)
        seen.insert(fmt::format("{}", value(row->grade)));
    std::string text;
    for (const std::string& each : seen)
        text += (text.empty() ? "" : ", ") + each;
    return text;
}

Rows of_cell(const GradeTable& table, const GradeChoice& choice) {
    Rows rows;
    for (const GradeRow& row : table.rows)
        rows.push_back(&row);
    const Rows all = rows;
    rows = those(all, [&](const GradeRow& r) { return r.grade.cell == choice.cell; });
    CELLGRADE_CHECK(!rows.empty(), "no row of cell '{}'; the table has {}", choice.cell,
                    listed(all, [](const GradeCase& g) { return g.cell; }));
    const Rows cell = rows;
    rows = those(cell, [&](const GradeRow& r) {
        return close(r.grade.relative_density, choice.relative_density);
    });
    CELLGRADE_CHECK(!rows.empty(), "{} has no row of relative density {}; it has {}", choice.cell,
                    choice.relative_density,
                    listed(cell, [](const GradeCase& g) { return g.relative_density; }));
    return rows;
}

Rows of_conditions(const Rows& grade, const GradeChoice& choice) {
    const auto direction = [](const GradeCase& g) { return direction_text(g.direction); };
    const std::string wanted = choice.direction.value_or(
        those(grade, [&](const GradeRow& r) { return direction(r.grade) == "[001]"; }).empty()
            ? direction(grade.front()->grade)
            : "[001]");
    Rows rows = those(grade, [&](const GradeRow& r) { return direction(r.grade) == wanted; });
    CELLGRADE_CHECK(!rows.empty(), "no row along {}; the grade has {}", wanted,
                    listed(grade, direction));
    const auto temperature = [](const GradeCase& g) { return g.temperature_C; };
    const Rows along = rows;
    if (choice.temperature_C)
        rows = those(along, [&](const GradeRow& r) {
            return std::abs(r.grade.temperature_C - *choice.temperature_C) < 1e-6;
        });
    CELLGRADE_CHECK(!rows.empty(), "no row at {} C; the grade has {} C", *choice.temperature_C,
                    listed(along, temperature));
    for (const GradeRow* row : rows)
        CELLGRADE_CHECK(close(row->grade.temperature_C, rows.front()->grade.temperature_C) ||
                            (std::isnan(row->grade.temperature_C) &&
                             std::isnan(rows.front()->grade.temperature_C)),
                        "the grade was crushed at several temperatures, {} C; choose one",
                        listed(rows, temperature));
    return rows;
}

Rows slow_and_trusted(const Rows& rows) {
    const Rows kept = those(rows, [](const GradeRow& r) {
        return r.status == "trusted" && std::isnan(r.grade.speed_m_per_s) &&
               r.grade.strain_rate_per_s > 0.0 && r.curve.nominal_strain.size() > 2;
    });
    CELLGRADE_CHECK(!kept.empty(),
                    "the grade has no trusted quasi-static row: {} of other kinds; a law needs one",
                    rows.size());
    return kept;
}

GradeTest test_of(const GradeRow& row) {
    GradeTest test{.name = grade_label(row.grade),
                   .curve = row.curve,
                   .strain_rate_per_s = row.grade.strain_rate_per_s};
    const double last =
        *std::max_element(row.curve.nominal_strain.begin(), row.curve.nominal_strain.end());
    test.to_strain = std::isfinite(row.traits.densification_strain)
                         ? std::min(row.traits.densification_strain, last)
                         : last;
    return test;
}

struct Chosen {
    Rows rows;
    const GradeRow* compression = nullptr;
};

Chosen choose(const GradeTable& table, const GradeChoice& choice) {
    Chosen chosen{.rows = slow_and_trusted(of_conditions(of_cell(table, choice), choice))};
    Rows pressed =
        those(chosen.rows, [](const GradeRow& r) { return r.grade.load == CaseLoad::Compression; });
    CELLGRADE_CHECK(!pressed.empty(), "the grade has no trusted quasi-static compression");
    const auto rate = [](const GradeCase& g) { return g.strain_rate_per_s; };
    if (choice.strain_rate_per_s) {
        const Rows all = pressed;
        pressed = those(all, [&](const GradeRow& r) {
            return close(rate(r.grade), *choice.strain_rate_per_s);
        });
        CELLGRADE_CHECK(!pressed.empty(), "no compression at {} 1/s; the grade has {} 1/s",
                        *choice.strain_rate_per_s, listed(all, rate));
    }
    chosen.compression = *std::min_element(
        pressed.begin(), pressed.end(),
        [&](const GradeRow* a, const GradeRow* b) { return rate(a->grade) < rate(b->grade); });
    return chosen;
}

} // namespace

const GradeRow& chosen_row(const GradeTable& table, const GradeChoice& choice) {
    return *choose(table, choice).compression;
}

GradeLawInput
law_input(const GradeTable& table, const GradeChoice& choice, const PolymerCard& polymer) {
    const Chosen chosen = choose(table, choice);
    const GradeRow& fitted = *chosen.compression;
    GradeLawInput input{
        .name = fmt::format("{} {:g}", fitted.grade.cell, fitted.grade.relative_density),
        .relative_density = fitted.density_kg_per_m3 / polymer.density_kg_per_m3,
        .density_kg_per_m3 = fitted.density_kg_per_m3,
        .prony = polymer.prony,
        .prony_source = fmt::format("of the polymer '{}': all stress of a lattice is its polymer's",
                                    polymer.name),
        .friction_on_itself = polymer.friction_on_itself,
        .friction_on_platen = polymer.friction_on_platen,
        .compression = test_of(fitted)};
    for (const GradeRow* row : chosen.rows) {
        if (row == &fitted)
            continue;
        if (row->grade.load == CaseLoad::Compression)
            input.compared.push_back(test_of(*row));
        else if (row->grade.load == CaseLoad::Shear &&
                 close(row->grade.strain_rate_per_s, fitted.grade.strain_rate_per_s))
            input.shear.push_back(test_of(*row));
    }
    return input;
}

} // namespace cellgrade
