// SPDX-License-Identifier: Apache-2.0
#include "solver/report/page_data.hpp"

#include "solver/report/explorer_grades.hpp"
#include "solver/report/html.hpp"
#include "solver/report/thinned_knots.hpp"
#include "solver/results/json.hpp"
#include "solver/results/provenance.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <cstdlib>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

Json exact(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}

/// To seven figures: what only drawings and the explorer read.
Json rounded(double value) {
    return std::isfinite(value) ? Json(std::strtod(fmt::format("{:.7g}", value).c_str(), nullptr))
                                : Json(nullptr);
}

Json rounded(const std::vector<double>& values) {
    Json list = Json::array();
    for (const double value : values)
        list.push_back(rounded(value));
    return list;
}

Json rounded(const std::vector<std::vector<double>>& rows) {
    Json list = Json::array();
    for (const std::vector<double>& row : rows)
        list.push_back(rounded(row));
    return list;
}

Json json_of(const LinePanel& panel) {
    Json lines = Json::array(), levels = Json::array();
    for (const PanelLine& line : panel.lines)
        lines.push_back({{"label", line.label},
                         {"x", rounded(line.x)},
                         {"y", rounded(line.y)},
                         {"doubtful", line.doubtful}});
    for (const PanelLevel& level : panel.levels)
        levels.push_back({{"label", level.label}, {"y", rounded(level.y)}});
    return {{"name", panel.name},
            {"x_name", panel.x_name},
            {"y_name", panel.y_name},
            {"lines", std::move(lines)},
            {"levels", std::move(levels)}};
}

Json json_of(const ExplorerGrade& grade) {
    const GradeResponse::Knots knots = thinned_knots(grade.knots);
    return {{"label", grade.label},
            {"label_end", grade.label_end},
            {"cell", grade.cell},
            {"polymer", grade.polymer},
            {"relative_density", exact(grade.relative_density)},
            {"temperature_C", exact(grade.temperature_C)},
            {"density_kg_per_m3", exact(grade.density_kg_per_m3)},
            {"unloads", grade.unloads},
            {"lowest_rate_per_s", rounded(grade.lowest_rate_per_s)},
            {"highest_rate_per_s", rounded(grade.highest_rate_per_s)},
            {"uncertainty_share", rounded(grade.uncertainty_share)},
            {"not_estimated", grade.caveats.not_estimated},
            {"outside_card", grade.caveats.outside_card},
            {"steepest_Pa", rounded(grade.steepest_Pa)},
            {"log_strain_rate", rounded(knots.log_strain_rate)},
            {"strain", rounded(knots.strain)},
            {"stress_Pa", rounded(knots.stress_Pa)},
            {"last_slope_Pa", rounded(knots.last_slope_Pa)},
            {"return_x", rounded(knots.return_x)},
            {"return_share", rounded(knots.return_share)},
            {"densification_strain", rounded(knots.densification_strain)},
            {"tail_strain", rounded(knots.tail_strain)},
            {"tail_stress_Pa", rounded(knots.tail_stress_Pa)},
            {"turn_strain", rounded(knots.turn_strain)}};
}

Json json_of(const ReportedTable& reported) {
    std::vector<std::string> left_out;
    Json grades = Json::array();
    for (const ExplorerGrade& grade : explorer_grades(reported.table, left_out))
        grades.push_back(json_of(grade));
    return {{"file", reported.file},
            {"table", Json::parse(to_json(reported.table))},
            {"explorer", std::move(grades)},
            {"explorer_left_out", left_out}};
}

Json json_of(const ReportedShapes& reported, const PackedShapes& packed) {
    return {{"file", reported.file},
            {"of", reported.of},
            {"n_points", packed.n_points},
            {"n_cells", packed.cells.size() / packed.points_per_cell},
            {"points_per_cell", packed.points_per_cell},
            {"n_saved", packed.n_saved},
            {"nominal_strain", rounded(packed.nominal_strain)},
            {"low_m", packed.low_m},
            {"size_m", packed.size_m}};
}

} // namespace

std::string chart_figure(PageData& data,
                         const std::string& id,
                         const std::string& title,
                         const std::vector<LinePanel>& panels) {
    std::vector<LinePanel> drawn;
    for (const LinePanel& panel : panels)
        if (!panel.empty())
            drawn.push_back(panel);
    if (drawn.empty())
        return "";
    const std::size_t number = data.charts.size();
    data.charts.push_back(drawn);
    return fmt::format("<figure id=\"{}\" data-chart=\"{}\"><figcaption>{}</figcaption>\n{}"
                       "</figure>\n",
                       id, number, html::text(title),
                       html::picture(line_panels_svg(title, "", drawn), title));
}

std::string page_json(const ReportContent& content, const PageData& data) {
    Json tables = Json::array(), charts = Json::array(), scenes = Json::array();
    for (const ReportedTable& table : content.tables)
        tables.push_back(json_of(table));
    for (const std::vector<LinePanel>& panels : data.charts) {
        Json list = Json::array();
        for (const LinePanel& panel : panels)
            list.push_back(json_of(panel));
        charts.push_back(std::move(list));
    }
    for (std::size_t k = 0; k < data.scenes.size(); ++k)
        scenes.push_back(json_of(content.shapes[k], data.scenes[k]));
    const Json document{{"schema", "cellgrade/report-data"}, {"schema_version", {1, 0}},
                        {"caution", caution_text()},         {"tables", std::move(tables)},
                        {"charts", std::move(charts)},       {"scenes", std::move(scenes)}};
    return document.dump(-1, ' ', false, Json::error_handler_t::replace);
}

} // namespace cellgrade
