// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/validation_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/cli/trait_text.hpp"
#include "solver/core/units.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/results/provenance.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

constexpr double MJ_per_m3 = 1e6;

/// A row of the table of differences: SI name for files, readable one and its unit for people.
struct QuantityRow {
    std::string si_name, readable_name;
    double unit;
    Difference difference;
};

std::vector<QuantityRow> quantity_rows(const ValidationReport& r) {
    const CurveValidation& v = r.validation;
    std::vector<QuantityRow> rows{
        {"peak_stress_Pa", "peak_stress_MPa", units::MPa, v.peak_stress_Pa},
        {"loading_energy_J_per_m3", "loading_energy_MJ_per_m3", MJ_per_m3, v.loading_energy},
        {"loop_area_J_per_m3", "loop_area_MJ_per_m3", MJ_per_m3, v.loop_area}};
    for (std::size_t i = 0; i < r.traits.size(); ++i)
        rows.push_back({trait_fields()[i].name, readable_traits()[i].name,
                        readable_traits()[i].unit, r.traits[i]});
    return rows;
}

std::string percent(double share, const char* format) {
    return std::isfinite(share) ? fmt::format(fmt::runtime(format), 100.0 * share) : "-";
}

std::string differences_text(const ValidationReport& r) {
    std::vector<std::vector<std::string>> rows;
    for (const QuantityRow& q : quantity_rows(r)) {
        const Difference& d = q.difference;
        rows.push_back({q.readable_name, readable(d.computed / q.unit),
                        readable(d.measured / q.unit), readable(d.deviation / q.unit, 2),
                        percent(d.relative(), "{:+.1f} %")});
    }
    return columns_text({"quantity ", "computed", "measured", "deviation", "difference"}, rows);
}

std::vector<std::string>
score_row(const char* name, const BranchValidation* branch, const CurveScore& score) {
    std::vector<std::string> row{name,
                                 "",
                                 "",
                                 readable(score.magnitude, 3),
                                 readable(score.phase, 3),
                                 readable(score.combined, 3),
                                 "",
                                 ""};
    if (branch == nullptr)
        return row;
    row[1] = readable(branch->range.from);
    row[2] = readable(branch->range.to);
    row[6] = percent(branch->inside_one, "{:.0f} %");
    row[7] = percent(branch->inside_two, "{:.0f} %");
    return row;
}

std::string scores_text(const CurveValidation& v) {
    std::vector<std::vector<std::string>> rows{score_row("loading", &v.loading, v.loading.score)};
    if (v.unloading)
        rows.push_back(score_row("unloading", &*v.unloading, v.unloading->score));
    rows.push_back(score_row("overall", nullptr, v.overall));
    return columns_text(
        {"score ", "from_strain", "to_strain", "M", "P", "C", "inside_1_dev", "inside_2_dev"},
        rows);
}

/// All notes, those of a file with its name before them.
std::vector<std::string> all_notes(const ValidationReport& r) {
    std::vector<std::string> notes = r.validation.notes;
    for (const std::string& note : r.computed.notes)
        notes.push_back(fmt::format("{}: {}", r.computed_file, note));
    for (std::size_t i = 0; i < r.measured.size(); ++i) {
        for (const CurveCorrection& c : r.measured[i].corrections)
            notes.push_back(fmt::format("{}: {}", r.measured_files[i], c.text));
        for (const std::string& note : r.measured[i].notes)
            notes.push_back(fmt::format("{}: {}", r.measured_files[i], note));
    }
    if (r.measured.size() == 1)
        notes.emplace_back("one measured curve: no deviation and no corridor; measure repeats");
    return notes;
}

/// JSON has no NaN; it becomes null by itself.
nlohmann::ordered_json branch_json(const BranchValidation& b) {
    return {{"from_strain", b.range.from},
            {"to_strain", b.range.to},
            {"magnitude", b.score.magnitude},
            {"phase", b.score.phase},
            {"combined", b.score.combined},
            {"share_inside_one_deviation", b.inside_one},
            {"share_inside_two_deviations", b.inside_two}};
}

std::string csv_number(double value) {
    return std::isfinite(value) ? fmt::format("{}", value) : "";
}

std::string csv_comments(const ValidationReport& r) {
    std::string text = fmt::format("# {}\n", caution_text());
    if (!r.computed.trusted)
        text += fmt::format("# the computed curve is not trusted: {}\n", r.computed.reason);
    return text;
}

void add_points(const char* name, const BranchValidation& b, std::string& text) {
    for (std::size_t i = 0; i < b.corridor.mean.strain.size(); ++i) {
        const double strain = b.corridor.mean.strain[i];
        const bool covered = strain >= b.range.from && strain <= b.range.to;
        text +=
            fmt::format("{},{},{},{},{}\n", name, strain, b.corridor.mean.stress_Pa[i] / units::MPa,
                        csv_number(b.corridor.deviation_Pa[i] / units::MPa),
                        covered ? csv_number(b.computed.at(strain) / units::MPa) : "");
    }
}

