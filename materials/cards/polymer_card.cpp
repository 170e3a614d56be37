// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/polymer_card.hpp"

#include "materials/laws/uniaxial_table.hpp"
#include "solver/core/suggest.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

void check_positive(const std::optional<double>& value, const char* key) {
    CELLGRADE_CHECK(!value || (std::isfinite(*value) && *value > 0.0),
                    "{} = {:.9g} is not allowed; a number above 0 is needed", key, *value);
}

void check_friction(const std::optional<double>& value, const char* key) {
    CELLGRADE_CHECK(!value || (std::isfinite(*value) && *value >= 0.0),
                    "{} = {:.9g} is not allowed; 0 or a number above is needed", key, *value);
}

void check_validity(const CardValidity& v) {
    check_positive(v.stretch_min, "valid.stretch_min");
    check_positive(v.stretch_max, "valid.stretch_max");
    check_positive(v.rate_min_per_s, "valid.rate_min_per_s");
    check_positive(v.rate_max_per_s, "valid.rate_max_per_s");
    CELLGRADE_CHECK(
        !v.temperature_min_K || !v.temperature_max_K || *v.temperature_min_K < *v.temperature_max_K,
        "valid.temperature_min_C = {:.9g} is not below valid.temperature_max_C = {:.9g}",
        *v.temperature_min_K - units::zero_C, *v.temperature_max_K - units::zero_C);
    CELLGRADE_CHECK(!v.stretch_min || *v.stretch_min < 1.0,
                    "valid.stretch_min = {:.9g} is not allowed; a number below 1 is needed",
                    *v.stretch_min);
    CELLGRADE_CHECK(!v.stretch_max || *v.stretch_max > 1.0,
                    "valid.stretch_max = {:.9g} is not allowed; a number above 1 is needed",
                    *v.stretch_max);
    CELLGRADE_CHECK(!v.rate_min_per_s || !v.rate_max_per_s || *v.rate_min_per_s < *v.rate_max_per_s,
                    "valid.rate_min_per_s = {:.9g} is not below valid.rate_max_per_s = {:.9g}",
                    *v.rate_min_per_s, *v.rate_max_per_s);
}

void check_sources(const PolymerCard& card) {
    const std::vector<std::string> keys = value_keys(card);
    for (const std::string& key : keys) {
        const auto found = card.sources.find(key);
        CELLGRADE_CHECK(found != card.sources.end() && !found->second.empty(),
                        "sources: no source for {}; where the value comes from is needed, or "
                        "'invented'",
                        key);
    }
    for (const auto& [key, source] : card.sources)
        CELLGRADE_CHECK(std::find(keys.begin(), keys.end(), key) != keys.end(),
                        "sources: {} is no value of this card{}", key, did_you_mean(key, keys));
}

void note_outside(std::vector<std::string>& notes,
                  std::string_view what,
                  double value,
                  double low,
                  double high,
                  std::string_view unit) {
    if (!(value >= low && value <= high))
        notes.push_back(fmt::format("{} = {:.6g}{}{} is outside {:.6g} to {:.6g}, what printed "
                                    "elastomers show",
                                    what, value, unit.empty() ? "" : " ", unit, low, high));
}

void note_stability(std::vector<std::string>& notes, const PolymerCard& card) {
    const double low = card.valid.stretch_min.value_or(0.5);
    const double high = card.valid.stretch_max.value_or(1.5);
    const StretchRange stable =
        stable_range(make_uniaxial_table(card.law, std::min(low, 0.5), std::max(high, 1.5), 401));
    if (stable.min > low + 1e-9 || stable.max < high - 1e-9)
        notes.push_back(fmt::format("the law is stable from stretch {:.4g} to {:.4g} only, the "
                                    "card is meant for {:.4g} to {:.4g}",
                                    stable.min, stable.max, low, high));
}

/// Keys of [temperature] that hold a value.
std::vector<const char*> shift_keys(const PolymerCard& card) {
    if (!card.shift)
        return {};
    if (card.shift->kind == TimeTemperature::Kind::Wlf)
        return {"reference_C", "c1", "c2_K"};
    return {"reference_C", "activation_energy_kJ_per_mol"};
}

} // namespace

void PolymerCard::check() const {
    CELLGRADE_CHECK(!name.empty(), "name: empty; a name for the polymer is needed");
    CELLGRADE_CHECK(!source.empty(),
                    "source: empty; where the card comes from is needed, or 'invented for the "
                    "demo'");
    CELLGRADE_CHECK(density_kg_per_m3 > 0.0 && std::isfinite(density_kg_per_m3),
                    "density_kg_per_m3 = {:.9g} is not allowed; a number above 0 is needed",
                    density_kg_per_m3);
    cellgrade::check(law);
    check_prony(prony);
    if (damage)
        damage->check();
    if (shift)
        shift->check();
    check_validity(valid);
    check_friction(friction_on_itself, "friction.coefficient_on_itself");
    check_friction(friction_on_platen, "friction.coefficient_on_platen");
    if (print)
        print->check(cellgrade::void_fraction(*this));
    check_sources(*this);
}

