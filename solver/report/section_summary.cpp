// SPDX-License-Identifier: Apache-2.0
#include "solver/core/units.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/report/html.hpp"
#include "solver/report/page_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace cellgrade {

namespace {

using html::text;

std::string range_text(double low, double high, const char* unit) {
    return low == high ? fmt::format("{:.3g}{}", low, unit)
                       : fmt::format("{:.3g} to {:.3g}{}", low, high, unit);
}

/// Whether plateau stress or energy of a row has a known doubt.
bool has_doubt(const GradeRow& row) {
    const auto fields = trait_fields();
    for (std::size_t i = 0; i < std::min(fields.size(), row.uncertainty.size()); ++i)
        if (std::isfinite(row.uncertainty[i].combined()))
            return true;
    return false;
}

const GradeRow* best_by(const GradeTable& table, double CrushTraits::*trait) {
    const GradeRow* best = nullptr;
    for (const GradeRow& row : table.rows)
        if (row.status == "trusted" && row.grade.load == CaseLoad::Compression &&
            std::isfinite(row.traits.*trait) &&
            (best == nullptr || row.traits.*trait > best->traits.*trait))
            best = &row;
    return best;
}

std::string table_words(const ReportedTable& reported) {
    const GradeTable& table = reported.table;
    std::set<std::string> cells;
    std::set<double> densities, rates;
    Index doubts = 0;
    for (const GradeRow& row : table.rows) {
        cells.insert(row.grade.cell);
        densities.insert(row.grade.relative_density);
        rates.insert(row.grade.strain_rate_per_s);
        doubts += row.status == "trusted" && has_doubt(row) ? 1 : 0;
    }
    const Index trusted = count_status(table, "trusted");
    std::string words = fmt::format(
        "<b>{}</b>: {} crushes of {} at relative densities of {}, strain rates of {}. {} of {} can "
        "be trusted",
        text(table.study_name), table.rows.size(), text(fmt::format("{}", fmt::join(cells, ", "))),
        range_text(*densities.begin(), *densities.rbegin(), ""),
        range_text(*rates.begin(), *rates.rbegin(), " 1/s"), trusted, table.rows.size());
    words += doubts == 0 ? "; how far their numbers may be off was not estimated. "
                         : fmt::format("; for {} of these it is known how far the numbers may be "
                                       "off. ",
                                       doubts);
    if (const GradeRow* most = best_by(table, &CrushTraits::sea_J_per_kg))
        words += fmt::format(
            "Most energy for its mass: {}, {:.3g} J/g up to densification, at a plateau of {:.3g} "
            "MPa. ",
            text(grade_label(most->grade)), most->traits.sea_J_per_kg / 1e3,
            most->traits.plateau_stress_Pa / units::MPa);
    words += "The stiffest grade is not the best one: a zone needs the grade whose plateau fits "
             "its blow.";
    return words;
}

std::string crush_words(const ReportedCrush& crush) {
    const CrushResult& r = crush.result;
    std::string words = fmt::format("<b>{}</b>: ", text(crush.file));
    if (!r.record.trusted())
        return words + "the crush is not a result. " + text(verdict_text(r.record));
    words += fmt::format(
        "a crush of a specimen of relative density {:.3g} to a strain of {:.3g}. ",
        r.record.relative_density,
        *std::max_element(r.curve.nominal_strain.begin(), r.curve.nominal_strain.end()));
    if (std::isfinite(r.traits.plateau_stress_Pa))
        words +=
            fmt::format("Its plateau is {:.3g} MPa. ", r.traits.plateau_stress_Pa / units::MPa);
    words += std::isfinite(r.traits.densification_strain)
                 ? fmt::format("It densifies at a strain of {:.3g}, having absorbed {:.3g} J/g.",
                               r.traits.densification_strain, r.traits.sea_J_per_kg / 1e3)
                 : std::string("It was not pressed to densification.");
    return words;
}

std::string drop_words(const ReportedDrop& drop) {
    const DropRecord& r = drop.result.record;
    const std::string words = fmt::format("<b>{}</b>: ", text(drop.file));
    if (!r.trusted())
        return words + "the drop is not a result. " + text(drop_verdict(r));
    return words +
           fmt::format("a drop of {:.3g} kg on a pad of {:.3g} mm: at most {:.4g} g, {:.3g} mm "
                       "deep, {:.0f} % of the energy given back.{}",
                       r.striker_mass_kg, r.height_m / units::mm, r.traits.peak_acceleration_g,
                       r.traits.largest_depth_m / units::mm, 100.0 * r.traits.returned_share,
                       r.past_densification ? " The pad was driven past densification." : "");
}

std::string zone_words(const ReportedZones& reported) {
    std::vector<std::string> words;
    for (const ZoneChoice& zone : reported.zones)
        words.push_back(fmt::format(
            "<b>zone {}</b>: {}", text(zone.zone.name),
            zone.chosen ? text(zone.ranked.front().label()) + ", " +
                              text(verdict_name(zone.ranked.front().verdict))
            : zone.impossible.empty()
                ? std::string("no choice: no grade of the table keeps every limit with its doubt")
                : "no choice: " + text(zone.impossible)));
    return fmt::format("<b>{}</b>, choice by zone:\n{}", text(reported.plan.name),
                       html::list(words));
}

} // namespace

std::string cautions_section(const ReportContent& content) {
    std::vector<std::string> items{text(caution_text())};
    if (!content.zones.empty() || !content.tables.empty())
        items.emplace_back(
            "Impacts here meet a bare pad on a stiff backing: no shell, no comfort layer, no "
            "straps, no neck. A grade that is chosen here is a proposal for a test, no more.");
    items.emplace_back(
        "A value without an interval is a value whose doubt is not known, not one without doubt. "
        "Rows marked <i>not a result</i> broke a guard of the run and must not be used.");
    return "<section id=\"cautions\" class=\"cautions\" aria-labelledby=\"cautions-head\">\n"
           "<h2 id=\"cautions-head\">Before you use this</h2>\n" +
           html::list(items) + "</section>\n";
}

std::string summary_section(const ReportContent& content) {
    std::vector<std::string> items;
    for (const ReportedTable& table : content.tables)
        items.push_back(table_words(table));
    for (const ReportedZones& zones : content.zones)
        items.push_back(zone_words(zones));
    for (const ReportedCrush& crush : content.crushes)
        items.push_back(crush_words(crush));
    for (const ReportedDrop& drop : content.drops)
        items.push_back(drop_words(drop));
    for (const ReportedShapes& shapes : content.shapes)
        if (shapes.of.empty())
            items.push_back(fmt::format("<b>{}</b>: {} saved shapes", text(shapes.file),
                                        shapes.shapes.n_frames()));
    return html::section("summary", "What the results say", html::list(items));
}

} // namespace cellgrade