PlotCurve plot_curve(const CrushCurve& curve, const std::string& label) {
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    return {.curve = curve,
            .panel = "",
            .label = label,
            .relative_density = none,
            .speed_m_per_s = none,
            .strain_rate_per_s = none,
            .densification_strain = none};
}

PlotBand band_of(const Corridor& corridor, std::size_t repeats) {
    PlotBand band{.panel = "",
                  .label = fmt::format("mean of {} measurements +- one deviation", repeats),
                  .strain = corridor.mean.strain,
                  .low_Pa = corridor.mean.stress_Pa,
                  .high_Pa = corridor.mean.stress_Pa};
    for (std::size_t i = 0; i < band.strain.size(); ++i) {
        band.low_Pa[i] -= corridor.deviation_Pa[i];
        band.high_Pa[i] += corridor.deviation_Pa[i];
    }
    return band;
}

} // namespace

std::string validation_text(const ValidationReport& r) {
    std::string text = fmt::format("computed  {} ({})\n", r.computed_file, r.computed.label);
    for (const std::string& file : r.measured_files)
        text += fmt::format("measured  {}\n", file);
    for (const std::string& note : all_notes(r))
        text += fmt::format("note      {}\n", note);
    text += "\n" + differences_text(r) + "\n" + scores_text(r.validation) + "\n" +
            curve_score_definition() + "\n" + caution_text() + "\n";
    if (!r.computed.trusted)
        text += fmt::format("\nthe computed curve is not trusted: {}\n", r.computed.reason);
    return text;
}

std::string validation_json(const ValidationReport& r) {
    nlohmann::ordered_json quantities = nlohmann::ordered_json::array();
    for (const QuantityRow& q : quantity_rows(r))
        quantities.push_back({{"quantity", q.si_name},
                              {"computed", q.difference.computed},
                              {"measured", q.difference.measured},
                              {"deviation", q.difference.deviation},
                              {"difference", q.difference.relative()}});
    const CurveValidation& v = r.validation;
    nlohmann::ordered_json document{
        {"schema", "cellgrade/validation"},
        {"caution", caution_text()},
        {"computed",
         {{"file", r.computed_file},
          {"label", r.computed.label},
          {"trusted", r.computed.trusted},
          {"reason", r.computed.reason}}},
        {"measured", r.measured_files},
        {"notes", all_notes(r)},
        {"score_definition", curve_score_definition()},
        {"loading", branch_json(v.loading)},
        {"unloading", v.unloading ? branch_json(*v.unloading) : nlohmann::ordered_json()},
        {"overall",
         {{"magnitude", v.overall.magnitude},
          {"phase", v.overall.phase},
          {"combined", v.overall.combined}}},
        {"quantities", quantities}};
    return document.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

std::string validation_csv(const ValidationReport& r) {
    std::string text = csv_comments(r) + "# " + curve_score_definition() +
                       "\nquantity,computed,measured_mean,measured_deviation,difference\n";
    for (const QuantityRow& q : quantity_rows(r))
        text += fmt::format("{},{},{},{},{}\n", q.si_name, csv_number(q.difference.computed),
                            csv_number(q.difference.measured), csv_number(q.difference.deviation),
                            csv_number(q.difference.relative()));
    const auto score = [&text](const char* name, const CurveScore& s) {
        for (const auto& [letter, value] :
             {std::pair("M", s.magnitude), std::pair("P", s.phase), std::pair("C", s.combined)})
            text += fmt::format("score_{}_{},{},,,\n", letter, name, csv_number(value));
    };
    score("loading", r.validation.loading.score);
    if (r.validation.unloading)
        score("unloading", r.validation.unloading->score);
    score("overall", r.validation.overall);
    return text;
}

std::string corridor_csv(const ValidationReport& r) {
    std::string text = csv_comments(r) + "branch,nominal_strain,measured_mean_MPa,"
                                         "measured_deviation_MPa,computed_MPa\n";
    add_points("loading", r.validation.loading, text);
    if (r.validation.unloading)
        add_points("unloading", *r.validation.unloading, text);
    return text;
}

CurvePlot validation_plot(const ValidationReport& r) {
    const CurveValidation& v = r.validation;
    CurvePlot plot{.title = "Computed against measured", .subtitle = r.computed.label};
    plot.subtitle += fmt::format("; C {} (M {}, P {})", readable(v.overall.combined, 3),
                                 readable(v.overall.magnitude, 3), readable(v.overall.phase, 3));
    plot.curves.push_back(plot_curve(r.computed.curve, "computed"));
    plot.curves.back().trusted = r.computed.trusted;
    for (const MeasuredCurve& one : r.measured) {
        plot.curves.push_back(plot_curve(one.curve, "measured"));
        plot.curves.back().is_repeat = true;
    }
    if (r.measured.size() > 1) {
        plot.bands.push_back(band_of(v.loading.corridor, r.measured.size()));
        if (v.unloading)
            plot.bands.push_back(band_of(v.unloading->corridor, r.measured.size()));
    }
    return plot;
}

} // namespace cellgrade
