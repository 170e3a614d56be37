// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/cell_openness.hpp"
#include "solver/cli/choice_text.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/progress.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/sha256.hpp"
#include "solver/elements/thread_count.hpp"
#include "solver/results/choice_csv.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/provenance.hpp"

#include <algorithm>
#include <memory>

namespace cellgrade {

namespace {

struct ChooseOptions {
    std::string plan, table, csv, json_file;
    Index shown = 5;
};

int run_choose(const Session& session, const ChooseOptions& o) {
    for (const std::string* file : {&o.csv, &o.json_file})
        require_writable_folder(*file);
    use_threads(session.n_threads());
    const ZonePlan plan = read_zone_plan(o.plan);
    const GradeTable table = read_grade_table(o.table);
    std::vector<ZoneChoice> zones;
    {
        Progress progress("choice", !session.quiet);
        zones = choose_grades(table, plan,
                              {.progress = [&](const std::string& zone,
                                               double share) { progress.update(share, zone); },
                               .describe = describe_openness});
    }
    const std::string json = choice_json(plan, zones, o.table, sha256_hex(read_text_file(o.table)));
    if (!o.json_file.empty())
        publish_text(o.json_file, json + "\n");
    if (!o.csv.empty())
        publish_text(o.csv, choice_csv(zones, {caution_text()}));
    print(session.json ? json + "\n" : choice_text(plan, zones, o.shown));
    return std::all_of(zones.begin(), zones.end(), [](const ZoneChoice& z) { return z.chosen; })
               ? exit_code::done
               : exit_code::not_trusted;
}

} // namespace

void add_choose_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "choose",
        "Rank the grades of a table for each zone of a product: limits, mass, cost, openness.",
        "  cellgrade choose examples/18_choice/liner.toml grades.h5 -o choice.json\n"
        "  cellgrade choose examples/18_choice/knee_pad.toml grades.h5 --show 12\n");
    auto o = std::make_shared<ChooseOptions>();
    command.add_option("ZONES.toml", o->plan, "zones, wearers and impacts of the product")
        ->required();
    command.add_option("GRADES.h5", o->table, "a grade table of `cellgrade table`")->required();
    add_result_file(command, "-o,--output", o->json_file, "everything as JSON");
    add_result_file(command, "--csv", o->csv, "a row a candidate and blow");
    command.add_option("--show", o->shown, "candidates shown for each zone")
        ->type_name("COUNT")
        ->check(CLI::Range(1, 1000))
        ->capture_default_str();
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_choose(session, *o); }; });
}

} // namespace cellgrade
