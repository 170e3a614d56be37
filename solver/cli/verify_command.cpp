// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/verify/verification_row.hpp"
#include "solver/core/publish.hpp"
#include "solver/elements/thread_count.hpp"
#include "solver/report/svg.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <memory>
#include <vector>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

struct VerifyOptions {
    std::string json_file;
    std::string junit_file;
    bool slow = false;
};

struct Family {
    std::vector<VerificationRow> (*rows)();
    bool slow; ///< more than a few seconds
};

/// Every family of checks, one line each.
constexpr Family families[] = {
    {verify_stiffness, false},    {verify_traits, false},        {verify_modes, false},
    {verify_beams_linear, false}, {verify_beams_large, false},   {verify_columns, false},
    {verify_snap_through, false}, {verify_beams_dynamic, false}, {verify_crush, false},
    {verify_solids, false},       {verify_long_flights, true},
};

std::vector<VerificationRow> all_rows(bool slow) {
    std::vector<VerificationRow> rows;
    for (const Family& family : families)
        if (slow || !family.slow)
            for (VerificationRow& row : family.rows())
                rows.push_back(std::move(row));
    return rows;
}

Json to_json(const std::vector<VerificationRow>& rows) {
    Json list = Json::array();
    for (const VerificationRow& row : rows)
        list.push_back({{"id", row.id},
                        {"quantity", row.quantity},
                        {"unit", row.unit},
                        {"reference", row.reference},
                        {"computed", row.computed},
                        {"relative_error", row.relative_error},
                        {"tolerance", row.tolerance},
                        {"source", row.source},
                        {"pass", row.pass}});
    return {{"schema", "cellgrade/verification"}, {"rows", list}};
}

std::string to_junit(const std::vector<VerificationRow>& rows, int failures) {
    std::string text = fmt::format("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                                   "<testsuite name=\"cellgrade verify\" tests=\"{}\" "
                                   "failures=\"{}\">\n",
                                   rows.size(), failures);
    for (const VerificationRow& row : rows) {
        const std::string family = row.id.substr(0, row.id.find('/'));
        text += fmt::format("  <testcase classname=\"{}\" name=\"{}\"", xml_escaped(family),
                            xml_escaped(row.id));
        if (row.pass)
            text += "/>\n";
        else
            text += fmt::format(
                ">\n    <failure message=\"{}\"/>\n  </testcase>\n",
                xml_escaped(fmt::format("{}: computed {} {}, reference {}, relative error {:.3g} "
                                        "above {:.3g}",
                                        row.quantity, row.computed, row.unit, row.reference,
                                        row.relative_error, row.tolerance)));
    }
    return text + "</testsuite>\n";
}

std::string to_text(const std::vector<VerificationRow>& rows, int failures) {
    std::vector<std::vector<std::string>> lines;
    for (const VerificationRow& row : rows)
        lines.push_back({row.id, row.unit, readable(row.reference, 7), readable(row.computed, 7),
                         fmt::format("{:.1e}", row.relative_error),
                         fmt::format("{:.1e}", row.tolerance), row.pass ? "yes" : "NO",
                         row.source});
    return columns_text(
               {"id ", "unit ", "reference", "computed", "error", "limit", "pass ", "source "},
               lines) +
           fmt::format("{} checks, {} failed\n", rows.size(), failures);
}

int run_verify(const Session& session, const VerifyOptions& options) {
    use_threads(1); // chains of a few elements: threads would only wait for one another
    const std::vector<VerificationRow> rows = all_rows(options.slow);
    const auto failures = static_cast<int>(
        std::count_if(rows.begin(), rows.end(), [](const auto& row) { return !row.pass; }));
    const std::string json = to_json(rows).dump(2) + "\n";
    if (!options.json_file.empty())
        publish_text(options.json_file, json);
    if (!options.junit_file.empty())
        publish_text(options.junit_file, to_junit(rows, failures));
    print(session.json ? json : to_text(rows, failures));
    return failures == 0 ? exit_code::done : exit_code::not_trusted;
}

} // namespace

void add_verify_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "verify", "Check this build against published formulae and numbers.",
        "  cellgrade verify\n"
        "  cellgrade verify --json verification.json --junit verification.xml\n",
        JsonOption::Own);
    auto options = std::make_shared<VerifyOptions>();
    CLI::Option* json = command
                            .add_option("--json", options->json_file,
                                        "write the rows as JSON to a file; without FILE to stdout")
                            ->type_name("[FILE]")
                            ->expected(0, 1);
    command.add_option("--junit", options->junit_file, "write the rows as JUnit XML")
        ->type_name("FILE");
    command.add_flag("--slow", options->slow, "also the cases that take longer than seconds");
    command.callback([&session, options, json] {
        session.json = json->count() > 0 && options->json_file.empty();
        session.action = [&session, options] { return run_verify(session, *options); };
    });
}

} // namespace cellgrade
