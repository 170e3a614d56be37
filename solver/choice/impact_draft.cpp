// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_draft.hpp"

#include "solver/choice/drop_rules.hpp"
#include "solver/choice/headforms.hpp"
#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

[[noreturn]] void refuse(const char* key, const std::string& message) {
    throw Error(Fault::Input, message, {.key = key});
}

double drop_speed(double height_m) {
    if (!(height_m > 0.0 && height_m <= 100.0))
        refuse("drop_height_m",
               fmt::format("{:g} is out of range; above 0 to 100 is allowed", height_m));
    return std::sqrt(2.0 * units::standard_gravity * height_m);
}

double speed_of(const ImpactDraft& draft, const DropRule* rule) {
    if (draft.speed_m_per_s && draft.drop_height_m)
        refuse("drop_height_m", "a speed is given too; one of the two is enough");
    if (draft.speed_m_per_s)
        return *draft.speed_m_per_s;
    if (draft.drop_height_m)
        return drop_speed(*draft.drop_height_m);
    if (rule == nullptr)
        refuse("speed_m_per_s", "a speed is needed: speed_m_per_s, drop_height_m or a rule");
    return std::isnan(rule->height_m) ? rule->speed_m_per_s : drop_speed(rule->height_m);
}

std::string shape_of(const ImpactDraft& draft, bool is_head) {
    if (draft.shape)
        return *draft.shape;
    if (draft.semi_axes_m)
        return "ellipsoid";
    if (draft.radius_m || is_head)
        return "sphere";
    if (draft.face_area_m2)
        return "flat";
    refuse("shape", "a shape is needed: flat, sphere or ellipsoid, or a headform's girth");
}

Striker striker_of(const ImpactDraft& draft, const std::optional<HeadEstimate>& head) {
    const StrikerShape shape = shape_from_name(shape_of(draft, head.has_value()));
    const std::string name = shape_name(shape);
    if (draft.radius_m && shape != StrikerShape::Sphere)
        refuse("radius_mm", fmt::format("belongs to a sphere, not to {}", name));
    if (draft.semi_axes_m && shape != StrikerShape::Ellipsoid)
        refuse("semi_axes_mm", fmt::format("belongs to an ellipsoid, not to {}", name));
    if (draft.face_area_m2 && shape != StrikerShape::Flat)
        refuse("face_area_mm2", fmt::format("belongs to a flat body, not to {}", name));
    switch (shape) {
    case StrikerShape::Flat:
        return draft.face_area_m2 ? Striker::flat(*draft.face_area_m2) : Striker::flat();
    case StrikerShape::Ellipsoid:
        if (!draft.semi_axes_m)
            refuse("semi_axes_mm", "an ellipsoid needs three half axes, the last along the blow");
        return Striker::ellipsoid(*draft.semi_axes_m);
    case StrikerShape::Sphere:
        break;
    }
    if (!draft.radius_m && !head)
        refuse("radius_mm", "a sphere needs its radius");
    return Striker::sphere(draft.radius_m ? *draft.radius_m : head->radius_m);
}

/// The draft's limit where it has one, else the rule's.
ImpactLimits merged(const ImpactLimits& draft, const DropRule* rule) {
    ImpactLimits limits = draft;
    if (rule == nullptr)
        return limits;
    for (double ImpactLimits::*limit :
         {&ImpactLimits::peak_acceleration_g, &ImpactLimits::peak_force_N, &ImpactLimits::hic15,
          &ImpactLimits::hic36, &ImpactLimits::severity_index,
          &ImpactLimits::peak_angular_acceleration_rad_per_s2, &ImpactLimits::bric})
        if (std::isnan(limits.*limit))
            limits.*limit = rule->limits.*limit;
    return limits;
}

