// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/doubt_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/core/said_once.hpp"
#include "solver/grades/trait_fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace cellgrade {

namespace {

constexpr const char* note_mark = "uncertainty: ";
constexpr int most_places = 9;

std::size_t place_of(double CrushTraits::*member) {
    std::size_t t = 0;
    while (trait_fields()[t].member != member)
        ++t;
    return t;
}

bool has_doubt(const GradeTable& table) {
    return std::any_of(table.rows.begin(), table.rows.end(),
                       [](const GradeRow& row) { return !row.uncertainty.empty(); });
}

/// The first of these that the row has.
std::size_t told_trait(const GradeRow& row) {
    for (const auto member : {&CrushTraits::plateau_stress_Pa, &CrushTraits::collapse_stress_Pa,
                              &CrushTraits::quasi_elastic_gradient_Pa})
        if (std::isfinite(row.traits.*member) && row.traits.*member != 0.0)
            return place_of(member);
    return place_of(&CrushTraits::plateau_stress_Pa);
}

std::string percent(double part, double value) {
    return std::isnan(part) ? "-" : fmt::format("{:.2g}", 100.0 * std::abs(part / value));
}

std::string parts_text(const GradeTable& table) {
    std::vector<std::string> header{"case ", "trait "};
    header.insert(header.end(), doubt_part_names.begin(), doubt_part_names.end());
    header.insert(header.end(), {"together", "not estimated "});
    std::vector<std::vector<std::string>> lines;
    for (const GradeRow& row : table.rows) {
        if (row.uncertainty.empty())
            continue;
        const std::size_t t = told_trait(row);
        const TraitUncertainty& u = row.uncertainty[t];
        const double value = row.traits.*trait_fields()[t].member;
        std::vector<std::string>& line =
            lines.emplace_back(std::vector{grade_label(row.grade), trait_fields()[t].name});
        for (const double part : u.parts)
            line.push_back(percent(part, value));
        line.push_back(percent(u.combined(), value));
        line.push_back(u.missing().empty() ? "-" : u.missing());
    }
    return "\nstandard uncertainty by part, % of the trait; ± is the root of the sum of squares of "
           "the "
           "parts that were estimated, one standard deviation. What beams or the polymer's law "
           "leave "
           "out is not in it:\n\n" +
           columns_text(header, lines);
}

/// Of each row the guard that came nearest its limit.
std::string guards_text(const GradeTable& table) {
    std::vector<std::vector<std::string>> lines;
    for (const GradeRow& row : table.rows) {
        const auto share = [](const GuardResult& g) { return g.value / g.limit; };
        const auto worst = std::max_element(
            row.guards.begin(), row.guards.end(), [&](const GuardResult& a, const GuardResult& b) {
                return (a.enforced ? share(a) : 0.0) < (b.enforced ? share(b) : 0.0);
            });
        if (worst == row.guards.end())
            continue;
        lines.push_back({grade_label(row.grade), worst->name, readable(worst->value, 3),
                         readable(worst->limit, 3), row.status});
    }
    return columns_text({"case ", "guard nearest its limit ", "reached", "limit", "status "},
                        lines);
}

} // namespace

std::string with_doubt(double value, double doubt, int digits) {
    if (std::isnan(value) || std::isnan(doubt))
        return readable(value, digits);
    if (doubt == 0.0)
        return readable(value, digits) + " ± 0";
    int places = 1 - static_cast<int>(std::floor(std::log10(doubt)));
    if (places > most_places)
        return fmt::format("{} ± {:.2g}", readable(value, digits), doubt);
    places = std::max(0, places);
    return fmt::format("{:.{}f} ± {:.{}f}", value, places, doubt, places);
}

std::string
trait_with_doubt(const GradeRow& row, double CrushTraits::*member, double unit, int digits) {
    const double doubt = row.uncertainty.empty() ? TraitUncertainty::unknown
                                                 : row.uncertainty[place_of(member)].combined();
    return with_doubt(row.traits.*member / unit, doubt / unit, digits);
}

std::string uncertainty_note(const GradeRow& row) {
    const std::size_t at = row.warning.find(note_mark);
    return at == std::string::npos ? "" : row.warning.substr(at + std::string(note_mark).size());
}

std::string other_warning(const GradeRow& row) {
    const std::size_t at = row.warning.find(note_mark);
    std::string text = row.warning.substr(0, at);
    if (text.ends_with("; "))
        text.resize(text.size() - 2);
    return text;
}

namespace {

/// What rows say of their uncertainty, each sentence once: of which case, or of how many.
std::string uncertainty_notes(const GradeTable& table) {
    SaidOnce notes;
    for (const GradeRow& row : table.rows)
        notes.say(uncertainty_note(row), grade_label(row.grade));
    std::string text;
    for (const auto& [note, grades] : notes.all())
        text += grades.size() == 1 ? fmt::format("uncertainty of {}: {}\n", grades.front(), note)
                                   : fmt::format("uncertainty of {} cases, the first {}: {}\n",
                                                 grades.size(), grades.front(), note);
    return text;
}

} // namespace

std::string doubts_text(const UncertaintyChoice& choice, const GradeTable& table) {
    if (!choice.given)
        return "uncertainty: nothing was estimated; a table [uncertainty] of the study says what "
               "is\n";
    if (choice.parts.empty())
        return fmt::format("\nuncertainty: nothing was estimated (effort {}); what is known of the "
                           "cases are their guards:\n\n{}",
                           choice.effort, guards_text(table));
    std::string text =
        has_doubt(table) ? parts_text(table) : "uncertainty: nothing was estimated\n";
    return text + uncertainty_notes(table);
}

} // namespace cellgrade
