// SPDX-License-Identifier: Apache-2.0
#include "solver/core/said_once.hpp"
#include "solver/core/units.hpp"
#include "solver/report/html.hpp"
#include "solver/report/page_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

using html::text;

constexpr std::size_t shown_first = 6, shown_at_all = 40;

std::string verdict_mark(const Candidate& c) {
    if (!c.faults.empty())
        return html::mark("bad", "cannot be made");
    const std::string words = verdict_name(c.verdict);
    return html::mark(is_met(c.verdict)                        ? "good"
                      : c.verdict == LimitVerdict::WithinDoubt ? "doubt"
                                                               : "bad",
                      words);
}

double high_g(const Candidate& c) {
    double high = std::nan("");
    for (const BlowResult& blow : c.blows)
        high = std::fmax(high, blow.peak_acceleration_high_g);
    return high;
}

/// A bar whose full length is the limit; past it the bar is cut and says so by its number.
std::string use_bar(double use) {
    if (!(use > 0.0))
        return html::number(std::nan(""));
    return fmt::format("<span class=\"bar\"><i style=\"width:{:.0f}%\"></i></span> {:.0f} %",
                       100.0 * std::min(use, 1.0), 100.0 * use);
}

html::Row candidate_row(std::size_t place, const Candidate& c) {
    const bool bottomed = c.verdict == LimitVerdict::Unknown;
    const double nothing = std::nan("");
    return {.cells = {std::to_string(place + 1), text(c.label()), verdict_mark(c),
                      html::number(bottomed ? nothing : c.peak_acceleration_g, 3),
                      html::number(bottomed ? nothing : high_g(c), 3),
                      bottomed ? html::number(nothing) : use_bar(c.use),
                      html::number(1e3 * c.mass_kg, 3), html::number(c.cost, 3),
                      text(c.reason.empty() ? "the choice" : c.reason)},
            .values = {static_cast<double>(place + 1), nothing, nothing, c.peak_acceleration_g,
                       high_g(c), c.use, c.mass_kg, c.cost},
            .class_name = c.reason.empty() ? "chosen"
                          : bottomed       ? "no-result"
                                           : ""};
}

std::string candidates_table(const ReportedZones& reported, const ZoneChoice& zone) {
    const std::string cost =
        reported.plan.currency.empty() ? "cost" : fmt::format("cost [{}]", reported.plan.currency);
    const std::vector<html::Column> columns{
        {"place", true, ""},
        {"grade, thickness", false, ""},
        {"limits", false, "kept by value and doubt, over all wearers, blows and temperatures"},
        {"peak [g]", true, "largest acceleration of any blow"},
        {"with doubt [g]", true, "the same with stresses moved by their uncertainty"},
        {"of its limits", true, "the largest share of any limit, doubt included"},
        {"mass [g]", true, "of polymer"},
        {cost, true, ""},
        {"why it is not the choice", false, ""}};
    std::vector<html::Row> first, rest;
    for (std::size_t i = 0; i < std::min(zone.ranked.size(), shown_at_all); ++i)
        (i < shown_first ? first : rest).push_back(candidate_row(i, zone.ranked[i]));
    std::string out =
        html::table(fmt::format("Zone {}: the best candidates", zone.zone.name), columns, first);
    if (!rest.empty())
        out += html::folded(
            fmt::format("{} more of {}", rest.size(), zone.ranked.size()),
            html::table(fmt::format("Zone {}: further candidates", zone.zone.name), columns, rest));
    return out;
}

std::string headline(const ZoneChoice& zone) {
    if (!zone.chosen)
        return html::paragraph_of(
            html::mark("bad", "no choice") + " " +
                text(zone.impossible.empty()
                         ? fmt::format("None of {} candidates keeps every limit with its doubt; "
                                       "the nearest stands first.",
                                       zone.ranked.size())
                         : zone.impossible),
            "headline");
    const Candidate& c = zone.ranked.front();
    return html::paragraph_of(
        fmt::format("{} <b>{}</b>, {:.3g} g of polymer; {}", html::mark("good", "choice"),
                    text(c.label()), 1e3 * c.mass_kg,
                    c.use > 0.0 ? fmt::format("uses {:.0f} % of its limits{}", 100.0 * c.use,
                                              c.verdict == LimitVerdict::MetDoubtUnknown
                                                  ? "; how far that may be off is not known"
                                                  : ", doubt included")
                                : std::string("no limits were given")),
        "headline");
}

