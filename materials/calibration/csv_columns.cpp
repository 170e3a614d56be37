// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/csv_columns.hpp"

#include <array>
#include <numbers>

namespace cellgrade {

namespace {

struct Unit {
    UnitKind kind;
    std::string_view name;
    double factor;
};

constexpr std::array<Unit, 33> units{{{UnitKind::Strain, "", 1.0},
                                      {UnitKind::Strain, "1", 1.0},
                                      {UnitKind::Strain, "-", 1.0},
                                      {UnitKind::Strain, "percent", 0.01},
                                      {UnitKind::Strain, "%", 0.01},
                                      {UnitKind::Stress, "Pa", 1.0},
                                      {UnitKind::Stress, "kPa", 1e3},
                                      {UnitKind::Stress, "MPa", 1e6},
                                      {UnitKind::Stress, "GPa", 1e9},
                                      {UnitKind::Stress, "N/mm^2", 1e6},
                                      {UnitKind::Time, "s", 1.0},
                                      {UnitKind::Time, "ms", 1e-3},
                                      {UnitKind::Time, "min", 60.0},
                                      {UnitKind::Time, "h", 3600.0},
                                      {UnitKind::Temperature, "C", 1.0},
                                      {UnitKind::Temperature,
                                       "\xC2\xB0"
                                       "C",
                                       1.0},
                                      {UnitKind::Frequency, "Hz", 2.0 * std::numbers::pi},
                                      {UnitKind::Frequency, "kHz", 2e3 * std::numbers::pi},
                                      {UnitKind::AngularFrequency, "rad_per_s", 1.0},
                                      {UnitKind::AngularFrequency, "rad/s", 1.0},
                                      {UnitKind::Number, "", 1.0},
                                      {UnitKind::Number, "-", 1.0},
                                      {UnitKind::Length, "mm", 1e-3},
                                      {UnitKind::Length, "um", 1e-6},
                                      {UnitKind::Length, "cm", 1e-2},
                                      {UnitKind::Length, "m", 1.0},
                                      {UnitKind::Volume, "mm3", 1e-9},
                                      {UnitKind::Volume, "cm3", 1e-6},
                                      {UnitKind::Volume, "ml", 1e-6},
                                      {UnitKind::Volume, "m3", 1.0},
                                      {UnitKind::Mass, "g", 1e-3},
                                      {UnitKind::Mass, "mg", 1e-6},
                                      {UnitKind::Mass, "kg", 1.0}}};

const Unit* find_unit(UnitKind kind, std::string_view name) {
    for (const Unit& unit : units)
        if (unit.kind == kind && unit.name == name)
            return &unit;
    return nullptr;
}

bool is_any_unit(std::string_view name) {
    for (const Unit& unit : units)
        if (unit.name == name)
            return true;
    return false;
}

std::string unit_list(UnitKind kind) {
    std::string text;
    for (const Unit& unit : units)
        if (unit.kind == kind && !unit.name.empty())
            text += (text.empty() ? "" : ", ") + std::string(unit.name);
    return text;
}

/// Rest of a header behind the quantity, without '_'; nothing when the header is another quantity.
std::optional<std::string_view> unit_in_name(std::string_view header, std::string_view quantity) {
    if (!header.starts_with(quantity))
        return std::nullopt;
    header.remove_prefix(quantity.size());
    if (header.empty())
        return header;
    if (!header.starts_with('_'))
        return std::nullopt;
    header.remove_prefix(1);
    return header;
}

} // namespace

std::optional<std::size_t> CsvColumns::find(std::string_view quantity) const {
    std::optional<std::size_t> found;
    for (std::size_t c = 0; c < table_.names.size(); ++c) {
        const auto unit = unit_in_name(table_.names[c], quantity);
        // Another word behind the name is another quantity: strain_rate is no strain.
        if (!unit || !(is_any_unit(*unit) || unit->find('_') == std::string_view::npos))
            continue;
        if (!is_any_unit(*unit) && (*unit == "rate" || *unit == "energy"))
            continue;
        if (found)
            throw error(fmt::format("columns '{}' and '{}' both hold {}; keep one",
                                    table_.names[*found], table_.names[c], quantity));
        found = c;
    }
    return found;
}

bool CsvColumns::has(std::string_view quantity) const {
    return find(quantity).has_value();
}

std::string CsvColumns::header(std::string_view quantity) const {
    const auto column = find(quantity);
    return column ? table_.names[*column] : std::string(quantity);
}

std::vector<double> CsvColumns::values(std::string_view quantity, UnitKind kind) const {
    const auto column = find(quantity);
    if (!column)
        throw error(fmt::format("no column {}{}", quantity, present()));
    std::string unit(*unit_in_name(table_.names[*column], quantity));
    if (unit.empty() && !table_.units.empty())
        unit = table_.units[*column];
    const Unit* known = find_unit(kind, unit);
    if (known == nullptr)
        throw error(fmt::format(
            "column '{}' {}; one of {} is needed at its end", table_.names[*column],
            unit.empty() ? "names no unit" : fmt::format("has the unknown unit '{}'", unit),
            unit_list(kind)));
    std::vector<double> values;
    values.reserve(table_.rows.size());
    for (const TextTable::Row& row : table_.rows)
        values.push_back(known->factor * cell_number(table_, row, *column, file_));
    return values;
}

Error CsvColumns::error(const std::string& what) const {
    return {Fault::Input, what, {.file = file_, .line = table_.header_line, .column = 1}};
}

Error CsvColumns::error_at(std::size_t row, const std::string& what) const {
    return {Fault::Input, what, {.file = file_, .line = table_.rows[row].line, .column = 1}};
}

std::string CsvColumns::present() const {
    if (table_.names.empty())
        return "; the file has no header row";
    std::string text;
    for (const std::string& name : table_.names)
        text += (text.empty() ? "; the file has: " : ", ") + name;
    return text;
}

} // namespace cellgrade
