// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/choice_text.hpp"

#include "solver/cli/colour.hpp"
#include "solver/cli/columns.hpp"
#include "solver/core/error.hpp"
#include "solver/core/said_once.hpp"
#include "solver/core/units.hpp"
#include "solver/results/json_number.hpp"
#include "solver/results/provenance.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

std::string whole_percent(double share) {
    return std::isnan(share) ? "-" : fmt::format("{:.0f}", 100.0 * share);
}

std::string interval(const Candidate& c) {
    double high = 0.0;
    for (const BlowResult& blow : c.blows)
        high = std::max(high, blow.peak_acceleration_high_g);
    return high > c.peak_acceleration_g * (1.0 + 1e-9) ? readable(high, 3) : "-";
}

std::vector<std::string> candidate_row(std::size_t place, const Candidate& c) {
    return {fmt::format("{}{}", place + 1, c.on_front ? "*" : ""),
            c.grade.label(),
            readable(c.thickness_m / units::mm, 3),
            c.faults.empty() ? verdict_name(c.verdict) : "not to be made",
            readable(c.peak_acceleration_g, 3),
            interval(c),
            whole_percent(c.use > 0.0 ? c.use : std::nan("")),
            readable(1e3 * c.mass_kg, 3),
            readable(c.cost, 3),
            whole_percent(c.grade.through_view),
            readable(c.grade.opening_m / units::mm, 2)};
}

std::string table_text(const ZonePlan& plan, const ZoneChoice& zone, Index shown) {
    std::vector<std::vector<std::string>> rows;
    const std::size_t n =
        std::min(zone.ranked.size(), static_cast<std::size_t>(std::max<Index>(shown, 1)));
    for (std::size_t i = 0; i < n; ++i)
        rows.push_back(candidate_row(i, zone.ranked[i]));
    const std::string cost = plan.currency.empty() ? "cost" : "cost_" + plan.currency;
    std::string text = columns_text({"", "grade ", "mm", "limits ", "peak_g", "high_g", "used_%",
                                     "mass_g", cost, "open_%", "gap_mm"},
                                    rows);
    for (std::size_t i = 0; i < n; ++i)
        if (!zone.ranked[i].reason.empty())
            text +=
                fmt::format("  {}. {}: {}\n", i + 1, zone.ranked[i].label(), zone.ranked[i].reason);
    if (n < zone.ranked.size())
        text += fmt::format("  and {} more\n", zone.ranked.size() - n);
    return text;
}

std::string head_text(const ZoneChoice& zone) {
    if (zone.chosen) {
        const Candidate& c = zone.ranked.front();
        std::string text = toned("choice: " + c.label(), Tone::Good) +
                           fmt::format(", {:.3g} g of polymer; ", 1e3 * c.mass_kg);
        text += c.use > 0.0
                    ? fmt::format("uses {:.0f} % of its limits, {}\n", 100.0 * c.use,
                                  c.verdict == LimitVerdict::MetDoubtUnknown ? "doubt not known"
                                                                             : "doubt included")
                    : std::string("no limits were given\n");
        return text;
    }
    if (!zone.impossible.empty())
        return toned("no choice.", Tone::Bad) + " " + zone.impossible + "\n";
    return toned("no choice:", Tone::Bad) +
           fmt::format(" none of {} candidates keeps every limit with its doubt; the "
                       "nearest stands first\n",
                       zone.ranked.size());
}

std::string bounds_text(const ZoneChoice& zone) {
    std::string text;
    const Candidate& first = zone.ranked.front();
    for (std::size_t i = 0; i < zone.bounds.size(); ++i) {
        const BlowBound& b = zone.bounds[i];
        const double ideal = ideal_peak_g(b.speed_m_per_s, first.thickness_m);
        text += fmt::format("  {}: {:.3g} kg at {:.3g} m/s; ideal pad of {:.3g} mm {:.3g} g, this "
                            "one {:.3g} g\n",
                            b.impact, b.mass_kg, b.speed_m_per_s, first.thickness_m / units::mm,
                            ideal, first.blows[i].peak_acceleration_g);
    }
    return text;
}

std::string wearers_text(const ZoneChoice& zone) {
    if (zone.for_one.size() < 2)
        return "";
    std::string text = "one design each:";
    for (const ZoneChoice::ForOne& one : zone.for_one)
        text += fmt::format(" {} {};", one.wearer,
                            one.best < 0 ? std::string("none")
                                         : zone.ranked[static_cast<std::size_t>(one.best)].label());
    text.back() = '\n';
    return text;
}

std::string help_text(const ZoneChoice& zone) {
    if (zone.help.empty())
        return "";
    std::string text = "what would help most:";
    for (const Help& help : zone.help)
        text += fmt::format(" {} ({:.0f} % to {:.0f} % of the limits, {});", help.change,
                            100.0 * help.use_before, 100.0 * help.use, verdict_name(help.verdict));
    text.back() = '\n';
    return text;
}

/// Notes of the choice, each once with the blows that it is about.
std::string notes_text(const ZoneChoice& zone) {
    if (!zone.chosen)
        return "";
    const std::vector<BlowResult>& blows = zone.ranked.front().blows;
    SaidOnce notes;
    for (const BlowResult& blow : blows)
        for (const std::string& note : blow.notes)
            notes.say(note, blow.impact);
    std::string text;
    for (const auto& [note, impacts] : notes.all())
        text += impacts.size() == blows.size()
                    ? fmt::format("note: {}\n", note)
                    : fmt::format("note: {}: {}\n", fmt::join(impacts, "; "), note);
    return text;
}