double youngs_modulus_Pa(const PolymerCard& card) {
    return initial_moduli(card.law).E0;
}

double shear_modulus_Pa(const PolymerCard& card) {
    return initial_moduli(card.law).mu0;
}

double bulk_modulus_Pa(const PolymerCard& card) {
    return initial_moduli(card.law).kappa0;
}

double poissons_ratio(const PolymerCard& card) {
    return initial_moduli(card.law).nu0;
}

double long_term_shear_modulus_Pa(const PolymerCard& card) {
    return shear_modulus_Pa(card) * long_term_share(card.prony);
}

double long_term_youngs_modulus_Pa(const PolymerCard& card) {
    const bool bulk_relaxes =
        std::visit([]<class Law>(const Law&) { return volume_in_shape<Law>; }, card.law);
    const double bulk = bulk_modulus_Pa(card) * (bulk_relaxes ? long_term_share(card.prony) : 1.0);
    return moduli_from_shear_and_bulk(long_term_shear_modulus_Pa(card), bulk).E0;
}

double void_fraction(const PolymerCard& card) {
    return std::visit([](const auto& law) { return law.void_fraction; }, card.law);
}

PolymerCard at_temperature(PolymerCard card, double temperature_K) {
    CELLGRADE_CHECK(card.shift.has_value(),
                    "polymer '{}' has no [temperature] in its card, so nothing is known of it at "
                    "{:.6g} C",
                    card.name, temperature_K - units::zero_C);
    const double a = std::pow(10.0, card.shift->log10_shift(temperature_K));
    for (PronyTerm& term : card.prony)
        term.time_s *= a;
    for (std::optional<double>* rate : {&card.valid.rate_min_per_s, &card.valid.rate_max_per_s})
        if (*rate)
            **rate /= a;
    for (const char* key : shift_keys(card))
        card.sources.erase(key);
    card.shift.reset();
    return card;
}

std::string_view law_kind(const PolymerCard& card) {
    return std::visit([](const auto& law) { return law.kind; }, card.law);
}

std::vector<std::string> value_keys(const PolymerCard& card) {
    std::vector<std::string> keys = {"density_kg_per_m3"};
    std::visit(
        [&]<class Law>(const Law& law) {
            for (const auto& p : Law::parameters())
                if (is_given(law, p))
                    keys.emplace_back(p.key);
        },
        card.law);
    const auto add = [&](bool given, const char* key) {
        if (given)
            keys.emplace_back(key);
    };
    add(!card.prony.empty(), "prony");
    add(card.damage.has_value(), "damage");
    for (const char* key : shift_keys(card))
        keys.emplace_back(key);
    add(card.valid.stretch_min.has_value(), "stretch_min");
    add(card.valid.stretch_max.has_value(), "stretch_max");
    add(card.valid.rate_min_per_s.has_value(), "rate_min_per_s");
    add(card.valid.rate_max_per_s.has_value(), "rate_max_per_s");
    add(card.valid.temperature_min_K.has_value(), "temperature_min_C");
    add(card.valid.temperature_max_K.has_value(), "temperature_max_C");
    add(card.friction_on_itself.has_value(), "coefficient_on_itself");
    add(card.friction_on_platen.has_value(), "coefficient_on_platen");
    for (const std::string& key : print_value_keys(card.print))
        keys.push_back(key);
    return keys;
}

std::vector<std::string> plausibility_notes(const PolymerCard& card) {
    std::vector<std::string> notes;
    note_outside(notes, "density", card.density_kg_per_m3, 900.0, 1400.0, "kg/m3");
    note_outside(notes, "instantaneous Young's modulus", youngs_modulus_Pa(card) / units::MPa, 0.5,
                 1000.0, "MPa");
    note_outside(notes, "long-term Young's modulus", long_term_youngs_modulus_Pa(card) / units::MPa,
                 0.3, 500.0, "MPa");
    note_outside(notes, "Poisson's ratio", poissons_ratio(card), 0.4, 0.49999, "");
    note_outside(notes, "void fraction", void_fraction(card), 0.0, 0.1, "");
    for (const PronyTerm& term : card.prony)
        note_outside(notes, "relaxation time", term.time_s, 1e-7, 1e7, "s");
    for (const auto& friction : {card.friction_on_itself, card.friction_on_platen})
        if (friction)
            note_outside(notes, "friction coefficient", *friction, 0.05, 1.5, "");
    for (const std::string& note : print_notes(card.print))
        notes.push_back(note);
    note_stability(notes, card);
    return notes;
}

} // namespace cellgrade
