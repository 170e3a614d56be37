// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/registry.hpp"
#include "materials/laws/time_temperature.hpp"
#include "materials/print/print_effects.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// Stretches, rates and temperatures in which the card was measured or is meant; a run that leaves
/// them warns.
struct CardValidity {
    std::optional<double> stretch_min;    ///< [-]
    std::optional<double> stretch_max;    ///< [-]
    std::optional<double> rate_min_per_s; ///< of nominal strain
    std::optional<double> rate_max_per_s;
    std::optional<double> temperature_min_K;
    std::optional<double> temperature_max_K;

    bool operator==(const CardValidity&) const = default;
};

/// One printed polymer, SI. The file format is in materials/README.md.
///
/// The law is the instantaneous response (strain faster than the shortest Prony time); the Prony
/// terms take it down to the long-term one. Void fraction is a parameter of the law.
struct PolymerCard {
    std::string name;
    std::string source;       ///< where the card comes from, or "invented for the demo"
    double density_kg_per_m3; ///< of the printed solid, pores included
    AnyLaw law;
    std::vector<PronyTerm> prony;         ///< empty: elastic
    std::optional<MullinsDamage> damage;  ///< of the first loading; unset: none
    std::optional<TimeTemperature> shift; ///< of the Prony times; unset: one temperature only
    CardValidity valid;
    std::optional<double> friction_on_itself; ///< Coulomb coefficient [-]
    std::optional<double> friction_on_platen; ///< Coulomb coefficient [-]
    std::optional<PrintEffects> print;        ///< unset: printed as drawn, isotropic
    /// Source of each value, by the name of its key in the file ("prony" for all terms,
    /// "damage" for all of its values).
    std::map<std::string, std::string, std::less<>> sources;

    /// Throws an input Error naming the value and what would be right; a value without a source and
    /// a source without a value are errors too.
    void check() const;
};

/// Instantaneous moduli (at rest, F near I).
[[nodiscard]] double youngs_modulus_Pa(const PolymerCard& card);
[[nodiscard]] double shear_modulus_Pa(const PolymerCard& card);
[[nodiscard]] double bulk_modulus_Pa(const PolymerCard& card);
[[nodiscard]] double poissons_ratio(const PolymerCard& card);

/// After all branches have relaxed: shear modulus times the long-term share, bulk modulus kept.
[[nodiscard]] double long_term_youngs_modulus_Pa(const PolymerCard& card);
[[nodiscard]] double long_term_shear_modulus_Pa(const PolymerCard& card);

/// Print porosity, from the law [-].
[[nodiscard]] double void_fraction(const PolymerCard& card);

/// The card at another temperature: Prony times times a_T, valid rates over it (a rate at T does
/// what rate times a_T does at the reference). The result has no shift of its own any more. Throws
/// an input Error if the card has no [temperature] or its law does not reach there.
[[nodiscard]] PolymerCard at_temperature(PolymerCard card, double temperature_K);

/// Kind of the law, as in the file: "neo_hookean", "yeoh", ...
[[nodiscard]] std::string_view law_kind(const PolymerCard& card);

/// Keys of the values the card holds, each of which has one line in `sources`.
[[nodiscard]] std::vector<std::string> value_keys(const PolymerCard& card);

/// Values outside what printed elastomers show, one line each; empty when all are plausible.
/// Bands: materials/README.md. Builds a uniaxial table (about 50 ms).
[[nodiscard]] std::vector<std::string> plausibility_notes(const PolymerCard& card);

/// Reads a card. Errors: file, line, column, key, and what would be right.
[[nodiscard]] PolymerCard read_card(const std::filesystem::path& path);

/// The same from text; `name` stands for the file in errors.
[[nodiscard]] PolymerCard parse_card(std::string_view text, const std::string& name);

/// The card as a file; parse_card gives the same card back, every value within one unit in the last
/// place (exactly, for a card that was read from a file).
[[nodiscard]] std::string card_text(const PolymerCard& card);

/// Writes card_text to a file that appears whole or not at all.
void write_card(const PolymerCard& card, const std::filesystem::path& path);

/// Names of the cards built into the program, sorted.
[[nodiscard]] std::vector<std::string> card_names();

/// Text of a built-in card; input Error with the nearest names when there is none.
[[nodiscard]] std::string_view built_in_card_text(std::string_view name);

/// A built-in card by name, or a file: text with a '/' or the ending .toml is a path.
[[nodiscard]] PolymerCard find_card(const std::string& name_or_path);

} // namespace cellgrade