Json json_of(const BlowResult& blow) {
    return {{"impact", blow.impact},
            {"worst_temperature_C", json_number(blow.temperature_C)},
            {"verdict", verdict_name(blow.verdict)},
            {"worst_limit", blow.limit},
            {"value", json_number(blow.value)},
            {"value_high", json_number(blow.high)},
            {"limit", json_number(blow.allowed)},
            {"used_share", json_number(blow.use)},
            {"peak_acceleration_g", json_number(blow.peak_acceleration_g)},
            {"peak_acceleration_high_g", json_number(blow.peak_acceleration_high_g)},
            {"largest_strain", json_number(blow.largest_strain)},
            {"notes", blow.notes}};
}

Json json_of(const Candidate& c) {
    Json blows = Json::array(), layers = Json::array();
    for (const PadLayer& layer : c.grade.layers)
        layers.push_back({{"relative_density", layer.relative_density},
                          {"thickness_share", layer.thickness_share}});
    for (const BlowResult& blow : c.blows)
        blows.push_back(json_of(blow));
    return {{"cell", c.grade.selection.cell},
            {"polymer", c.grade.selection.polymer},
            {"relative_density", c.grade.relative_density},
            {"layers", layers},
            {"interpolated", c.grade.between},
            {"thickness_m", c.thickness_m},
            {"verdict", verdict_name(c.verdict)},
            {"passes", c.passes()},
            {"used_share", json_number(c.use)},
            {"peak_acceleration_g", json_number(c.peak_acceleration_g)},
            {"mass_kg", json_number(c.mass_kg)},
            {"cost", json_number(c.cost)},
            {"through_view_share", json_number(c.grade.through_view)},
            {"narrowest_opening_m", json_number(c.grade.opening_m)},
            {"strut_diameter_m", json_number(c.grade.strut_diameter_m)},
            {"on_front", c.on_front},
            {"faults", c.faults},
            {"reason", c.reason},
            {"blows", blows}};
}

Json json_of(const ZoneChoice& zone) {
    Json ranked = Json::array(), bounds = Json::array(), help = Json::array(),
         wearers = Json::array();
    for (const Candidate& c : zone.ranked)
        ranked.push_back(json_of(c));
    for (const BlowBound& b : zone.bounds)
        bounds.push_back({{"impact", b.impact},
                          {"mass_kg", b.mass_kg},
                          {"speed_m_per_s", b.speed_m_per_s},
                          {"thickness_m", b.thickness_m},
                          {"ideal_peak_acceleration_g", b.ideal.peak_acceleration_g},
                          {"ideal_peak_force_N", b.ideal.peak_force_N},
                          {"least_thickness_m", b.ideal.least_thickness_m},
                          {"impossible", b.ideal.impossible}});
    for (const Help& h : zone.help)
        help.push_back({{"change", h.change},
                        {"used_share_before", h.use_before},
                        {"used_share", h.use},
                        {"verdict", verdict_name(h.verdict)}});
    for (const ZoneChoice::ForOne& one : zone.for_one)
        wearers.push_back({{"wearer", one.wearer}, {"best_index", one.best}});
    return {{"zone", zone.zone.name},
            {"area_m2", zone.zone.area_m2},
            {"thicknesses_m", zone.zone.thicknesses_m},
            {"chosen", zone.chosen},
            {"impossible", zone.impossible},
            {"ranked", ranked},
            {"bounds", bounds},
            {"one_design_each", wearers},
            {"help", help},
            {"left_out", zone.left_out}};
}

} // namespace

std::string choice_text(const ZonePlan& plan, const std::vector<ZoneChoice>& zones, Index shown) {
    std::string text = fmt::format("{}\n", plan.name);
    if (!plan.about.empty())
        text += plan.about + "\n";
    for (const ZoneChoice& zone : zones) {
        text += fmt::format("\nzone {}: {:.4g} mm2\n", zone.zone.name, 1e6 * zone.zone.area_m2);
        text += head_text(zone) + table_text(plan, zone, shown) + bounds_text(zone) +
                wearers_text(zone) + help_text(zone);
        text += notes_text(zone);
    }
    for (const std::string& reason : zones.front().left_out)
        text += fmt::format("left out: {}\n", reason);
    text +=
        "\n*: no other that passes is as good in peak, mass, thickness, cost and view and better "
        "in one\n"
        "A bare pad on a stiff backing: no shell, no comfort layer, no straps, no neck.\n";
    return text + caution_text() + "\n";
}

std::string choice_json(const ZonePlan& plan,
                        const std::vector<ZoneChoice>& zones,
                        const std::string& table,
                        const std::string& table_sha256) {
    Json all = Json::array();
    for (const ZoneChoice& zone : zones)
        all.push_back(json_of(zone));
    const Json document{{"schema", "cellgrade/choice"},
                        {"schema_version", "1.0"},
                        {"caution", caution_text()},
                        {"name", plan.name},
                        {"about", plan.about},
                        {"table", table},
                        {"table_sha256", table_sha256},
                        {"currency", plan.currency},
                        {"price_per_kg", json_number(plan.price_per_kg)},
                        {"zones", all}};
    return document.dump(2);
}

} // namespace cellgrade
