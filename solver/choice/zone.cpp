// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/zone.hpp"

#include "solver/choice/impact_reader.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/suggest.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace cellgrade {

namespace {

constexpr double mm2 = units::mm * units::mm;

std::optional<double> given(const KeyedTable& t, std::string_view key, double unit = 1.0) {
    return t.has(key) ? std::optional(t.positive(key) * unit) : std::nullopt;
}

template <class Named>
std::vector<std::string> names_of(const std::vector<Named>& all) {
    std::vector<std::string> names;
    for (const Named& each : all)
        names.push_back(each.name);
    return names;
}

Wearer wearer_of(const KeyedTable& t) {
    Wearer wearer{.name = t.text("name"),
                  .headform_circumference_m = given(t, "headform_circumference_mm", units::mm),
                  .mass_kg = given(t, "mass_kg"),
                  .radius_m = given(t, "radius_mm", units::mm)};
    if (!wearer.headform_circumference_m && !wearer.mass_kg)
        throw t.error("", "a wearer needs headform_circumference_mm or mass_kg");
    t.finish();
    return wearer;
}

std::vector<std::string> known_names(const KeyedTable& t,
                                     std::string_view key,
                                     const std::vector<std::string>& known,
                                     const char* what) {
    std::vector<std::string> names = t.texts(key);
    for (std::size_t i = 0; i < names.size(); ++i)
        if (std::find(known.begin(), known.end(), names[i]) == known.end())
            throw t.error(key, fmt::format("no {} is called '{}'{}", what, names[i],
                                           did_you_mean(names[i], known)));
    return names;
}

Zone zone_of(const KeyedTable& t, const ZonePlan& plan) {
    Zone zone{.name = t.text("name"), .thicknesses_m = {}, .impacts = {}, .wearers = {}};
    for (const double mm : t.numbers("thicknesses_mm")) {
        if (!(mm > 0.0 && mm <= 1000.0))
            throw t.error("thicknesses_mm", fmt::format("{:g} is not between 0 and 1000", mm));
        zone.thicknesses_m.push_back(mm * units::mm);
    }
    if (zone.thicknesses_m.empty())
        throw t.error("thicknesses_mm", "at least one is needed");
    std::sort(zone.thicknesses_m.begin(), zone.thicknesses_m.end());
    zone.area_m2 = t.positive("area_mm2") * mm2;
    if (t.has("face_radius_mm")) {
        zone.face_radius_m = t.number("face_radius_mm") * units::mm;
        if (zone.face_radius_m == 0.0)
            throw t.error("face_radius_mm", "0 is no radius: hollow above 0, bulging below");
    }
    if (t.has("layers")) {
        zone.layers.clear();
        for (const double count : t.numbers("layers")) {
            if (count != 1.0 && count != 2.0 && count != 3.0 && count != 4.0)
                throw t.error("layers", fmt::format("{:g} is not 1, 2, 3 or 4", count));
            zone.layers.push_back(static_cast<Index>(count));
        }
        std::sort(zone.layers.begin(), zone.layers.end());
        zone.layers.erase(std::unique(zone.layers.begin(), zone.layers.end()), zone.layers.end());
        if (zone.layers.empty())
            throw t.error("layers", "at least one count is needed");
    }
    zone.impacts = known_names(t, "impacts", names_of(plan.impacts), "impact");
    if (zone.impacts.empty())
        throw t.error("impacts", "a zone needs the name of an impact");
    if (t.has("wearers"))
        zone.wearers = known_names(t, "wearers", names_of(plan.wearers), "wearer");
    t.finish();
    return zone;
}

void read_print(const KeyedTable& file, ZonePlan& plan) {
    const std::optional<KeyedTable> t = file.optional_table("print");
    if (!t)
        return;
    plan.least_strut_m = t->number_or("least_strut_mm", 0.0) * units::mm;
    plan.least_opening_m = t->number_or("least_opening_mm", 0.0) * units::mm;
    plan.least_through_view = t->number_or("least_through_view", 0.0);
    if (t->has("price_per_kg"))
        plan.price_per_kg = t->positive("price_per_kg");
    plan.currency = t->text_or("currency", "");
    t->finish();
}

void read_rank(const KeyedTable& file, ZonePlan& plan) {
    if (!file.has("rank_by"))
        return;
    const std::vector<std::string>& words = rank_words();
    plan.rank_by.clear();
    for (const std::string& word : file.texts("rank_by")) {
        const auto at = std::find(words.begin(), words.end(), word);
        if (at == words.end())
            throw file.error("rank_by",
                             fmt::format("unknown '{}'{}", word, did_you_mean(word, words)));
        plan.rank_by.push_back(static_cast<RankBy>(at - words.begin()));
    }
}

template <class Named>
void check_names(const KeyedTable& file, const std::vector<Named>& all, const char* key) {
    std::set<std::string> names;
    for (const Named& each : all)
        if (!names.insert(each.name).second)
            throw file.error(key, fmt::format("two are called '{}'", each.name));
}

/// Every impact on every wearer, so that a plan fails when it is read and not half way through.
void check_pairs(const KeyedTable& file, const ZonePlan& plan) {
    for (const Zone& zone : plan.zones)
        for (const ImpactDraft& impact : plan.impacts) {
            if (std::find(zone.impacts.begin(), zone.impacts.end(), impact.name) ==
                zone.impacts.end())
                continue;
            std::vector<const Wearer*> wearers;
            for (const Wearer& wearer : plan.wearers)
                if (std::find(zone.wearers.begin(), zone.wearers.end(), wearer.name) !=
                    zone.wearers.end())
                    wearers.push_back(&wearer);
            if (wearers.empty())
                wearers.push_back(nullptr);
            for (const Wearer* wearer : wearers)
                try {
                    (void)impact_on(impact, wearer, zone);
                } catch (const Error& e) {
                    throw file.error("impact",
                                     fmt::format("{} in zone {}{}: {}{}{}", impact.name, zone.name,
                                                 wearer ? " on " + wearer->name : std::string(),
                                                 e.where().key, e.where().key.empty() ? "" : ": ",
                                                 e.message()));
                }
        }
}

} // namespace

