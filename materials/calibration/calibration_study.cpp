// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/calibration_study.hpp"

#include "solver/core/keyed_file.hpp"
#include "solver/core/suggest.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

std::optional<double> optional_positive(const KeyedTable& t, std::string_view key) {
    if (!t.has(key))
        return std::nullopt;
    return t.positive(key);
}

std::optional<double> optional_number(const KeyedTable& t, std::string_view key) {
    if (!t.has(key))
        return std::nullopt;
    return t.number(key);
}

/// Factor and range of a key of any law; nothing when no law has it.
std::optional<LawValue> parameter_of_any_law(std::string_view key) {
    for (const std::string& kind : known_law_kinds())
        for (const LawValue& v : law_values(*blank_law(kind)))
            if (v.key == key)
                return v;
    return std::nullopt;
}

std::vector<std::string> parameter_keys() {
    std::vector<std::string> keys{"poissons_ratio"};
    for (const std::string& kind : known_law_kinds())
        for (const LawValue& v : law_values(*blank_law(kind)))
            if (std::find(keys.begin(), keys.end(), v.key) == keys.end())
                keys.emplace_back(v.key);
    return keys;
}

FixedValues read_fixed(const std::optional<KeyedTable>& t) {
    FixedValues fixed;
    if (!t)
        return fixed;
    for (const std::string& key : t->keys()) {
        const double value = t->number(key);
        if (key == "poissons_ratio") {
            if (!(value > 0.0 && value < 0.5))
                throw t->error(key, fmt::format("{} is not allowed; a number between 0 and 0.5 is "
                                                "needed",
                                                value));
            fixed.poissons_ratio = value;
            continue;
        }
        const std::optional<LawValue> p = parameter_of_any_law(key);
        if (!p)
            throw t->error(key, "no law has this parameter" + did_you_mean(key, parameter_keys()));
        if (!inside(p->range, value))
            throw t->error(
                key, fmt::format("{} is not allowed; {} is needed", value, describe(p->range)));
        fixed.values.emplace(key, value * p->to_SI);
    }
    if (fixed.poissons_ratio && fixed.values.contains("bulk_modulus_MPa"))
        throw t->error("poissons_ratio", "not together with bulk_modulus_MPa");
    return fixed;
}

std::vector<LawCandidate> read_candidates(const KeyedTable& t) {
    if (!t.has("laws"))
        return all_candidates();
    std::vector<LawCandidate> list;
    const std::vector<std::string> names = t.texts("laws");
    for (std::size_t i = 0; i < names.size(); ++i) {
        try {
            list.push_back(candidate_of(names[i]));
        } catch (const Error& e) {
            throw Error(Fault::Input, e.message(), t.where("laws", i));
        }
    }
    if (list.empty())
        throw t.error("laws", "empty; at least one law is needed");
    return list;
}

int count_within(const KeyedTable& t, std::string_view key, int fallback, int low, int high) {
    const Index value = t.integer_or(key, fallback);
    if (value < low || value > high)
        throw t.error(key, fmt::format("{} is not allowed; {} to {} is needed", value, low, high));
    return value;
}

void read_fit(const KeyedTable& t, CalibrationStudy& s) {
    s.candidates = read_candidates(t);
    s.every_candidate = t.has("laws");
    s.weighting = t.choice_or("weighting", {"curve", "stress"}, "curve") == "stress"
                      ? CurveWeighting::Stress
                      : CurveWeighting::PerCurve;
    s.starts = count_within(t, "starts", s.starts, 1, 200);
    s.most_prony_terms = count_within(t, "prony_terms", s.most_prony_terms, 1, 8);
    if (t.has("relaxation"))
        s.spectrum = t.choice("relaxation", {"free", "power_law"}) == "free"
                         ? SpectrumKind::Free
                         : SpectrumKind::PowerLaw;
    if (t.has("damage"))
        s.damage = t.flag_or("damage", false);
    s.reference_temperature_C = t.number_or("reference_temperature_C", s.reference_temperature_C);
    s.largest_strain = optional_positive(t, "largest_strain");
    t.finish();
}

