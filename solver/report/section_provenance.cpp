// SPDX-License-Identifier: Apache-2.0
#include "solver/report/html.hpp"
#include "solver/report/page_sections.hpp"

#include <fmt/format.h>

namespace cellgrade {

namespace {

using html::text;

std::string code(const std::string& plain) {
    return fmt::format("<code>{}</code>", text(plain));
}

std::string block(const std::string& plain) {
    return fmt::format("<pre tabindex=\"0\">{}</pre>\n", text(plain));
}

std::string origin(const std::string& file, const Provenance& p) {
    const BuildInfo& build = p.build;
    std::vector<std::string> items{
        fmt::format("{} {}, commit {}{}", text(build.program), text(build.version),
                    code(build.commit), build.dirty ? " with changes that are in no commit" : ""),
        fmt::format("built by {} {}, with {}", text(build.compiler), text(build.flags),
                    text(fmt::format("{}", fmt::join(build.libraries, ", ")))),
        fmt::format("command line: {}", code(fmt::format("{}", fmt::join(p.command_line, " "))))};
    if (!p.seeds.empty())
        items.push_back(text(fmt::format("seeds: {}", fmt::join(p.seeds, ", "))));
    if (p.run)
        items.push_back(
            text(fmt::format("run on {}, {:.3g} s on {} thread{}", p.run->start_utc,
                             p.run->wall_time_s, p.run->threads, p.run->threads == 1 ? "" : "s")));
    for (const InputText& input : p.inputs)
        items.push_back(fmt::format("input {}, SHA-256 {}", text(input.name), code(input.sha256)));
    std::string out = fmt::format("<h3>{}</h3>\n", text(file)) + html::list(items);
    for (const InputText& input : p.inputs)
        out += html::folded(fmt::format("input {}", input.name), block(input.text),
                            html::OnPaper::LeftOut);
    if (!p.resolved_config.empty())
        out += html::folded("the input with every default, itself a valid input",
                            block(p.resolved_config), html::OnPaper::LeftOut);
    return out;
}

} // namespace

std::string provenance_section(const ReportContent& content) {
    std::string inner;
    for (const ReportedTable& table : content.tables)
        inner += origin(table.file, table.provenance);
    for (const ReportedCrush& crush : content.crushes)
        inner += origin(crush.file, crush.result.provenance);
    for (const ReportedDrop& drop : content.drops)
        inner += origin(drop.file, drop.result.provenance);
    for (const ReportedZones& zones : content.zones)
        inner += fmt::format("<h3>{}</h3>\n", text(zones.file)) +
                 html::paragraph(fmt::format("zones, wearers and impacts, computed when this page "
                                             "was made from the grades of {}",
                                             zones.table_file));
    const BuildInfo build = build_info();
    inner += html::paragraph_of(
        fmt::format("This page: {} {}, commit {}{}", text(build.program), text(build.version),
                    code(build.commit), build.dirty ? " with changes that are in no commit" : ""));
    return html::section("provenance", "Where these numbers come from", inner);
}

} // namespace cellgrade