std::string blows_table(const ZoneChoice& zone) {
    const Candidate& c = zone.ranked.front();
    std::vector<html::Row> rows;
    for (std::size_t i = 0; i < std::min(zone.bounds.size(), c.blows.size()); ++i) {
        const BlowBound& bound = zone.bounds[i];
        const BlowResult& blow = c.blows[i];
        const double ideal = ideal_peak_g(bound.speed_m_per_s, c.thickness_m);
        const bool bottomed = blow.verdict == LimitVerdict::Unknown;
        rows.push_back(
            {.cells = {text(blow.impact), html::number(bound.mass_kg, 3),
                       html::number(bound.speed_m_per_s, 3), html::number(ideal, 3),
                       html::number(bottomed ? std::nan("") : blow.peak_acceleration_g, 3),
                       bottomed ? "past the curve" : html::number(blow.largest_strain, 3),
                       text(verdict_name(blow.verdict)), text(blow.limit)}});
    }
    return html::table(fmt::format("Zone {}: the blows on {}", zone.zone.name, c.label()),
                       {{"blow and wearer", false, ""},
                        {"mass [kg]", true, ""},
                        {"speed [m/s]", true, ""},
                        {"ideal pad [g]", true,
                         "speed^2 / (2 x thickness): no pad of this thickness can be gentler"},
                        {"this pad [g]", true, ""},
                        {"largest strain", true, ""},
                        {"limit", false, ""},
                        {"tightest limit", false, ""}},
                       rows);
}

std::string wearers_words(const ZoneChoice& zone) {
    if (zone.for_one.size() < 2)
        return "";
    std::vector<std::string> items{
        fmt::format("for all wearers: {}",
                    zone.chosen ? "<b>" + text(zone.ranked.front().label()) + "</b>" : "none")};
    for (const ZoneChoice::ForOne& one : zone.for_one)
        items.push_back(fmt::format(
            "for {} alone: {}", text(one.wearer),
            one.best < 0
                ? std::string("none passes")
                : "<b>" + text(zone.ranked[static_cast<std::size_t>(one.best)].label()) + "</b>"));
    return "<h4>One design for all, or one for each</h4>\n" + html::list(items);
}

std::string help_words(const ZoneChoice& zone) {
    std::vector<std::string> items;
    for (const Help& help : zone.help)
        items.push_back(text(help.verdict == LimitVerdict::Unknown
                                 ? help.change + ": not enough, it still bottoms"
                                 : fmt::format("{}: {:.0f} % to {:.0f} % of the limits, {}",
                                               help.change, 100.0 * help.use_before,
                                               100.0 * help.use, verdict_name(help.verdict))));
    return items.empty() ? "" : "<h4>What would help most</h4>\n" + html::list(items);
}

std::string notes_words(const ZoneChoice& zone) {
    SaidOnce notes;
    for (const BlowResult& blow : zone.ranked.front().blows)
        for (const std::string& note : blow.notes)
            notes.say(note, blow.impact);
    std::vector<std::string> items;
    for (const SaidOnce::Said& note : notes.all())
        items.push_back(text(note.sentence));
    return items.empty() ? "" : html::folded("Notes on the blows", html::list(items));
}

std::string zone_html(const ReportedZones& reported, const ZoneChoice& zone) {
    std::string thicknesses;
    for (const double t : zone.zone.thicknesses_m)
        thicknesses += fmt::format("{}{:.3g}", thicknesses.empty() ? "" : ", ", t / units::mm);
    return fmt::format("<h3>Zone {}</h3>\n", text(zone.zone.name)) +
           html::paragraph(
               fmt::format("{:.0f} mm\u00b2 of pad; thicknesses that could be built: {} mm",
                           1e6 * zone.zone.area_m2, thicknesses)) +
           headline(zone) + candidates_table(reported, zone) + blows_table(zone) +
           wearers_words(zone) + help_words(zone) + notes_words(zone);
}

} // namespace

std::string zones_section(const ReportContent& content) {
    std::string inner;
    for (const ReportedZones& reported : content.zones) {
        inner += html::paragraph_of(
            fmt::format("<b>{}</b> {}", text(reported.plan.name), text(reported.plan.about)));
        inner += html::paragraph(
            fmt::format("Zones of {}, grades of {}.", reported.file, reported.table_file));
        for (const ZoneChoice& zone : reported.zones)
            if (!zone.ranked.empty())
                inner += zone_html(reported, zone);
        std::vector<std::string> left_out;
        for (const std::string& reason :
             reported.zones.empty() ? std::vector<std::string>{} : reported.zones.front().left_out)
            left_out.push_back(text(reason));
        if (!left_out.empty())
            inner += html::folded(fmt::format("{} grades left out", left_out.size()),
                                  html::list(left_out));
    }
    return inner.empty() ? "" : html::section("zones", "Choice by zone", inner);
}

} // namespace cellgrade
