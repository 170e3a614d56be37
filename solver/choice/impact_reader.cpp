// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_reader.hpp"

#include "solver/choice/impact_draft.hpp"
#include "solver/core/units.hpp"

#include <set>

namespace cellgrade {

namespace {

constexpr double kN = 1e3;

std::optional<double> given(const KeyedTable& t, std::string_view key, double unit = 1.0) {
    return t.has(key) ? std::optional(t.number(key) * unit) : std::nullopt;
}

std::optional<std::string> given_text(const KeyedTable& t, std::string_view key) {
    return t.has(key) ? std::optional(t.text(key)) : std::nullopt;
}

ImpactLimits limits_of(const KeyedTable& impact) {
    ImpactLimits limits;
    const std::optional<KeyedTable> t = impact.optional_table("limits");
    if (!t)
        return limits;
    const auto read = [&](std::string_view key, double ImpactLimits::*member, double unit = 1.0) {
        if (t->has(key))
            limits.*member = t->positive(key) * unit;
    };
    read("peak_acceleration_g", &ImpactLimits::peak_acceleration_g);
    read("peak_force_kN", &ImpactLimits::peak_force_N, kN);
    read("hic15", &ImpactLimits::hic15);
    read("hic36", &ImpactLimits::hic36);
    read("severity_index", &ImpactLimits::severity_index);
    read("peak_angular_acceleration_rad_per_s2",
         &ImpactLimits::peak_angular_acceleration_rad_per_s2);
    read("bric", &ImpactLimits::bric);
    t->finish();
    return limits;
}

ImpactDraft draft_of(const KeyedTable& t) {
    ImpactDraft draft;
    draft.name = t.text("name");
    draft.rule = given_text(t, "rule");
    draft.headform_circumference_m = given(t, "headform_circumference_mm", units::mm);
    draft.mass_kg = given(t, "mass_kg");
    draft.speed_m_per_s = given(t, "speed_m_per_s");
    draft.drop_height_m = given(t, "drop_height_m");
    draft.shape = given_text(t, "shape");
    draft.radius_m = given(t, "radius_mm", units::mm);
    draft.face_area_m2 = given(t, "face_area_mm2", units::mm * units::mm);
    if (t.has("semi_axes_mm")) {
        const std::vector<double> axes = t.numbers("semi_axes_mm");
        if (axes.size() != 3)
            throw t.error("semi_axes_mm", "three half axes are needed, the last along the blow");
        draft.semi_axes_m = {axes[0] * units::mm, axes[1] * units::mm, axes[2] * units::mm};
    }
    draft.with_weight = t.flag_or("with_weight", false);
    draft.hits = t.integer_or("hits", 1);
    draft.recovery_share = t.number_or("recovery_share", 0.0);
    if (t.has("temperatures_C"))
        draft.temperatures_C = t.numbers("temperatures_C");
    draft.tangential_speed_m_per_s = t.number_or("tangential_speed_m_per_s", 0.0);
    draft.friction = given(t, "friction");
    draft.inertia_kg_m2 = given(t, "inertia_kg_m2");
    draft.lever_m = given(t, "lever_mm", units::mm);
    draft.rotation_axis = t.choice_or("rotation_axis", rotation_axes(), "unknown");
    draft.limits = limits_of(t);
    t.finish();
    return draft;
}

} // namespace

std::vector<ImpactCase> impacts_of(const KeyedTable& file) {
    std::vector<ImpactCase> impacts;
    std::set<std::string> names;
    for (const KeyedTable& t : file.tables("impact")) {
        const ImpactDraft draft = draft_of(t);
        if (!names.insert(draft.name).second)
            throw t.error("name", fmt::format("another impact is called '{}' too", draft.name));
        try {
            impacts.push_back(complete_impact(draft));
        } catch (const Error& e) { // it knows the key, the table knows the line
            const std::string& key = e.where().key;
            throw t.error(t.has(key) ? key : "",
                          t.has(key) ? e.message() : fmt::format("{}: {}", key, e.message()));
        }
    }
    if (impacts.empty())
        throw file.error("impact", "no impact; each is a table [[impact]]");
    return impacts;
}

std::vector<ImpactCase> read_impacts(const std::filesystem::path& path) {
    const KeyedTable file = read_keyed_file(path);
    if (file.integer("schema") != 1)
        throw file.error("schema", "this program reads schema 1");
    std::vector<ImpactCase> impacts = impacts_of(file);
    (void)file.text_or("about", "");
    file.finish();
    return impacts;
}

} // namespace cellgrade
