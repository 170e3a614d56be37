// SPDX-License-Identifier: Apache-2.0
#include "solver/core/said_once.hpp"
#include "solver/report/html.hpp"
#include "solver/report/page_sections.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

namespace cellgrade {

namespace {

using html::text;

/// What a guard watches, in plain words.
std::string guard_words(const std::string& name) {
    static const std::map<std::string, std::string> words{
        {"energy_closure", "work done on the specimen less all energies found in it"},
        {"kinetic_share", "energy of motion over energy of deformation: how far from slow it was"},
        {"platen_balance", "force of the upper platen less that of the lower"},
        {"penetration", "deepest overlap of two struts, or of a strut and a platen"},
        {"momentum_balance", "push of the pad on the striker less the change of its momentum"},
        {"still_falling", "speed of the striker into the pad at the end, over that at the touch"}};
    const auto found = words.find(name);
    return found == words.end() ? "" : found->second;
}

/// One guard over all runs that have it.
struct Watched {
    Index runs = 0, missed = 0, only_told = 0;
    double worst_use = 0.0, value = 0.0, limit = 0.0;
};

using Guards = std::map<std::string, Watched>;

void watch(Guards& all, const std::vector<GuardResult>& guards) {
    for (const GuardResult& guard : guards) {
        Watched& w = all[guard.name];
        ++w.runs;
        if (!guard.met)
            ++(guard.enforced ? w.missed : w.only_told);
        const double use = guard.limit > 0.0 ? guard.value / guard.limit : guard.value;
        if (w.runs == 1 || use > w.worst_use) {
            w.worst_use = use;
            w.value = guard.value;
            w.limit = guard.limit;
        }
    }
}

std::string guards_table(const Guards& guards) {
    std::vector<html::Row> rows;
    for (const auto& [name, w] : guards)
        rows.push_back(
            {.cells = {
                 text(name), std::to_string(w.runs),
                 w.missed > 0 ? html::mark("bad", fmt::format("missed in {}", w.missed))
                 : w.only_told > 0
                     ? html::mark("doubt", fmt::format("above in {}, reported only", w.only_told))
                     : html::mark("good", "met in all"),
                 html::number(w.value, 3), html::number(w.limit, 3), text(guard_words(name))}});
    if (rows.empty())
        return "";
    return html::table("Guards of the runs: the worst value of each",
                       {{"guard", false, ""},
                        {"runs", true, ""},
                        {"verdict", false, ""},
                        {"worst value", true, ""},
                        {"its limit", true, ""},
                        {"what it watches", false, ""}},
                       rows);
}

/// What rows say, each sentence once before the grades that it is about.
std::vector<std::string> grouped(const GradeTable& table, std::string GradeRow::*said) {
    SaidOnce sentences;
    for (const GradeRow& row : table.rows)
        sentences.say(row.*said, grade_label(row.grade));
    std::vector<std::string> items;
    for (const auto& [sentence, grades] : sentences.all())
        items.push_back(text(fmt::format("{}: {}", fmt::join(grades, "; "), sentence)));
    return items;
}

std::string table_trust(const ReportedTable& reported) {
    const GradeTable& table = reported.table;
    const Index trusted = count_status(table, "trusted");
    const Index broken = static_cast<Index>(table.rows.size()) - trusted;
    std::string out = html::paragraph_of(
        fmt::format("{} {}", text(reported.file + ":"),
                    html::mark(broken == 0 ? "good" : "doubt",
                               fmt::format("{} of {} runs trusted", trusted, table.rows.size()))));
    std::vector<std::string> reasons;
    Index outside = 0, warned = 0;
    for (const GradeRow& row : table.rows) {
        if (row.status != "trusted")
            reasons.push_back(fmt::format("{} {}: {}", html::mark("bad", "not a result"),
                                          text(grade_label(row.grade)), text(row.reason)));
        warned += row.warning.empty() ? 0 : 1;
        outside += row.outside_card.empty() ? 0 : 1;
    }
    out += html::list(reasons);
    if (outside > 0)
        out += html::folded(fmt::format("{} of {} runs lean on the polymer's law beyond its tests",
                                        outside, table.rows.size()),
                            html::list(grouped(table, &GradeRow::outside_card)));
    if (warned > 0)
        out += html::folded(
            fmt::format("warnings about the model of {} of {} runs", warned, table.rows.size()),
            html::list(grouped(table, &GradeRow::warning)));
    return out;
}

std::string run_trust(const std::string& file,
                      const std::string& verdict,
                      bool trusted,
                      const std::vector<std::string>& notes) {
    std::string out = html::paragraph_of(
        fmt::format("{} {} {}", text(file + ":"),
                    html::mark(trusted ? "good" : "bad", trusted ? "trusted" : "not a result"),
                    text(verdict.substr(std::min(verdict.find(": ") + 2, verdict.size())))));
    std::vector<std::string> items;
    for (const std::string& note : notes)
        items.push_back(text(note));
    return out + html::list(items);
}

} // namespace

std::string trust_section(const ReportContent& content) {
    std::string inner;
    Guards guards;
    for (const ReportedTable& table : content.tables) {
        inner += table_trust(table);
        for (const GradeRow& row : table.table.rows)
            watch(guards, row.guards);
    }
    for (const ReportedCrush& crush : content.crushes) {
        const CrushRecord& record = crush.result.record;
        inner += run_trust(crush.file, verdict_text(record), record.trusted(), record.notes);
        watch(guards, record.guards);
    }
    for (const ReportedDrop& drop : content.drops) {
        const DropRecord& record = drop.result.record;
        inner += run_trust(drop.file, drop_verdict(record), record.trusted(), record.notes);
        watch(guards, record.guards);
    }
    if (inner.empty())
        return "";
    return html::section(
        "trust", "What can be trusted",
        inner + guards_table(guards) +
            html::paragraph_of("How well the program itself meets known answers is told by "
                               "<code>cellgrade verify</code>; it is no part of these files."));
}

} // namespace cellgrade
