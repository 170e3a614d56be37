// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/impact_text.hpp"

#include "solver/choice/drop_rules.hpp"
#include "solver/choice/headforms.hpp"
#include "solver/cli/columns.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"
#include "solver/results/json_number.hpp"
#include "solver/results/provenance.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

constexpr const char* bare_pad =
    "A bare pad on a stiff backing: no shell, no comfort layer, no straps, no neck.";

std::string blow_text(const ImpactCase& impact) {
    std::string text = fmt::format("{:.4g} kg at {:.4g} m/s, {}", impact.mass_kg,
                                   impact.speed_m_per_s, impact.striker.text());
    if (impact.oblique.tangential_speed_m_per_s > 0.0)
        text +=
            fmt::format(", {:.4g} m/s along the pad, friction {:g}, moment of inertia {:.3g} kg m2",
                        impact.oblique.tangential_speed_m_per_s, impact.oblique.friction,
                        impact.oblique.inertia_kg_m2);
    if (impact.with_weight)
        text += ", with its weight";
    return text;
}

/// Columns of one hit: value, low, high.
std::vector<std::string> trait_row(const ImpactField& field, const ImpactAnswer& answer) {
    std::vector<std::string> row{field.readable_name};
    for (const HitAnswer& hit : answer.hits)
        for (const ImpactTraits* traits : {&hit.traits, &hit.low, &hit.high})
            row.push_back(readable(traits->*field.member / field.readable_unit));
    return row;
}

std::string traits_text(const ImpactAnswer& answer) {
    std::vector<std::string> header{"quantity "};
    for (std::size_t hit = 0; hit < answer.hits.size(); ++hit) {
        header.push_back(fmt::format("hit {}", hit + 1));
        header.emplace_back("low");
        header.emplace_back("high");
    }
    std::vector<std::vector<std::string>> rows;
    for (const ImpactField& field : impact_fields())
        if (!std::isnan(answer.hits.front().traits.*field.member))
            rows.push_back(trait_row(field, answer));
    return columns_text(header, rows);
}

std::string checks_text(const ImpactAnswer& answer) {
    if (answer.checks.empty())
        return "no limits were given\n";
    std::vector<std::vector<std::string>> rows;
    for (const LimitCheck& check : answer.checks)
        rows.push_back(
            {check.field->readable_name, readable(check.limit / check.field->readable_unit),
             readable(check.value / check.field->readable_unit),
             readable(check.high / check.field->readable_unit), verdict_name(check.verdict)});
    return columns_text({"limit ", "at most", "worst hit", "high", "verdict "}, rows);
}

std::string energy_text(const ImpactAnswer& answer) {
    double worst = 0.0;
    for (const HitAnswer& hit : answer.hits)
        worst = std::max(worst, hit.run.energy_error);
    return fmt::format("energy balance within {:.1g} of the impact energy\n", worst);
}

std::string answer_text(const AnsweredImpact& blow, const ImpactAnswer& answer) {
    std::string text = fmt::format(
        "{}{}: {}\n", answer.impact,
        std::isfinite(answer.temperature_C) ? fmt::format(", {:g} C", answer.temperature_C) : "",
        blow_text(blow.impact));
    if (answer.bottomed())
        text += "BOTTOMED: no result, no limit is met\n";
    text += traits_text(answer) + checks_text(answer) + energy_text(answer);
    for (const std::string& note : answer.notes)
        text += fmt::format("note: {}\n", note);
    for (const std::string& source : blow.impact.sources)
        text += fmt::format("source: {}\n", source);
    return text + "\n";
}

Json json_of(const ImpactTraits& traits) {
    Json object;
    for (const ImpactField& field : impact_fields())
        object[field.name] = json_number(traits.*field.member);
    return object;
}

Json json_of(const ImpactAnswer& answer) {
    Json hits = Json::array(), checks = Json::array();
    for (const HitAnswer& hit : answer.hits)
        hits.push_back({{"bottomed", hit.bottomed},
                        {"bottomed_by_doubt", hit.softer_bottomed},
                        {"at_rest_on_the_pad", hit.run.end == HitEnd::AtRest},
                        {"traits", json_of(hit.traits)},
                        {"low", json_of(hit.low)},
                        {"high", json_of(hit.high)},
                        {"strain_rate_at_touch_per_s", json_number(hit.rate_at_touch_per_s)},
                        {"strain_rate_at_turn_per_s", json_number(hit.rate_at_turn_per_s)},
                        {"energy_error_share", json_number(hit.run.energy_error)},
                        {"time_step_s", hit.run.time_step_s}});
    for (const LimitCheck& check : answer.checks)
        checks.push_back({{"quantity", check.field->name},
                          {"units", check.field->units},
                          {"limit", check.limit},
                          {"value", json_number(check.value)},
                          {"high", json_number(check.high)},
                          {"verdict", verdict_name(check.verdict)}});
    return {{"temperature_C", json_number(answer.temperature_C)},
            {"bottomed", answer.bottomed()},
            {"hits", hits},
            {"limits", checks},
            {"notes", answer.notes}};
}

