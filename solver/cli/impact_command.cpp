// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_draft.hpp"
#include "solver/choice/impact_reader.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/impact_text.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/suggest.hpp"
#include "solver/core/units.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/impact_csv.hpp"
#include "solver/results/provenance.hpp"

#include <charconv>
#include <map>
#include <memory>

namespace cellgrade {

namespace {

constexpr double kN = 1e3;

/// Numbers as the command line has them, in the units that their names end in.
struct ImpactOptions {
    std::string table, cell, polymer, impacts, csv, svg;
    std::vector<Index> direction{0, 0, 1};
    std::optional<double> relative_density, thickness_mm, area_mm2;
    bool presets = false;
    ImpactDraft draft{.name = "impact"};
    bool described = false; ///< one of the options below was given
    std::optional<double> circumference_mm, radius_mm, face_area_mm2, lever_mm;
    std::vector<double> semi_axes_mm;
    std::vector<std::string> limits;
};

void set_limit(ImpactLimits& limits, const std::string& words) {
    static const std::map<std::string, std::pair<double ImpactLimits::*, double>> known{
        {"peak_acceleration_g", {&ImpactLimits::peak_acceleration_g, 1.0}},
        {"peak_force_kN", {&ImpactLimits::peak_force_N, kN}},
        {"hic15", {&ImpactLimits::hic15, 1.0}},
        {"hic36", {&ImpactLimits::hic36, 1.0}},
        {"severity_index", {&ImpactLimits::severity_index, 1.0}},
        {"bric", {&ImpactLimits::bric, 1.0}},
        {"peak_angular_acceleration_rad_per_s2",
         {&ImpactLimits::peak_angular_acceleration_rad_per_s2, 1.0}},
    };
    const std::size_t equals = words.find('=');
    const std::string name = words.substr(0, equals);
    const auto found = known.find(name);
    if (found == known.end()) {
        std::vector<std::string> names;
        for (const auto& each : known)
            names.push_back(each.first);
        throw input_error("--limit {}: unknown limit '{}'{}", words, name,
                          did_you_mean(name, names));
    }
    double value = 0.0;
    const std::string text = equals == std::string::npos ? "" : words.substr(equals + 1);
    const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (code != std::errc() || end != text.data() + text.size() || !(value > 0.0))
        throw input_error("--limit {}: a number above 0 is needed, as {}=250", words, name);
    limits.*found->second.first = value * found->second.second;
}

ImpactCase described_impact(const ImpactOptions& o) {
    ImpactDraft draft = o.draft;
    const auto put = [](std::optional<double>& to, const std::optional<double>& value,
                        double unit) {
        if (value)
            to = *value * unit;
    };
    put(draft.headform_circumference_m, o.circumference_mm, units::mm);
    put(draft.radius_m, o.radius_mm, units::mm);
    put(draft.face_area_m2, o.face_area_mm2, units::mm2);
    put(draft.lever_m, o.lever_mm, units::mm);
    if (!o.semi_axes_mm.empty())
        draft.semi_axes_m = {o.semi_axes_mm[0] * units::mm, o.semi_axes_mm[1] * units::mm,
                             o.semi_axes_mm[2] * units::mm};
    for (const std::string& words : o.limits)
        set_limit(draft.limits, words);
    return complete_impact(draft);
}

GradePad pad_of(const ImpactOptions& o) {
    for (const auto& [name, given] : {std::pair{"--cell", !o.cell.empty()},
                                      {"--relative-density", o.relative_density.has_value()},
                                      {"--thickness-mm", o.thickness_mm.has_value()},
                                      {"--area-mm2", o.area_mm2.has_value()}})
        if (!given)
            throw input_error("{} is needed: which pad is struck", name);
    const GradePad pad{
        .relative_density = *o.relative_density,
        .pad = {.thickness_m = *o.thickness_mm * units::mm, .area_m2 = *o.area_mm2 * units::mm2}};
    pad.pad.check();
    return pad;
}

ImpactReport report_of(const Session& session, const ImpactOptions& o) {
    const GradePad pad = pad_of(o);
    if (!o.impacts.empty() && o.described)
        throw input_error("a blow is described by options or by --impacts, not by both");
    const std::vector<ImpactCase> impacts =
        o.impacts.empty() ? std::vector<ImpactCase>{described_impact(o)} : read_impacts(o.impacts);
    const GradeTable table = read_grade_table(o.table);
    const GradeCurves curves(table,
                             {.cell = o.cell,
                              .polymer = o.polymer,
                              .direction = {o.direction[0], o.direction[1], o.direction[2]}});
    const TableCaveats caveats = table_caveats(table, curves.selection());
    ImpactReport report{.cell = curves.selection().cell,
                        .polymer = curves.selection().polymer,
                        .pad = pad,
                        .blows = {},
                        .left_out = curves.left_out(),
                        .note = curves.note()};
    for (const ImpactCase& impact : impacts) {
        session.log().write(LogLevel::Phase, "{}", impact.name);
        report.blows.push_back({impact, answer_impact(curves, pad, impact, caveats)});
    }
    return report;
}

void write_csv(const std::string& file, const ImpactReport& report) {
    std::vector<const ImpactCase*> cases;
    std::vector<const ImpactAnswer*> answers;
    for (const AnsweredImpact& blow : report.blows)
        for (const ImpactAnswer& answer : blow.answers) {
            cases.push_back(&blow.impact);
            answers.push_back(&answer);
        }
    publish_text(file, impact_csv(cases, answers, {caution_text(), pad_text(report)}));
}

int run_impact(const Session& session, const ImpactOptions& o) {
    if (o.presets) {
        print(session.json ? presets_json() + "\n" : presets_text());
        return exit_code::done;
    }
    if (o.table.empty())
        throw input_error("a grade table is needed: GRADES.h5 of `cellgrade table` (or --presets)");
    for (const std::string* file : {&o.csv, &o.svg})
        require_writable_folder(*file);
    const ImpactReport report = report_of(session, o);
    for (const std::string& row : report.left_out)
        session.log().write(LogLevel::Phase, "left out: {}", row);
    if (!o.csv.empty())
        write_csv(o.csv, report);
    if (!o.svg.empty())
        publish_text(o.svg, impact_plot_svg("impact on a pad", pad_text(report), report.blows));
    print(session.json ? impact_report_json(report) + "\n" : impact_report_text(report));
    for (const AnsweredImpact& blow : report.blows)
        for (const ImpactAnswer& answer : blow.answers)
            if (answer.bottomed())
                return exit_code::not_trusted;
    return exit_code::done;
}

void add_pad_options(CLI::App& command, ImpactOptions& o) {
    const char* group = "Pad";
    command.add_option("GRADES.h5", o.table, "grade table of `cellgrade table`");
    add_selection_options(command, o.cell, o.polymer, o.direction, group);
    command.add_option("--relative-density", o.relative_density, "of the grade, inside the table")
        ->type_name("SHARE")
        ->group(group);
    command.add_option("--thickness-mm", o.thickness_mm, "of the pad")
        ->type_name("MM")
        ->group(group);
    command.add_option("--area-mm2", o.area_mm2, "of the pad; nothing beyond it carries")
        ->type_name("MM2")
        ->group(group);
}

void add_blow_options(CLI::App& command, ImpactOptions& o) {
    const char* group = "Blow (or --impacts)";
    const auto number = [&](const char* name, std::optional<double>& value, const char* unit,
                            const char* text) {
        command.add_option(name, value, text)->type_name(unit)->group(group);
    };
    number("--mass-kg", o.draft.mass_kg, "KG", "of the striking body");
    number("--speed-m-per-s", o.draft.speed_m_per_s, "M_PER_S", "at right angles to the pad");
    number("--drop-height-m", o.draft.drop_height_m, "M", "instead of a speed");
    command
        .add_option("--rule", o.draft.rule,
                    "mass, speed and limits of a public rule, see --presets")
        ->type_name("NAME")
        ->group(group);
    number("--headform-circumference-mm", o.circumference_mm, "MM",
           "of a head: mass, and a sphere of that girth");
    command.add_option("--shape", o.draft.shape, "flat, sphere or ellipsoid")
        ->type_name("NAME")
        ->group(group);
    number("--radius-mm", o.radius_mm, "MM", "of a sphere");
    command
        .add_option("--semi-axes-mm", o.semi_axes_mm, "of an ellipsoid, the last along the blow")
        ->type_name("A B C")
        ->expected(3)
        ->group(group);
    number("--face-area-mm2", o.face_area_mm2, "MM2",
           "of a flat body; without it larger than the pad");
    command.add_flag("--with-weight", o.draft.with_weight, "gravity goes on pressing")
        ->group(group);
    command.add_option("--hits", o.draft.hits, "one after another on the same place")
        ->type_name("N")
        ->group(group)
        ->default_str("1");
    command
        .add_option("--recovery-share", o.draft.recovery_share,
                    "of the pad between hits: 0 stays softened, 1 is as new")
        ->type_name("SHARE")
        ->group(group)
        ->default_str("0");
    command.add_option("--temperature-C", o.draft.temperatures_C, "of the pad, one or more")
        ->type_name("C")
        ->group(group);
}

void add_slant_options(CLI::App& command, ImpactOptions& o) {
    const char* group = "Slanting blow";
    command
        .add_option("--tangential-speed-m-per-s", o.draft.tangential_speed_m_per_s, "along the pad")
        ->type_name("M_PER_S")
        ->group(group);
    const auto number = [&](const char* name, std::optional<double>& value, const char* unit,
                            const char* text) {
        command.add_option(name, value, text)->type_name(unit)->group(group);
    };
    number("--friction", o.draft.friction, "SHARE", "Coulomb coefficient between body and pad");
    number("--inertia-kg-m2", o.draft.inertia_kg_m2, "KG_M2",
           "moment of inertia; a head's is estimated from its girth");
    number("--lever-mm", o.lever_mm, "MM",
           "from the contact to the centre of mass; of a sphere its radius");
    command
        .add_option("--rotation-axis", o.draft.rotation_axis,
                    "of the head: x forward, y to the side, z upward")
        ->type_name("x|y|z|unknown")
        ->group(group)
        ->default_str("unknown");
}

} // namespace

void add_impact_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "impact",
        "What a blow does to a pad of one grade, and to the body: peak g, pulse, bottoming, HIC.",
        "  cellgrade impact --presets\n"
        "  cellgrade table examples/04_grade_table/short.toml -o short.h5\n"
        "  cellgrade impact short.h5 --cell body_centred --relative-density 0.12 --thickness-mm 25 "
        "--area-mm2 8000 --mass-kg 0.1 --speed-m-per-s 0.5 --shape sphere --radius-mm 60\n"
        "  cellgrade impact short.h5 --cell body_centred --relative-density 0.10 --thickness-mm 25 "
        "--area-mm2 8000 --mass-kg 0.1 --drop-height-m 0.05 --shape flat --hits 2 --csv blow.csv "
        "--svg blow.svg --json\n");
    auto o = std::make_shared<ImpactOptions>();
    add_pad_options(command, *o);
    add_blow_options(command, *o);
    add_slant_options(command, *o);
    command
        .add_option("--limit", o->limits,
                    "NAME=VALUE: peak_acceleration_g, peak_force_kN, hic15, hic36, severity_index, "
                    "bric, peak_angular_acceleration_rad_per_s2; may be repeated")
        ->type_name("NAME=VALUE")
        ->group("Limits");
    command.add_option("--impacts", o->impacts, "TOML file of blows, [[impact]]")
        ->type_name("FILE")
        ->group("Blow (or --impacts)");
    command.add_flag("--presets", o->presets, "print headforms and rules with their sources")
        ->group("Results");
    command.add_option("--csv", o->csv, "time histories")->type_name("FILE")->group("Results");
    command.add_option("--svg", o->svg, "force over depth, acceleration over time")
        ->type_name("FILE")
        ->group("Results");
    command.callback([&session, &command, o] {
        for (const CLI::Option* option : command.get_options())
            if (option->count() > 0 &&
                (option->get_group() == "Slanting blow" || option->get_group() == "Limits" ||
                 (option->get_group() == "Blow (or --impacts)" &&
                  !option->check_name("--impacts"))))
                o->described = true;
        session.action = [&session, o] { return run_impact(session, *o); };
    });
}

} // namespace cellgrade
