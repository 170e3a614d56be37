// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/polymer_card.hpp"
#include "materials/print/print_table.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/suggest.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <array>

namespace cellgrade {

namespace {

// Longest first, so that "_per_ms" is not taken for "_ms".
constexpr std::array<std::string_view, 25> unit_endings = {
    "_kJ_per_m3", "_MJ_per_m3", "_J_per_m3", "_kg_per_m3", "_g_per_cm3", "_g_per_cc", "_percent",
    "_per_min",   "_per_ms",    "_per_s",    "_GPa",       "_MPa",       "_kPa",      "_psi",
    "_bar",       "_Pa",        "_mpa",      "_gpa",       "_kpa",       "_pct",      "_min",
    "_ms",        "_us",        "_h",        "_s"};

std::string_view without_unit(std::string_view key) {
    for (const std::string_view ending : unit_endings)
        if (key.ends_with(ending))
            return key.substr(0, key.size() - ending.size());
    return key;
}

// Before any read, so that a misspelt key is named itself and not the one that is then missing. The
// unit is part of the key: the same quantity under another unit is no spelling mistake.
void refuse_unknown_keys(const KeyedTable& table, const std::vector<std::string>& known) {
    for (const std::string& key : table.keys()) {
        if (std::find(known.begin(), known.end(), key) != known.end())
            continue;
        for (const std::string& right : known)
            if (without_unit(right) != right && without_unit(key) == without_unit(right))
                throw table.error(key, fmt::format("this quantity is given in another unit; write "
                                                   "{} and convert the value",
                                                   right));
        throw table.error(key, "unknown key" + did_you_mean(key, known));
    }
}

std::vector<std::string> law_kinds() {
    std::vector<std::string> kinds;
    Laws::for_each([&]<class Law>() { kinds.emplace_back(Law::kind); });
    return kinds;
}

template <class Law>
Law read_law(const KeyedTable& table) {
    std::vector<std::string> known = {"kind"};
    for (const auto& p : Law::parameters())
        known.emplace_back(p.key);
    refuse_unknown_keys(table, known);
    Law law{};
    for (const auto& p : Law::parameters()) {
        const bool optional = p.presence == Presence::Optional;
        if (optional && !table.has(p.key))
            continue;
        const double value = table.number(p.key);
        if (optional && value == 0.0)
            throw table.error(p.key, "0 is not allowed; leave the key out instead");
        if (!inside(p.range, value) || !inside(ParameterRange::Any, value * p.to_SI))
            throw table.error(p.key, fmt::format("{:.9g} is not allowed; {} is needed", value,
                                                 describe(p.range)));
        law.*p.member = value * p.to_SI;
    }
    try {
        law.check(); // what is wrong with several parameters together
    } catch (const Error& e) {
        throw table.error("kind", e.message());
    }
    return law;
}

AnyLaw read_any_law(const KeyedTable& table) {
    const std::string kind = table.choice("kind", law_kinds());
    std::optional<AnyLaw> law;
    Laws::for_each([&]<class Law>() {
        if (kind == Law::kind)
            law = read_law<Law>(table);
    });
    return *law;
}

std::vector<PronyTerm> read_prony(const KeyedTable& root) {
    std::vector<PronyTerm> terms;
    double sum = 0.0;
    for (const KeyedTable& table : root.tables("prony")) {
        refuse_unknown_keys(table, {"share", "time_s"});
        const PronyTerm term{.share = table.positive("share"), .time_s = table.positive("time_s")};
        sum += term.share;
        if (sum >= 1.0)
            throw table.error("share", fmt::format("the shares up to here add up to {:.9g}; less "
                                                   "than 1 is needed, the rest is the long-term "
                                                   "stiffness",
                                                   sum));
        terms.push_back(term);
    }
    return terms;
}

std::optional<MullinsDamage> read_damage(const KeyedTable& root) {
    const std::optional<KeyedTable> table = root.optional_table("damage");
    if (!table)
        return std::nullopt;
    refuse_unknown_keys(*table, {"r", "m_kJ_per_m3", "beta"});
    const MullinsDamage damage{.r = table->positive("r"),
                               .m = table->positive("m_kJ_per_m3") * units::kJ_per_m3,
                               .beta = table->number("beta")};
    if (damage.r <= 1.0)
        throw table->error(
            "r", fmt::format("{:.9g} is not allowed; a number above 1 is needed", damage.r));
    if (damage.beta < 0.0)
        throw table->error("beta", fmt::format("{:.9g} is not allowed; 0 or a number above is "
                                               "needed",
                                               damage.beta));
    return damage;
}

std::optional<double> read_optional(const KeyedTable& table, const char* key) {
    if (!table.has(key))
        return std::nullopt;
    return table.positive(key);
}

std::optional<double> read_temperature(const KeyedTable& table, const char* key) {
    if (!table.has(key))
        return std::nullopt;
    const double value = table.number(key) + units::zero_C;
    if (!(value > 0.0))
        throw table.error(key, "a temperature above -273.15 is needed");
    return value;
}

CardValidity read_validity(const KeyedTable& root) {
    const std::optional<KeyedTable> table = root.optional_table("valid");
    if (!table)
        return {};
    refuse_unknown_keys(*table, {"stretch_min", "stretch_max", "rate_min_per_s", "rate_max_per_s",
                                 "temperature_min_C", "temperature_max_C"});
    CardValidity v{.stretch_min = read_optional(*table, "stretch_min"),
                   .stretch_max = read_optional(*table, "stretch_max"),
                   .rate_min_per_s = read_optional(*table, "rate_min_per_s"),
                   .rate_max_per_s = read_optional(*table, "rate_max_per_s"),
                   .temperature_min_K = read_temperature(*table, "temperature_min_C"),
                   .temperature_max_K = read_temperature(*table, "temperature_max_C")};
    if (v.stretch_min && *v.stretch_min >= 1.0)
        throw table->error("stretch_min", "a number below 1 is needed");
    if (v.stretch_max && *v.stretch_max <= 1.0)
        throw table->error("stretch_max", "a number above 1 is needed");
    if (v.rate_min_per_s && v.rate_max_per_s && *v.rate_min_per_s >= *v.rate_max_per_s)
        throw table->error("rate_min_per_s", "a number below rate_max_per_s is needed");
    if (v.temperature_min_K && v.temperature_max_K && *v.temperature_min_K >= *v.temperature_max_K)
        throw table->error("temperature_min_C", "a number below temperature_max_C is needed");
    return v;
}

std::optional<TimeTemperature> read_shift(const KeyedTable& root) {
    const std::optional<KeyedTable> table = root.optional_table("temperature");
    if (!table)
        return std::nullopt;
    TimeTemperature shift;
    if (table->choice("law", {"wlf", "arrhenius"}) == "wlf") {
        refuse_unknown_keys(*table, {"law", "reference_C", "c1", "c2_K"});
        shift.kind = TimeTemperature::Kind::Wlf;
        shift.c1 = table->positive("c1");
        shift.c2_K = table->positive("c2_K");
    } else {
        refuse_unknown_keys(*table, {"law", "reference_C", "activation_energy_kJ_per_mol"});
        shift.kind = TimeTemperature::Kind::Arrhenius;
        shift.activation_energy_J_per_mol = table->positive("activation_energy_kJ_per_mol") * 1e3;
    }
    shift.reference_K = table->number("reference_C") + units::zero_C;
    if (!(shift.reference_K > 0.0))
        throw table->error("reference_C", "a temperature above -273.15 is needed");
    return shift;
}

void read_friction(const KeyedTable& root, PolymerCard& card) {
    const std::optional<KeyedTable> table = root.optional_table("friction");
    if (!table)
        return;
    refuse_unknown_keys(*table, {"coefficient_on_itself", "coefficient_on_platen"});
    const auto read = [&](const char* key) -> std::optional<double> {
        if (!table->has(key))
            return std::nullopt;
        const double value = table->number(key);
        if (value < 0.0)
            throw table->error(key, fmt::format("{:.9g} is not allowed; 0 or a number above is "
                                                "needed",
                                                value));
        return value;
    };
    card.friction_on_itself = read("coefficient_on_itself");
    card.friction_on_platen = read("coefficient_on_platen");
}

// Every value has its source, and every source its value.
void read_sources(const KeyedTable& root, PolymerCard& card) {
    const std::vector<std::string> values = value_keys(card);
    const KeyedTable table = root.table("sources");
    refuse_unknown_keys(table, values);
    for (const std::string& key : values) {
        if (!table.has(key))
            throw root.error("sources", fmt::format("no source for {}; add the line {} = \"where "
                                                    "the value comes from, or 'invented'\"",
                                                    key, key));
        const std::string text = table.text(key);
        if (text.empty())
            throw table.error(key, "empty; where the value comes from is needed");
        card.sources.emplace(key, text);
    }
}

std::string read_name(const KeyedTable& root, const char* key) {
    std::string text = root.text(key);
    if (text.empty())
        throw root.error(key, "empty; a text is needed");
    return text;
}

} // namespace

PolymerCard parse_card(std::string_view text, const std::string& name) {
    const KeyedTable root = parse_keyed_text(text, name);
    refuse_unknown_keys(root, {"schema", "name", "source", "density_kg_per_m3", "law", "prony",
                               "damage", "temperature", "valid", "friction", "print", "sources"});
    if (const Index schema = root.integer("schema"); schema != 1)
        throw root.error("schema", fmt::format("schema {} is not known; 1 is needed", schema));
    PolymerCard card{.name = read_name(root, "name"),
                     .source = read_name(root, "source"),
                     .density_kg_per_m3 = root.positive("density_kg_per_m3"),
                     .law = read_any_law(root.table("law")),
                     .prony = read_prony(root),
                     .damage = read_damage(root),
                     .shift = read_shift(root),
                     .valid = read_validity(root),
                     .friction_on_itself = {},
                     .friction_on_platen = {},
                     .print = {},
                     .sources = {}};
    read_friction(root, card);
    card.print = read_print_effects(root, void_fraction(card));
    read_sources(root, card);
    return card;
}

PolymerCard read_card(const std::filesystem::path& path) {
    return parse_card(read_text_file(path), path.string());
}

} // namespace cellgrade
