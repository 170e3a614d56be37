// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/cell_openness.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/progress.hpp"
#include "solver/core/publish.hpp"
#include "solver/elements/thread_count.hpp"
#include "solver/report/report_page.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/drop_file.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/result_kind.hpp"

#include <nlohmann/json.hpp>

#include <memory>

namespace cellgrade {

namespace {

struct ReportOptions {
    std::vector<std::string> results, zones;
    std::string output, title;
};

std::string name_of(const std::string& path) {
    return std::filesystem::path(path).filename().string();
}

/// File of the last crush or drop with as many elements as the shapes have; empty: none.
std::string owner_of(const ReportContent& content, const SavedShapes& shapes) {
    std::string found;
    for (const ReportedCrush& crush : content.crushes)
        if (n_elements(crush.result.mesh) == shapes.n_cells())
            found = crush.file;
    for (const ReportedDrop& drop : content.drops)
        if (n_elements(drop.result.mesh) == shapes.n_cells())
            found = drop.file;
    return found;
}

ReportContent read_results(const std::vector<std::string>& files) {
    ReportContent content;
    for (const std::string& path : files) {
        const std::string file = name_of(path);
        switch (result_kind(path)) {
        case ResultKind::GradeTable:
            content.tables.push_back(
                {file, read_grade_table(path), read_grade_table_provenance(path)});
            break;
        case ResultKind::Crush:
            content.crushes.push_back({file, read_crush_file(path)});
            break;
        case ResultKind::Drop:
            content.drops.push_back({file, read_drop_file(path)});
            break;
        case ResultKind::Shapes:
            content.shapes.push_back({file, "", read_saved_shapes(path)});
            break;
        }
    }
    for (ReportedShapes& shapes : content.shapes)
        shapes.of = owner_of(content, shapes.shapes);
    return content;
}

void choose_zones(const Session& session, const ReportOptions& o, ReportContent& content) {
    if (o.zones.empty())
        return;
    if (content.tables.size() != 1)
        throw input_error("--zones needs one grade table among the results to choose from; there "
                          "are {}",
                          content.tables.size());
    const ReportedTable& from = content.tables.front();
    for (const std::string& path : o.zones) {
        const ZonePlan plan = read_zone_plan(path);
        Progress progress("choice", !session.quiet);
        std::vector<ZoneChoice> zones =
            choose_grades(from.table, plan,
                          {.progress = [&](const std::string& zone,
                                           double share) { progress.update(share, zone); },
                           .describe = describe_openness});
        content.zones.push_back({name_of(path), from.file, plan, std::move(zones)});
    }
}

std::string title_of(const ReportContent& content) {
    if (!content.zones.empty())
        return content.zones.front().plan.name;
    if (!content.tables.empty() && !content.tables.front().table.study_name.empty())
        return content.tables.front().table.study_name;
    if (!content.crushes.empty())
        return "Crush: " + content.crushes.front().file;
    if (!content.drops.empty())
        return "Drop: " + content.drops.front().file;
    return "Shapes: " + content.shapes.front().file;
}

int run_report(const Session& session, const ReportOptions& o) {
    require_writable_folder(o.output);
    use_threads(session.n_threads());
    ReportContent content = read_results(o.results);
    choose_zones(session, o, content);
    content.title = o.title.empty() ? title_of(content) : o.title;
    const std::string page = report_page(content);
    publish_text(o.output, page);
    const bool whole = report_has_scripts();
    if (session.json)
        print(nlohmann::ordered_json({{"report", o.output},
                                      {"size_bytes", page.size()},
                                      {"scripts", whole},
                                      {"caution", caution_text()}})
                  .dump(2) +
              "\n");
    else
        print(fmt::format("{}: {:.2g} MB, opens without a network\n{}{}\n", o.output,
                          1e-6 * static_cast<double>(page.size()),
                          whole ? ""
                                : "this build has no scripts for the page: still pictures and "
                                  "tables only (solver/report/page/fetch.sh, then build again)\n",
                          caution_text()));
    return exit_code::done;
}

} // namespace

void add_report_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "report",
        "One page to look at and hand on, from results: curves, choice by zone, shapes, origin.",
        "  cellgrade crush examples/01_first_crush/study.toml -o crush.h5 --frames crush.vtkhdf\n"
        "  cellgrade report crush.h5 crush.vtkhdf -o crush.html\n"
        "  cellgrade table examples/04_grade_table/short.toml -o short.h5\n"
        "  cellgrade report short.h5 --zones examples/18_choice/knee_pad.toml -o report.html\n");
    auto o = std::make_shared<ReportOptions>();
    command
        .add_option("RESULT.h5", o->results,
                    "grade tables, crushes, drops, and the .vtkhdf of their --frames")
        ->required();
    command.add_option("--zones", o->zones, "zone plans as of `cellgrade choose`")
        ->type_name("ZONES.toml");
    add_result_file(command, "-o,--output", o->output, "the page, HTML")->required();
    command.add_option("--title", o->title, "of the page; else that of the plan or study")
        ->type_name("TEXT");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_report(session, *o); }; });
}

} // namespace cellgrade
