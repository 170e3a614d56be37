// SPDX-License-Identifier: Apache-2.0
#include "solver/core/units.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/report/curve_plot.hpp"
#include "solver/report/html.hpp"
#include "solver/report/page_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace cellgrade {

namespace {

using html::text;

/// A trait of the grade table of the page.
struct Shown {
    const char* head; ///< with unit
    double unit;
    double CrushTraits::*member;
};

constexpr std::array<Shown, 7> shown_traits{
    {{"plateau [MPa]", units::MPa, &CrushTraits::plateau_stress_Pa},
     {"densification [strain]", 1.0, &CrushTraits::densification_strain},
     {"energy [MJ/m^3]", 1e6, &CrushTraits::energy_J_per_m3},
     {"SEA [J/g]", 1e3, &CrushTraits::sea_J_per_kg},
     {"efficiency [-]", 1.0, &CrushTraits::efficiency},
     {"lost in a loop [-]", 1.0, &CrushTraits::dissipated_fraction},
     {"gradient [MPa]", units::MPa, &CrushTraits::quasi_elastic_gradient_Pa}}};

std::size_t field_place(double CrushTraits::*member) {
    const auto fields = trait_fields();
    std::size_t i = 0;
    while (i < fields.size() && fields[i].member != member)
        ++i;
    return i;
}

std::string trait_cell(const GradeRow& row, const Shown& trait) {
    std::string cell = html::number(row.traits.*trait.member / trait.unit, 3);
    const std::size_t place = field_place(trait.member);
    if (place < row.uncertainty.size() && std::isfinite(row.uncertainty[place].combined()))
        cell += fmt::format(" <small>\u00b1 {:.1g}</small>",
                            row.uncertainty[place].combined() / trait.unit);
    return cell;
}

html::Row grade_row(const GradeRow& row, std::size_t number) {
    const GradeCase& grade = row.grade;
    html::Row out{.cells = {std::to_string(number), text(grade.cell),
                            fmt::format("{:.4g}", grade.relative_density),
                            fmt::format("{:.3g}", grade.strain_rate_per_s)},
                  .values = {static_cast<double>(number), std::nan(""), grade.relative_density,
                             grade.strain_rate_per_s}};
    const std::string condition = condition_text(grade);
    out.cells.push_back(text(condition.empty() ? "[001]" : condition));
    out.values.push_back(std::nan(""));
    if (row.status != "trusted") {
        out.class_name = "no-result";
        out.note = html::mark("bad", "not a result") + " " + text(row.reason);
        return out;
    }
    for (const Shown& trait : shown_traits) {
        out.cells.push_back(trait_cell(row, trait));
        out.values.push_back(row.traits.*trait.member);
    }
    return out;
}

std::string grade_table_html(const ReportedTable& reported) {
    std::vector<html::Column> columns{{"row", true, "of the table, from 1"},
                                      {"cell", false, ""},
                                      {"relative density", true, "solid volume / gross volume"},
                                      {"strain rate [1/s]", true, "platen speed / height"},
                                      {"crushed along", false, "and what else differs"}};
    for (const Shown& trait : shown_traits)
        columns.push_back(
            {trait.head, true, definition_text(trait_fields()[field_place(trait.member)])});
    std::vector<html::Row> rows;
    for (std::size_t i = 0; i < reported.table.rows.size(); ++i)
        rows.push_back(grade_row(reported.table.rows[i], i + 1));
    return html::table("Grades of " + reported.file, columns, rows, true);
}

std::string definitions() {
    std::vector<std::string> items;
    for (const Shown& trait : shown_traits)
        items.push_back(
            fmt::format("<b>{}</b>: {}", text(trait.head),
                        text(definition_text(trait_fields()[field_place(trait.member)]))));
    return html::folded("What the columns mean", html::list(items));
}

/// Whether a curve can be drawn: one of a run that failed may hold no numbers.
bool can_be_drawn(const GradeRow& row) {
    const auto finite = [](const std::vector<double>& values) {
        return std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
    };
    const CrushCurve& curve = row.curve;
    return curve.turn > 1 && finite(curve.nominal_strain) && finite(curve.nominal_stress_Pa) &&
           finite(curve.shear_strain) && finite(curve.shear_stress_Pa);
}

GradeTable drawn_rows(const GradeTable& table) {
    GradeTable drawn{.study_name = table.study_name};
    for (const GradeRow& row : table.rows)
        if (can_be_drawn(row))
            drawn.rows.push_back(row);
    return drawn;
}

} // namespace

std::string curves_section(const ReportContent& content) {
    std::string inner;
    for (std::size_t k = 0; k < content.tables.size(); ++k) {
        const ReportedTable& reported = content.tables[k];
        const GradeTable drawn = drawn_rows(reported.table);
        if (drawn.rows.empty())
            continue;
        const std::string title = "Stress over strain, " + reported.table.study_name;
        inner += fmt::format(
            "<figure id=\"curves-{0}\" data-curves=\"{0}\"><figcaption>{1}</figcaption>\n{2}"
            "</figure>\n",
            k, text(title), html::picture(curve_plot_svg(curve_plot_of(drawn)), title));
    }
    if (inner.empty())
        return "";
    return html::section(
        "curves", "Curves",
        html::paragraph("Compression is positive. Stress is force over the gross area before the "
                        "crush, strain is shortening over the height before it. A ring marks "
                        "densification; dashed pale curves are not results.") +
            inner);
}

std::string grades_section(const ReportContent& content) {
    std::string inner;
    for (std::size_t k = 0; k < content.tables.size(); ++k)
        inner += fmt::format("<div data-traits=\"{}\"></div>\n", k) +
                 grade_table_html(content.tables[k]);
    if (inner.empty())
        return "";
    return html::section(
        "grades", "Grades side by side",
        html::paragraph("Energy and SEA (energy for mass) count up to densification; \u00b1 is one "
                        "standard uncertainty, and where it is missing it was not estimated.") +
            inner + definitions());
}

std::string explorer_section(const ReportContent& content) {
    if (content.tables.empty())
        return "";
    std::string inner = html::paragraph_of(
        "Set a blow and a pad: every trusted grade, and where asked for every pad "
        "of two layers, is struck in this page, by the same columns on a stiff "
        "backing and the same curves as <code>cellgrade impact</code> and "
        "<code>cellgrade choose</code>, and ranked. At right angles, without "
        "weight, on a new pad that later hits find as the earlier left it. A "
        "pad's name shows it hit by hit.");
    for (std::size_t k = 0; k < content.tables.size(); ++k)
        inner += fmt::format(
            "<div class=\"explorer\" data-explorer=\"{}\"><p class=\"needs\">The "
            "explorer needs scripts, which are switched off or not in this page; "
            "<code>cellgrade impact</code> and <code>cellgrade choose</code> answer the same "
            "questions.</p></div>\n",
            k);
    return html::section("explorer", "Try a blow", inner);
}

} // namespace cellgrade