const std::vector<std::string>& rank_words() {
    static const std::vector<std::string> words{"peak_acceleration", "mass", "thickness", "cost",
                                                "through_view"};
    return words;
}

ZonePlan read_zone_plan(const std::filesystem::path& path) {
    const KeyedTable file = read_keyed_file(path);
    if (file.integer("schema") != 1)
        throw file.error("schema", "this program reads schema 1");
    ZonePlan plan{.name = file.text("name"),
                  .about = file.text_or("about", ""),
                  .impacts = impact_drafts_of(file),
                  .wearers = {},
                  .zones = {},
                  .currency = {}};
    for (const KeyedTable& t : file.tables("wearer"))
        plan.wearers.push_back(wearer_of(t));
    check_names(file, plan.impacts, "impact");
    check_names(file, plan.wearers, "wearer");
    for (const KeyedTable& t : file.tables("zone"))
        plan.zones.push_back(zone_of(t, plan));
    if (plan.zones.empty())
        throw file.error("zone", "no zone; each is a table [[zone]]");
    check_names(file, plan.zones, "zone");
    read_print(file, plan);
    read_rank(file, plan);
    plan.densities_between = file.integer_or("densities_between", 0);
    if (plan.densities_between < 0 || plan.densities_between > 9)
        throw file.error("densities_between", "0 to 9 is allowed");
    file.finish();
    check_pairs(file, plan);
    return plan;
}

ImpactCase impact_on(const ImpactDraft& impact, const Wearer* wearer, const Zone& zone) {
    ImpactDraft draft = impact;
    if (wearer != nullptr) {
        if (wearer->headform_circumference_m)
            draft.headform_circumference_m = wearer->headform_circumference_m;
        if (wearer->mass_kg)
            draft.mass_kg = wearer->mass_kg;
        if (wearer->radius_m) {
            draft.radius_m = wearer->radius_m;
            draft.shape = "sphere";
        }
    }
    ImpactCase out = complete_impact(draft);
    if (wearer != nullptr)
        out.name = fmt::format("{}, {}", impact.name, wearer->name);
    if (out.striker.shape == StrikerShape::Flat || std::isinf(zone.face_radius_m))
        return out;
    if (out.striker.shape == StrikerShape::Ellipsoid)
        throw Error(Fault::Input, "a curved face takes spheres and flat bodies only",
                    {.key = "face_radius_mm"});
    constexpr double fits = 0.01;
    const double R = out.striker.semi_axes_m[0];
    const double apart = 1.0 / R - 1.0 / zone.face_radius_m;
    if (apart < -fits / R)
        throw Error(Fault::Input,
                    fmt::format("a hollow face of radius {:.3g} mm is touched at its rim by a body "
                                "of radius {:.3g} mm",
                                zone.face_radius_m / units::mm, R / units::mm),
                    {.key = "face_radius_mm"});
    out.striker = apart < fits / R ? Striker::flat() : Striker::sphere(1.0 / apart);
    return out;
}

} // namespace cellgrade
