// SPDX-License-Identifier: Apache-2.0
#include "materials/print/print_table.hpp"

#include "materials/cards/in_unit.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <string_view>

namespace cellgrade {

namespace {

/// The keys that belong to a value: its standard deviation and its number of readings.
struct ScatterKeys {
    explicit ScatterKeys(std::string_view value_key) {
        const bool mm = value_key.ends_with("_mm");
        const std::string stem(value_key.substr(0, value_key.size() - (mm ? 3 : 0)));
        sd = stem + (mm ? "_sd_mm" : "_sd");
        readings = stem + "_readings";
    }
    std::string sd, readings;
};

/// Readings need the scatter, and the scatter its value, if that stands in the table too.
std::optional<Scatter>
read_scatter(const KeyedTable& t, std::string_view value_key, bool has_value, double unit) {
    const auto [sd_key, readings_key] = ScatterKeys(value_key);
    const bool has_sd = t.has(sd_key), has_readings = t.has(readings_key);
    if (has_readings && !has_sd)
        throw t.error(readings_key, fmt::format("not without {}, which they tell", sd_key));
    if (!has_sd)
        return std::nullopt;
    if (!has_value)
        throw t.error(sd_key, fmt::format("not without {}, which it scatters around", value_key));
    Scatter scatter{.sd = t.number(sd_key) * unit, .readings = {}};
    if (scatter.sd < 0.0)
        throw t.error(sd_key, "0 or a number above is needed");
    if (has_readings) {
        scatter.readings = t.integer(readings_key);
        if (*scatter.readings < 2)
            throw t.error(readings_key, fmt::format("{} readings give no standard deviation; at "
                                                    "least 2 are needed",
                                                    *scatter.readings));
    }
    return scatter;
}

void put(std::string& out, std::string_view key, double value) {
    out += fmt::format("{} = {}\n", key, value);
}

void put_scatter(std::string& out,
                 const std::optional<Scatter>& scatter,
                 std::string_view value_key,
                 double unit) {
    if (!scatter)
        return;
    const ScatterKeys keys(value_key);
    put(out, keys.sd, in_unit(scatter->sd, unit));
    if (scatter->readings)
        out += fmt::format("{} = {}\n", keys.readings, *scatter->readings);
}

void put_value(std::string& out,
               const std::optional<ScatteredValue>& value,
               std::string_view key,
               double unit) {
    if (!value)
        return;
    put(out, key, in_unit(value->mean, unit));
    put_scatter(out, value->scatter, key, unit);
}

} // namespace

std::optional<ScatteredValue>
read_scattered(const KeyedTable& t, std::string_view key, double unit) {
    const std::optional<Scatter> scatter = read_scatter(t, key, t.has(key), unit);
    if (!t.has(key))
        return std::nullopt;
    return ScatteredValue{.mean = t.number(key) * unit, .scatter = scatter};
}

std::optional<PrintEffects> read_print_effects(const KeyedTable& root, double mean_void_fraction) {
    const std::optional<KeyedTable> t = root.optional_table("print");
    if (!t)
        return std::nullopt;
    PrintEffects print{.void_fraction = read_scatter(*t, "void_fraction", true, 1.0),
                       .diameter_offset = read_scattered(*t, "diameter_offset_mm", units::mm),
                       .build_direction_factor = read_scattered(*t, "build_direction_factor", 1.0)};
    t->finish();
    try {
        print.check(mean_void_fraction);
    } catch (const Error& e) {
        throw Error(Fault::Input, e.message(), t->where());
    }
    return print;
}

std::string print_effects_text(const std::optional<PrintEffects>& print) {
    if (!print)
        return "";
    std::string out = "\n[print]\n";
    put_scatter(out, print->void_fraction, "void_fraction", 1.0);
    put_value(out, print->diameter_offset, "diameter_offset_mm", units::mm);
    put_value(out, print->build_direction_factor, "build_direction_factor", 1.0);
    return out;
}

} // namespace cellgrade