void read_test(const KeyedTable& t, const std::filesystem::path& folder, CalibrationStudy& s) {
    std::vector<std::string> modes = mode_names();
    modes.insert(modes.end(), {"relaxation", "dynamic"});
    const std::filesystem::path file = folder / t.text("file");
    const std::string mode = t.choice("mode", modes);
    const double weight = t.positive_or("weight", 1.0);
    const std::optional<double> temperature = optional_number(t, "temperature_C");
    if (const std::optional<CouponMode> coupon = mode_of(mode)) {
        const std::string measure = t.choice_or("measure", {"nominal", "true"}, "");
        CouponTest test{.file = file};
        test.request = {.mode = *coupon,
                        .measure = measure.empty()        ? StressMeasure::Unsaid
                                   : measure == "nominal" ? StressMeasure::Nominal
                                                          : StressMeasure::True,
                        .rate_per_s = optional_positive(t, "rate_per_s"),
                        .temperature_C = temperature,
                        .weight = weight};
        test.toe = t.choice_or("toe", {"remove", "keep"}, "remove") == "keep" ? ToeRule::Keep
                                                                              : ToeRule::Remove;
        s.coupons.push_back(test);
    } else {
        s.time_tests.push_back({.file = file,
                                .request = {.kind = mode == "dynamic" ? TimeCurve::Kind::Dynamic
                                                                      : TimeCurve::Kind::Relaxation,
                                            .held_strain = optional_positive(t, "held_strain"),
                                            .temperature_C = temperature,
                                            .ramp_time_s = t.number_or("ramp_time_s", 0.0),
                                            .weight = weight}});
        if (s.time_tests.back().request.ramp_time_s < 0.0)
            throw t.error("ramp_time_s", "0 or a number above is needed");
    }
    t.finish();
}

std::optional<double> read_coefficient(const KeyedTable& t, std::string_view key) {
    const std::optional<double> value = optional_number(t, key);
    if (value && *value < 0.0)
        throw t.error(key, "0 or a number above is needed");
    return value;
}

/// One line for each value given in the study.
void read_sources(const KeyedTable& root, CalibrationStudy& s) {
    std::vector<std::string> keys = s.print.value_keys();
    if (s.density_kg_per_m3 > 0.0)
        keys.emplace_back("density_kg_per_m3");
    for (const auto& [key, value] : s.fixed.values)
        keys.push_back(key);
    const auto add = [&](bool given, const char* key) {
        if (given)
            keys.emplace_back(key);
    };
    add(s.fixed.poissons_ratio.has_value(), "poissons_ratio");
    add(s.shore_A.has_value(), "shore_A");
    add(s.friction_on_itself.has_value(), "coefficient_on_itself");
    add(s.friction_on_platen.has_value(), "coefficient_on_platen");
    const KeyedTable t = root.table("sources");
    for (const std::string& key : keys) {
        if (!t.has(key))
            throw root.error("sources", fmt::format("no source for {}; add the line {} = \"where "
                                                    "the value comes from, or 'invented'\"",
                                                    key, key));
        s.sources.emplace(key, t.text(key));
    }
    t.finish();
}

} // namespace

bool has_history(const CalibrationStudy& study) {
    return std::any_of(study.coupons.begin(), study.coupons.end(), [](const CouponTest& test) {
        return test.request.mode == CouponMode::UniaxialCycle;
    });
}

CalibrationStudy read_calibration_study(const std::filesystem::path& path) {
    const KeyedTable root = read_keyed_file(path);
    if (const Index schema = root.integer("schema"); schema != 1)
        throw root.error("schema", fmt::format("schema {} is not known; 1 is needed", schema));
    CalibrationStudy s{.name = root.text("name"),
                       .about = root.text_or("about", ""),
                       .source = root.text("source"),
                       .density_kg_per_m3 = 0.0};
    s.print = read_print_study(root, path.parent_path());
    if (root.has("density_kg_per_m3") || !s.print.weighed_file)
        s.density_kg_per_m3 = root.positive("density_kg_per_m3");
    s.fixed = read_fixed(root.optional_table("fixed"));
    read_fit(root.optional_table("fit").value_or(parse_keyed_text("", path.string())), s);
    if (const auto t = root.optional_table("hardness")) {
        s.shore_A = t->positive("shore_A");
        t->finish();
    }
    if (const auto t = root.optional_table("friction")) {
        s.friction_on_itself = read_coefficient(*t, "coefficient_on_itself");
        s.friction_on_platen = read_coefficient(*t, "coefficient_on_platen");
        t->finish();
    }
    for (const KeyedTable& t : root.tables("test"))
        read_test(t, path.parent_path(), s);
    if (const auto fit = root.optional_table("fit"); fit && !has_history(s))
        for (const char* key : {"relaxation", "damage"})
            if (fit->has(key))
                throw fit->error(key, "of whole histories only, and no test is a uniaxial_cycle; "
                                      "leave the key out");
    if (!s.time_tests.empty() && has_history(s))
        throw root.error("test", "relaxation and dynamic files together with uniaxial_cycle are "
                                 "not fitted: give a relaxation test as a uniaxial_cycle of "
                                 "time_s, strain and stress with its ramp");
    if (s.coupons.empty() && !s.shore_A)
        throw root.error("test", "no coupon test; at least one [[test]] of tension, compression, "
                                 "equibiaxial, planar or shear, or [hardness], is needed");
    read_sources(root, s);
    root.finish();
    return s;
}

} // namespace cellgrade