Json json_of(const AnsweredImpact& blow) {
    const ImpactCase& impact = blow.impact;
    Json answers = Json::array();
    for (const ImpactAnswer& answer : blow.answers)
        answers.push_back(json_of(answer));
    Json object{{"name", impact.name},
                {"mass_kg", impact.mass_kg},
                {"speed_m_per_s", impact.speed_m_per_s},
                {"striker", impact.striker.text()},
                {"with_weight", impact.with_weight},
                {"hits", impact.hits},
                {"recovery_share", impact.recovery_share},
                {"sources", impact.sources}};
    if (impact.oblique.tangential_speed_m_per_s > 0.0) {
        object["tangential_speed_m_per_s"] = impact.oblique.tangential_speed_m_per_s;
        object["friction"] = impact.oblique.friction;
        object["inertia_kg_m2"] = impact.oblique.inertia_kg_m2;
        object["lever_m"] = impact.oblique.lever_m;
    }
    object["answers"] = answers;
    return object;
}

Json limits_json(const ImpactLimits& limits) {
    Json object = Json::object();
    for (const ImpactField& field : impact_fields())
        if (field.limit != nullptr && !std::isnan(limits.*field.limit))
            object[field.name] = limits.*field.limit;
    return object;
}

std::string limits_words(const ImpactLimits& limits) {
    std::string text;
    for (const ImpactField& field : impact_fields())
        if (field.limit != nullptr && !std::isnan(limits.*field.limit))
            text += fmt::format("{}{} {:g}", text.empty() ? "" : ", ", field.readable_name,
                                limits.*field.limit / field.readable_unit);
    return text;
}

std::string dumped(const Json& document) {
    return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

} // namespace

std::string pad_text(const ImpactReport& report) {
    return fmt::format("{}, {}, relative density {:g}; pad {:g} mm thick, {:.6g} mm2", report.cell,
                       report.polymer, report.pad.relative_density,
                       report.pad.pad.thickness_m / units::mm, report.pad.pad.area_m2 / units::mm2);
}

std::string impact_report_text(const ImpactReport& report) {
    std::string text = pad_text(report) + "\n\n";
    for (const AnsweredImpact& blow : report.blows)
        for (const ImpactAnswer& answer : blow.answers)
            text += answer_text(blow, answer);
    return text + bare_pad + "\n" + caution_text() + "\n";
}

std::string impact_report_json(const ImpactReport& report) {
    Json impacts = Json::array(), definitions;
    for (const AnsweredImpact& blow : report.blows)
        impacts.push_back(json_of(blow));
    for (const ImpactField& field : impact_fields())
        definitions[field.name] = {
            {"units", field.units}, {"meaning", field.meaning}, {"source", field.source}};
    return dumped({{"schema", "cellgrade/impact"},
                   {"schema_version", {1, 0}},
                   {"caution", fmt::format("{} {}", bare_pad, caution_text())},
                   {"cell", report.cell},
                   {"polymer", report.polymer},
                   {"relative_density", report.pad.relative_density},
                   {"thickness_m", report.pad.pad.thickness_m},
                   {"area_m2", report.pad.pad.area_m2},
                   {"impacts", impacts},
                   {"definitions", definitions},
                   {"left_out", report.left_out},
                   {"note", report.note}});
}

std::string presets_text() {
    std::vector<std::vector<std::string>> heads, rules;
    for (const Headform& head : headforms())
        heads.push_back({head.name, readable(head.circumference_m / units::mm),
                         readable(head.mass_kg), head.source});
    for (const DropRule& rule : drop_rules())
        rules.push_back({rule.name, readable(rule.mass_kg), readable(rule.speed_m_per_s),
                         readable(rule.height_m), limits_words(rule.limits), rule.anvil, rule.what,
                         rule.source});
    return columns_text({"headform ", "circumference_mm", "mass_kg", "source "}, heads) + "\n" +
           columns_text({"rule ", "mass_kg", "speed_m_per_s", "drop_height_m", "limits ", "anvil ",
                         "test ", "source "},
                        rules) +
           "\nA rule lends mass, speed and limits; it tests whole helmets, and its edition in "
           "force "
           "decides.\n" +
           caution_text() + "\n";
}

std::string presets_json() {
    Json heads = Json::array(), rules = Json::array();
    for (const Headform& head : headforms())
        heads.push_back({{"name", head.name},
                         {"circumference_m", head.circumference_m},
                         {"mass_kg", head.mass_kg},
                         {"source", head.source}});
    for (const DropRule& rule : drop_rules())
        rules.push_back({{"name", rule.name},
                         {"what", rule.what},
                         {"mass_kg", json_number(rule.mass_kg)},
                         {"speed_m_per_s", json_number(rule.speed_m_per_s)},
                         {"drop_height_m", json_number(rule.height_m)},
                         {"limits", limits_json(rule.limits)},
                         {"anvil", rule.anvil},
                         {"source", rule.source}});
    return dumped({{"schema", "cellgrade/impact-presets"},
                   {"schema_version", {1, 0}},
                   {"caution", caution_text()},
                   {"headforms", heads},
                   {"rules", rules}});
}

} // namespace cellgrade