ObliqueCase oblique_of(const ImpactDraft& draft,
                       const Striker& striker,
                       double mass_kg,
                       const std::optional<HeadEstimate>& head,
                       std::vector<std::string>& sources) {
    const std::vector<std::string>& axes = rotation_axes();
    const auto axis = std::find(axes.begin(), axes.end(), draft.rotation_axis);
    if (axis == axes.end())
        refuse("rotation_axis", fmt::format("unknown axis '{}'{}", draft.rotation_axis,
                                            did_you_mean(draft.rotation_axis, axes)));
    ObliqueCase oblique{.tangential_speed_m_per_s = draft.tangential_speed_m_per_s,
                        .axis = static_cast<HeadAxis>(axis - axes.begin())};
    if (!(draft.tangential_speed_m_per_s > 0.0)) {
        for (const auto& [key, given] : {std::pair{"friction", draft.friction},
                                         {"inertia_kg_m2", draft.inertia_kg_m2},
                                         {"lever_mm", draft.lever_m}})
            if (given)
                refuse(key, "belongs to a slanting blow; give tangential_speed_m_per_s too");
        return oblique;
    }
    if (!draft.friction)
        refuse("friction", "a slanting blow needs a coefficient of friction");
    oblique.friction = *draft.friction;
    if (!draft.lever_m && striker.shape != StrikerShape::Sphere)
        refuse("lever_mm", "needed: from the contact to the centre of mass");
    oblique.lever_m = draft.lever_m ? *draft.lever_m : striker.semi_axes_m[0];
    if (!draft.inertia_kg_m2 && !head)
        refuse("inertia_kg_m2",
               "a slanting blow needs the body's moment of inertia, or a headform's "
               "girth to estimate it from");
    if (draft.inertia_kg_m2) {
        oblique.inertia_kg_m2 = *draft.inertia_kg_m2;
    } else {
        oblique.inertia_kg_m2 = 0.4 * mass_kg * head->radius_m * head->radius_m;
        sources.push_back(fmt::format("moment of inertia {:.3g} kg m2 of a uniform sphere of the "
                                      "girth: an estimate, low for a head",
                                      oblique.inertia_kg_m2));
    }
    return oblique;
}

} // namespace

const std::vector<std::string>& rotation_axes() {
    static const std::vector<std::string> axes{"x", "y", "z", "unknown"};
    return axes;
}

ImpactCase complete_impact(const ImpactDraft& draft) {
    const DropRule* rule = draft.rule ? &drop_rule(*draft.rule) : nullptr;
    std::optional<HeadEstimate> head;
    if (draft.headform_circumference_m)
        head = head_of_circumference(*draft.headform_circumference_m);
    ImpactCase impact{.name = draft.name,
                      .speed_m_per_s = speed_of(draft, rule),
                      .striker = striker_of(draft, head),
                      .with_weight = draft.with_weight,
                      .hits = draft.hits,
                      .recovery_share = draft.recovery_share,
                      .temperatures_C = draft.temperatures_C,
                      .oblique = {},
                      .limits = merged(draft.limits, rule),
                      .sources = {}};
    if (rule != nullptr)
        impact.sources.push_back(fmt::format("{}: {}, anvil: {} ({})", rule->name, rule->what,
                                             rule->anvil, rule->source));
    if (head)
        impact.sources.push_back(fmt::format("head of {:g} mm round: {}",
                                             *draft.headform_circumference_m / units::mm,
                                             head->source));
    if (draft.mass_kg)
        impact.mass_kg = *draft.mass_kg;
    else if (rule != nullptr && !std::isnan(rule->mass_kg))
        impact.mass_kg = rule->mass_kg;
    else if (head)
        impact.mass_kg = head->mass_kg;
    else
        refuse("mass_kg", "a mass is needed: mass_kg, headform_circumference_mm, or a rule that "
                          "fixes it");
    impact.oblique = oblique_of(draft, impact.striker, impact.mass_kg, head, impact.sources);
    impact.check();
    return impact;
}

} // namespace cellgrade
