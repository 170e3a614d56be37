// SPDX-License-Identifier: Apache-2.0
#include "solver/results/curve_csv.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/text_table.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>
#include <span>
#include <string_view>

namespace cellgrade {

namespace {

struct Unit {
    std::string_view name; ///< lower case, as it may stand in a header
    double factor;         ///< to SI
};

constexpr std::array<Unit, 7> strain_units{{{"-", 1.0},
                                            {"1", 1.0},
                                            {"mm/mm", 1.0},
                                            {"m/m", 1.0},
                                            {"%", 1e-2},
                                            {"percent", 1e-2},
                                            {"pct", 1e-2}}};
// psi: 0.45359237 kg x 9.80665 m/s^2 / (0.0254 m)^2, exact by the definitions of pound and inch.
constexpr std::array<Unit, 8> stress_units{{{"pa", 1.0},
                                            {"kpa", 1e3},
                                            {"mpa", 1e6},
                                            {"gpa", 1e9},
                                            {"n/mm^2", 1e6},
                                            {"n/mm2", 1e6},
                                            {"n/mm\xC2\xB2", 1e6},
                                            {"psi", 0.45359237 * 9.80665 / (0.0254 * 0.0254)}}};
constexpr std::array<Unit, 2> force_units{{{"n", 1.0}, {"kn", 1e3}}};
constexpr std::array<Unit, 4> length_units{
    {{"mm", 1e-3}, {"m", 1.0}, {"um", 1e-6}, {"\xC2\xB5m", 1e-6}}};

struct Role {
    const char* name;
    std::array<std::string_view, 7> words; ///< empty entries are not used
    std::span<const Unit> units;
};

const Role strain_role{"strain", {"strain"}, strain_units};
const Role stress_role{"stress", {"stress"}, stress_units};
const Role force_role{"force", {"force", "load"}, force_units};
const Role displacement_role{
    "displacement",
    {"displacement", "shortening", "extension", "stroke", "travel", "crosshead", "deflection"},
    length_units};

struct Quantity {
    std::size_t column;
    std::optional<double> factor; ///< to SI; absent when the file names no unit
};

std::string lower(std::string text) {
    for (char& c : text)
        c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return text;
}

Error header_error(const TextTable& table, const std::string& file, const std::string& what) {
    return {Fault::Input, what, {.file = file, .line = table.header_line, .column = 1}};
}

bool names_role(const std::string& header, const Role& role) {
    const std::string name = lower(header);
    return std::any_of(role.words.begin(), role.words.end(), [&](std::string_view word) {
        return !word.empty() && name.find(word) != std::string::npos;
    });
}

/// "nominal" curves are asked for; a true or logarithmic measure under that name would mislead.
bool is_other_measure(const std::string& header) {
    const std::string name = lower(header);
    for (const char* word : {"true", "log", "hencky", "rate", "unloading"})
        if (name.find(word) != std::string::npos)
            return true;
    return false;
}

/// Unit text of a column: from the second header row, brackets, or after the last '_' or blank.
std::string unit_text(const TextTable& table, std::size_t column) {
    if (!table.units.empty()) {
        std::string unit = lower(table.units[column]);
        std::erase_if(unit, [](char c) {
            return std::string_view("[]() ").find(c) != std::string_view::npos;
        });
        return unit;
    }
    const std::string name = lower(table.names[column]);
    const std::size_t open = name.find_first_of("[("), close = name.find_last_of("])");
    if (open != std::string::npos && close != std::string::npos && close > open) {
        std::string unit = name.substr(open + 1, close - open - 1);
        std::erase(unit, ' ');
        return unit;
    }
    if (name.ends_with('%'))
        return "%";
    const std::size_t cut = name.find_last_of("_ ,/");
    return cut == std::string::npos ? "" : name.substr(cut + 1);
}

std::string unit_list(std::span<const Unit> units) {
    std::string text;
    for (const Unit& unit : units)
        text += (text.empty() ? "" : ", ") + std::string(unit.name);
    return text;
}

std::optional<Quantity>
find_quantity(const TextTable& table, const Role& role, const std::string& file) {
    std::optional<Quantity> found;
    for (std::size_t c = 0; c < table.names.size(); ++c) {
        if (!names_role(table.names[c], role) || is_other_measure(table.names[c]))
            continue;
        if (found)
            throw header_error(table, file,
                               fmt::format("columns '{}' and '{}' could both be the {}; keep one",
                                           table.names[found->column], table.names[c], role.name));
        found = Quantity{c, std::nullopt};
    }
    if (!found)
        return found;
    const std::string unit = unit_text(table, found->column);
    for (const Unit& known : role.units)
        if (known.name == unit)
            found->factor = known.factor;
    const bool in_brackets = table.names[found->column].find_first_of("[(") != std::string::npos;
    if (!found->factor && !unit.empty() && (in_brackets || !table.units.empty()))
        throw header_error(table, file,
                           fmt::format("column '{}': unknown unit '{}'; one of: {}",
                                       table.names[found->column], unit, unit_list(role.units)));
    return found;
}

std::vector<double>
column_values(const TextTable& table, std::size_t column, const std::string& file) {
    std::vector<double> values;
    for (const TextTable::Row& row : table.rows)
        values.push_back(cell_number(table, row, column, file));
    return values;
}

void scale(std::vector<double>& values, double factor) {
    for (double& value : values)
        value *= factor;
}

/// Compression is positive here; test machines often count it negative.
void turn_sign(std::vector<double>& values, const char* what, std::vector<std::string>& notes) {
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    if (-*least <= *most)
        return;
    scale(values, -1.0);
    notes.push_back(fmt::format("{} counts compression negative: sign turned", what));
}

double strain_factor(const TextTable& table,
                     const Quantity& quantity,
                     const std::vector<double>& values,
                     const std::string& file,
                     std::vector<std::string>& notes) {
    if (quantity.factor)
        return *quantity.factor;
    const double largest =
        std::abs(*std::max_element(values.begin(), values.end(),
                                   [](double a, double b) { return std::abs(a) < std::abs(b); }));
    // A specimen cannot be shortened by its whole height, and no crush ends below 5 %.
    if (largest < 1.0) {
        notes.emplace_back("strain has no unit: taken as a fraction (largest below 1)");
        return 1.0;
    }
    if (largest >= 5.0 && largest < 100.0) {
        notes.emplace_back("strain has no unit: taken as per cent (largest above 5)");
        return 1e-2;
    }
    throw header_error(table, file,
                       fmt::format("column '{}' reaches {} and names no unit; write strain [-] or "
                                   "strain [%]",
                                   table.names[quantity.column], largest));
}

struct Columns {
    std::vector<double> strain, stress;
};

double needed_factor(const TextTable& table,
                     const Quantity& quantity,
                     const Role& role,
                     const std::string& file) {
    if (!quantity.factor)
        throw header_error(table, file,
                           fmt::format("column '{}' names no unit; add one of: {}",
                                       table.names[quantity.column], unit_list(role.units)));
    return *quantity.factor;
}

double needed_size(const std::optional<double>& size,
                   const char* quantity,
                   const char* what,
                   const std::string& file) {
    if (!size)
        throw Error(Fault::Input,
                    fmt::format("holds {} and not a nominal measure; give the specimen's {}",
                                quantity, what),
                    {.file = file});
    CELLGRADE_CHECK(std::isfinite(*size) && *size > 0.0, "the specimen's {} must be above 0", what);
    return *size;
}

std::vector<double> read_strain(const TextTable& table,
                                const std::string& file,
                                const SpecimenSize& size,
                                std::vector<std::string>& notes) {
    if (const auto strain = find_quantity(table, strain_role, file)) {
        std::vector<double> values = column_values(table, strain->column, file);
        scale(values, strain_factor(table, *strain, values, file, notes));
        notes.push_back(fmt::format("nominal strain from '{}'", table.names[strain->column]));
        return values;
    }
    const auto displacement = find_quantity(table, displacement_role, file);
    if (!displacement)
        throw header_error(table, file,
                           "no column of nominal strain or displacement; name one, for example "
                           "nominal_strain or displacement_mm");
    const double height = needed_size(size.height_m, "displacement", "initial height", file);
    std::vector<double> values = column_values(table, displacement->column, file);
    scale(values, needed_factor(table, *displacement, displacement_role, file) / height);
    notes.push_back(
        fmt::format("nominal strain from '{}' / {} m", table.names[displacement->column], height));
    return values;
}

std::vector<double> read_stress(const TextTable& table,
                                const std::string& file,
                                const SpecimenSize& size,
                                std::vector<std::string>& notes) {
    if (const auto stress = find_quantity(table, stress_role, file)) {
        std::vector<double> values = column_values(table, stress->column, file);
        scale(values, needed_factor(table, *stress, stress_role, file));
        notes.push_back(fmt::format("nominal stress from '{}'", table.names[stress->column]));
        return values;
    }
    const auto force = find_quantity(table, force_role, file);
    if (!force)
        throw header_error(table, file,
                           "no column of nominal stress or force; name one, for example "
                           "nominal_stress_MPa or force_N");
    const double area = needed_size(size.gross_area_m2, "force", "gross area", file);
    std::vector<double> values = column_values(table, force->column, file);
    scale(values, needed_factor(table, *force, force_role, file) / area);
    notes.push_back(
        fmt::format("nominal stress from '{}' / {} m^2", table.names[force->column], area));
    return values;
}

/// Rows of one branch in which the strain moves on; `sign` is +1 for loading, -1 for unloading.
/// A step back by more than 1 % of the range is another load cycle.
std::vector<std::size_t> advancing_rows(const std::vector<double>& strain,
                                        std::size_t first,
                                        std::size_t end,
                                        double sign,
                                        double range,
                                        const TextTable& table,
                                        const std::string& file) {
    std::vector<std::size_t> kept;
    double furthest = -std::numeric_limits<double>::infinity();
    for (std::size_t i = first; i < end; ++i) {
        const double here = sign * strain[i];
        if (here < furthest - 0.01 * range)
            throw Error(Fault::Input,
                        fmt::format("the strain turns round before its largest value or more than "
                                    "once ({} after {}); one loading and at most one unloading "
                                    "are read",
                                    strain[i], sign * furthest),
                        {.file = file, .line = table.rows[i].line, .column = 1});
        if (here <= furthest)
            continue;
        furthest = here;
        kept.push_back(i);
    }
    return kept;
}

CrushCurve sorted_branches(const Columns& columns,
                           const TextTable& table,
                           const std::string& file,
                           std::vector<std::string>& notes) {
    const std::vector<double>& strain = columns.strain;
    const auto [least, most] = std::minmax_element(strain.begin(), strain.end());
    const double range = *most - *least;
    if (!(range > 0.0) || strain.size() < 2)
        throw Error(Fault::Input,
                    "at least two rows of different strain are needed to make a curve",
                    {.file = file, .line = table.rows.back().line, .column = 1});
    if (*most >= 1.0)
        throw Error(Fault::Input,
                    fmt::format("a nominal strain of {} is not possible in compression; is it in "
                                "per cent, or the height wrong?",
                                *most),
                    {.file = file,
                     .line = table.rows[static_cast<std::size_t>(most - strain.begin())].line,
                     .column = 1});
    const auto peak = static_cast<std::size_t>(most - strain.begin());
    const auto up = advancing_rows(strain, 0, peak + 1, 1.0, range, table, file);
    if (up.size() < 2)
        throw Error(Fault::Input,
                    "the strain falls from its first row on; the loading must come first",
                    {.file = file, .line = table.rows.front().line, .column = 1});
    const auto down = advancing_rows(strain, peak + 1, strain.size(), -1.0, range, table, file);
    CrushCurve curve;
    for (const auto* branch : {&up, &down})
        for (const std::size_t i : *branch) {
            curve.nominal_strain.push_back(strain[i]);
            curve.nominal_stress_Pa.push_back(columns.stress[i]);
        }
    curve.turn = static_cast<Index>(up.size());
    if (!down.empty())
        notes.push_back(fmt::format("strain falls from line {} on: taken as unloading ({} rows)",
                                    table.rows[peak + 1].line, down.size()));
    if (const std::size_t dropped = strain.size() - up.size() - down.size(); dropped > 0)
        notes.push_back(
            fmt::format("{} rows in which the strain did not move on were left out", dropped));
    return curve;
}

} // namespace

ReadCurve
parse_curve_csv(const std::string& text, const std::string& file, const SpecimenSize& size) {
    const TextTable table = read_text_table(text, file);
    if (table.names.empty())
        throw Error(Fault::Input,
                    "no header row; name the columns with their units, for example "
                    "nominal_strain,nominal_stress_MPa",
                    {.file = file, .line = table.rows.front().line, .column = 1});
    ReadCurve read{.notes = table.notes};
    Columns columns{.strain = read_strain(table, file, size, read.notes),
                    .stress = read_stress(table, file, size, read.notes)};
    turn_sign(columns.strain, "strain", read.notes);
    turn_sign(columns.stress, "stress", read.notes);
    read.curve = sorted_branches(columns, table, file, read.notes);
    return read;
}

ReadCurve read_curve_csv(const std::filesystem::path& path, const SpecimenSize& size) {
    return parse_curve_csv(read_text_file(path), path.string(), size);
}

} // namespace cellgrade
