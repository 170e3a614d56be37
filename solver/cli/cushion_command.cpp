// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_case.hpp"
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/text_plot.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/report/cushion_plot.hpp"
#include "solver/results/cushion_csv.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/provenance.hpp"

#include <nlohmann/json.hpp>

#include <limits>
#include <memory>
#include <optional>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

struct CushionOptions {
    std::string table, cell, polymer, csv, svg;
    std::vector<Index> direction{0, 0, 1};
    std::vector<double> relative_densities, thicknesses_mm, drop_heights_m, static_stresses_kPa;
    std::optional<double> temperature_C;
    Index points = 40;
};

std::vector<double>
stresses_of(const CushionOptions& o, const GradeResponse& grade, double thickness, double height) {
    if (o.static_stresses_kPa.empty())
        return useful_stresses(grade, thickness, height, o.points);
    return stress_ladder(o.static_stresses_kPa[0] * units::kPa,
                         o.static_stresses_kPa[1] * units::kPa, o.points);
}

std::vector<GradeCushion> cushions_of(const CushionOptions& o, const GradeCurves& curves) {
    const double temperature = o.temperature_C.value_or(std::numeric_limits<double>::quiet_NaN());
    std::vector<GradeCushion> cushions;
    for (const double density : o.relative_densities) {
        const GradeResponse grade(curves, density, temperature);
        for (const double thickness_mm : o.thicknesses_mm)
            for (const double height : o.drop_heights_m) {
                const double thickness = thickness_mm * units::mm;
                Pad{.thickness_m = thickness, .area_m2 = 1.0}.check();
                cushions.push_back({curves.selection().cell, density,
                                    cushion_curve(grade, thickness, height,
                                                  stresses_of(o, grade, thickness, height))});
            }
    }
    return cushions;
}

std::string best_text(const std::vector<GradeCushion>& cushions) {
    std::vector<std::vector<std::string>> rows;
    for (const GradeCushion& each : cushions) {
        const CushionPoint* best = best_point(each.curve);
        if (best == nullptr) {
            rows.push_back({each.label(), "-", "bottoms", "-"});
            continue;
        }
        rows.push_back({each.label(), readable(best->static_stress_Pa / units::kPa, 3),
                        readable(best->peak_acceleration_g, 3), readable(best->largest_strain, 3)});
    }
    return "lowest point of each curve\n\n" +
           columns_text(
               {"cell, density, thickness, drop height ", "static_stress_kPa", "peak_g", "strain"},
               rows);
}

std::string plot_text(const std::vector<GradeCushion>& cushions) {
    std::vector<TextLine> lines;
    for (const GradeCushion& each : cushions) {
        TextLine line{.label = each.label(), .x = {}, .y = {}};
        for (const CushionPoint& point : held_points(each.curve)) {
            line.x.push_back(point.static_stress_Pa / units::kPa);
            line.y.push_back(point.peak_acceleration_g);
        }
        lines.push_back(std::move(line));
    }
    return text_plot(lines, "kPa static stress", "peak acceleration [g]");
}

Json json_of(const std::vector<GradeCushion>& cushions, const GradeCurves& curves) {
    Json list = Json::array();
    for (const GradeCushion& each : cushions) {
        Json points = Json::array();
        for (const CushionPoint& point : each.curve.points)
            points.push_back({{"static_stress_Pa", point.static_stress_Pa},
                              {"peak_acceleration_g", point.peak_acceleration_g},
                              {"largest_strain", point.largest_strain},
                              {"bottomed", point.bottomed}});
        list.push_back({{"cell", each.cell},
                        {"relative_density", each.relative_density},
                        {"thickness_m", each.curve.thickness_m},
                        {"drop_height_m", each.curve.drop_height_m},
                        {"points", std::move(points)}});
    }
    return {{"schema", "cellgrade/cushion"}, {"schema_version", {1, 0}},
            {"caution", caution_text()},     {"polymer", curves.selection().polymer},
            {"left_out", curves.left_out()}, {"curves", std::move(list)}};
}

int run_cushion(const Session& session, const CushionOptions& o) {
    for (const std::string* file : {&o.csv, &o.svg})
        require_writable_folder(*file);
    const GradeTable table = read_grade_table(o.table);
    const GradeCurves curves(table,
                             {.cell = o.cell,
                              .polymer = o.polymer,
                              .direction = {o.direction[0], o.direction[1], o.direction[2]}});
    const std::vector<GradeCushion> cushions = cushions_of(o, curves);
    const std::string caution = caution_text();
    if (!o.csv.empty())
        publish_text(o.csv, cushion_csv(cushions, {caution, curves.selection().polymer}));
    if (!o.svg.empty())
        publish_text(o.svg,
                     cushion_plot_svg(table.study_name, curves.selection().polymer, cushions));
    if (session.json) {
        print(json_of(cushions, curves).dump(2) + "\n");
        return exit_code::done;
    }
    print(plot_text(cushions) + "\n" + best_text(cushions) +
          "\nA flat body on a bare pad that is not hit again; past the end of a curve its pad "
          "bottoms.\n" +
          caution + "\n");
    return exit_code::done;
}

void add_pad_options(CLI::App& command, CushionOptions& o) {
    const char* group = "Pad and drop";
    const auto numbers = [&](const char* name, std::vector<double>& values, const char* unit,
                             const char* text) {
        return command.add_option(name, values, text)->type_name(unit)->group(group);
    };
    add_selection_options(command, o.cell, o.polymer, o.direction, group)->required();
    numbers("--relative-density", o.relative_densities, "SHARE", "one or more, inside the table")
        ->required();
    numbers("--thickness-mm", o.thicknesses_mm, "MM", "one or more")->required();
    numbers("--drop-height-m", o.drop_heights_m, "M", "one or more")->required();
    command.add_option("--temperature-C", o.temperature_C, "of the pad")
        ->type_name("C")
        ->group(group);
    numbers("--static-stress-kPa", o.static_stresses_kPa, "FROM TO",
            "range of the curves; without it from an easy blow to one that bottoms")
        ->expected(2);
    command.add_option("--points", o.points, "of each curve")
        ->type_name("COUNT")
        ->check(CLI::Range(2, 1000))
        ->group(group)
        ->capture_default_str();
}

} // namespace

void add_cushion_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "cushion",
        "Cushion curves of a grade: peak g over static stress, by thickness and drop height.",
        "  cellgrade table examples/04_grade_table/short.toml -o short.h5\n"
        "  cellgrade cushion short.h5 --cell body_centred --relative-density 0.12 --thickness-mm "
        "20 "
        "40 --drop-height-m 0.05 --csv cushion.csv --svg cushion.svg\n"
        "  cellgrade cushion short.h5 --cell body_centred --relative-density 0.08 0.10 "
        "--thickness-mm 25 --drop-height-m 0.05 --json\n");
    auto o = std::make_shared<CushionOptions>();
    command.add_option("GRADES.h5", o->table, "a grade table of `cellgrade table`")->required();
    add_pad_options(command, *o);
    add_result_file(command, "--csv", o->csv, "every point");
    add_result_file(command, "--svg", o->svg, "the curves as a picture");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_cushion(session, *o); }; });
}

} // namespace cellgrade
