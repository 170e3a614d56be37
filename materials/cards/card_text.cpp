// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/in_unit.hpp"
#include "materials/cards/polymer_card.hpp"
#include "materials/print/print_table.hpp"
#include "solver/core/units.hpp"

#include <cerrno>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <system_error>

namespace cellgrade {

namespace {

// The shortest number of degrees Celsius that gives the kelvins back.
double in_celsius(double kelvin) {
    const double rough = kelvin - units::zero_C;
    for (int digits = 1; digits < 17; ++digits) {
        const double shorter = std::strtod(fmt::format("{:.{}g}", rough, digits).c_str(), nullptr);
        if (shorter + units::zero_C == kelvin)
            return shorter;
    }
    return rough;
}

std::optional<double> in_celsius(const std::optional<double>& kelvin) {
    return kelvin ? std::optional(in_celsius(*kelvin)) : std::nullopt;
}

// TOML basic string.
std::string toml_string(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        const auto code = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\')
            out += {'\\', c};
        else if (c == '\n')
            out += "\\n";
        else if (code < 0x20 || code == 0x7f)
            out += fmt::format("\\u{:04X}", code);
        else
            out += c;
    }
    return out + "\"";
}

// fmt writes the shortest digits that read back as the same double.
void put(std::string& out, std::string_view key, double value) {
    out += fmt::format("{} = {}\n", key, value);
}

void put(std::string& out, std::string_view key, const std::optional<double>& value) {
    if (value)
        put(out, key, *value);
}

void put_law(std::string& out, const AnyLaw& any) {
    std::visit(
        [&]<class Law>(const Law& law) {
            out += fmt::format("\n[law]\nkind = \"{}\"\n", Law::kind);
            for (const auto& p : Law::parameters())
                if (is_given(law, p))
                    put(out, p.key, in_unit(law.*p.member, p.to_SI));
        },
        any);
}

void put_tables(std::string& out, const PolymerCard& card) {
    for (const PronyTerm& term : card.prony) {
        out += "\n[[prony]]\n";
        put(out, "share", term.share);
        put(out, "time_s", term.time_s);
    }
    if (card.damage) {
        out += "\n[damage]\n";
        put(out, "r", card.damage->r);
        put(out, "m_kJ_per_m3", in_unit(card.damage->m, units::kJ_per_m3));
        put(out, "beta", card.damage->beta);
    }
    if (card.shift) {
        const TimeTemperature& shift = *card.shift;
        const bool wlf = shift.kind == TimeTemperature::Kind::Wlf;
        out += fmt::format("\n[temperature]\nlaw = \"{}\"\n", wlf ? "wlf" : "arrhenius");
        put(out, "reference_C", in_celsius(shift.reference_K));
        if (wlf) {
            put(out, "c1", shift.c1);
            put(out, "c2_K", shift.c2_K);
        } else {
            put(out, "activation_energy_kJ_per_mol",
                in_unit(shift.activation_energy_J_per_mol, 1e3));
        }
    }
    if (card.valid != CardValidity{}) {
        out += "\n[valid]\n";
        put(out, "stretch_min", card.valid.stretch_min);
        put(out, "stretch_max", card.valid.stretch_max);
        put(out, "rate_min_per_s", card.valid.rate_min_per_s);
        put(out, "rate_max_per_s", card.valid.rate_max_per_s);
        put(out, "temperature_min_C", in_celsius(card.valid.temperature_min_K));
        put(out, "temperature_max_C", in_celsius(card.valid.temperature_max_K));
    }
    if (card.friction_on_itself || card.friction_on_platen) {
        out += "\n[friction]\n";
        put(out, "coefficient_on_itself", card.friction_on_itself);
        put(out, "coefficient_on_platen", card.friction_on_platen);
    }
    out += print_effects_text(card.print);
    out += "\n[sources]\n";
    for (const auto& [key, source] : card.sources)
        out += fmt::format("{} = {}\n", key, toml_string(source));
}

} // namespace

std::string card_text(const PolymerCard& card) {
    card.check();
    std::string out = fmt::format("schema = 1\nname = {}\nsource = {}\n", toml_string(card.name),
                                  toml_string(card.source));
    put(out, "density_kg_per_m3", card.density_kg_per_m3);
    put_law(out, card.law);
    put_tables(out, card);
    return out;
}

void write_card(const PolymerCard& card, const std::filesystem::path& path) {
    const std::string text = card_text(card);
    std::filesystem::path partial = path;
    partial += ".partial-card";
    std::FILE* file = std::fopen(partial.c_str(), "wb");
    const bool written =
        file != nullptr && std::fwrite(text.data(), 1, text.size(), file) == text.size();
    int reason = errno;
    const bool closed = file != nullptr && std::fclose(file) == 0;
    if (written && !closed)
        reason = errno;
    std::error_code failed;
    if (written && closed)
        std::filesystem::rename(partial, path, failed);
    if (!written || !closed || failed) {
        std::error_code ignored;
        std::filesystem::remove(partial, ignored);
        throw Error(
            Fault::Input,
            fmt::format("cannot be written: {}", failed ? failed.message() : std::strerror(reason)),
            {.file = path.string(), .key = {}});
    }
}

} // namespace cellgrade
