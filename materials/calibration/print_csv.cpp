// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/print_csv.hpp"

#include "materials/calibration/csv_columns.hpp"
#include "materials/calibration/reading_statistics.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>
#include <string_view>

namespace cellgrade {

namespace {

constexpr double inch_over_mm = 25.4;

TextTable read_table(const std::string& text, const std::string& file) {
    TextTable table = read_text_table(text, file);
    if (table.names.empty())
        throw Error(Fault::Input, "no header row; a row of column names with units is needed first",
                    {.file = file, .line = table.rows.front().line, .column = 1});
    return table;
}

void require_two(const TextTable& table, const CsvColumns& columns, const char* what) {
    if (table.rows.size() < 2)
        throw columns.error_at(0, fmt::format("one {} alone tells no scatter; at least two are "
                                              "needed",
                                              what));
}

std::vector<double> positive(const CsvColumns& columns, std::string_view quantity, UnitKind kind) {
    std::vector<double> values = columns.values(quantity, kind);
    for (std::size_t i = 0; i < values.size(); ++i)
        if (!(values[i] > 0.0))
            throw columns.error_at(i, fmt::format("column '{}': a number above 0 is needed",
                                                  columns.header(quantity)));
    return values;
}

/// The column `direction`; all Unsaid where there is none.
std::vector<PrintDirection> directions(const TextTable& table, const CsvColumns& columns) {
    std::vector<PrintDirection> out(table.rows.size(), PrintDirection::Unsaid);
    const auto found = std::find(table.names.begin(), table.names.end(), "direction");
    if (found == table.names.end())
        return out;
    const auto column = static_cast<std::size_t>(found - table.names.begin());
    for (std::size_t i = 0; i < out.size(); ++i) {
        const std::string& cell = table.rows[i].cells.at(column);
        if (cell != "along" && cell != "across")
            throw columns.error_at(i, fmt::format("direction '{}' is not known; along or across "
                                                  "(the build direction) is needed",
                                                  cell));
        out[i] = cell == "along" ? PrintDirection::Along : PrintDirection::Across;
    }
    return out;
}

/// The column `part`; all empty where there is none.
std::vector<std::string> parts(const TextTable& table, const CsvColumns& columns) {
    std::vector<std::string> out(table.rows.size());
    const auto found = std::find(table.names.begin(), table.names.end(), "part");
    if (found == table.names.end())
        return out;
    const auto column = static_cast<std::size_t>(found - table.names.begin());
    for (std::size_t i = 0; i < out.size(); ++i) {
        out[i] = table.rows[i].cells.at(column);
        if (out[i].empty())
            throw columns.error_at(i, "part: empty; a name of the print is needed");
    }
    const std::set<std::string> names(out.begin(), out.end());
    if (names.size() < 2 || names.size() == out.size())
        throw columns.error(
            fmt::format("column part: {} readings on {} prints; at least two prints, and two "
                        "readings on one of "
                        "them, tell scatter from print to print (or leave the column out)",
                        out.size(), names.size()));
    return out;
}

void refuse_wrong_sizes(const CsvColumns& columns,
                        const std::vector<double>& drawn,
                        const std::vector<double>& measured) {
    std::vector<double> ratio;
    for (std::size_t i = 0; i < drawn.size(); ++i)
        ratio.push_back(measured[i] / drawn[i]);
    const double middle = median(ratio);
    const bool inches =
        std::abs(middle * inch_over_mm - 1.0) < 0.3 || std::abs(middle / inch_over_mm - 1.0) < 0.3;
    if (middle < 0.5 || middle > 2.0)
        throw columns.error(fmt::format("measured sizes are {:.3g} times the drawn ones: {}",
                                        middle,
                                        inches ? "inches under a header that says mm?"
                                               : "is a unit wrong, or are they other struts?"));
    const std::set<double> of_drawn(drawn.begin(), drawn.end());
    const std::set<double> of_measured(measured.begin(), measured.end());
    if (of_drawn.size() > 2 * of_measured.size())
        throw columns.error(fmt::format(
            "{} different drawn sizes and only {} measured ones: sizes are drawn alike and scatter "
            "when measured; are the columns swapped?",
            of_drawn.size(), of_measured.size()));
}

std::vector<double> volumes(const CsvColumns& columns) {
    if (columns.has("volume"))
        return positive(columns, "volume", UnitKind::Volume);
    const bool block = columns.has("length") && columns.has("width") && columns.has("height");
    const bool cylinder = columns.has("diameter") && columns.has("height");
    if (!block && !cylinder)
        throw columns.error("no outer volume: volume_mm3, or length_mm, width_mm and height_mm, or "
                            "diameter_mm and height_mm are needed" +
                            columns.present());
    std::vector<double> v = positive(columns, "height", UnitKind::Length);
    const std::vector<double> a =
        positive(columns, block ? "length" : "diameter", UnitKind::Length);
    const std::vector<double> b = block ? positive(columns, "width", UnitKind::Length) : a;
    for (std::size_t i = 0; i < v.size(); ++i)
        v[i] *= a[i] * b[i] * (block ? 1.0 : 0.25 * std::numbers::pi);
    return v;
}

} // namespace

std::vector<CalliperReading> parse_calliper_csv(const std::string& text, const std::string& file) {
    const TextTable table = read_table(text, file);
    const CsvColumns columns(table, file);
    const std::vector<double> drawn = positive(columns, "drawn", UnitKind::Length);
    const std::vector<double> measured = positive(columns, "measured", UnitKind::Length);
    const std::vector<PrintDirection> direction = directions(table, columns);
    require_two(table, columns, "reading");
    const std::vector<std::string> part = parts(table, columns);
    refuse_wrong_sizes(columns, drawn, measured);
    std::vector<CalliperReading> readings;
    for (std::size_t i = 0; i < drawn.size(); ++i)
        readings.push_back({drawn[i], measured[i], direction[i], part[i], table.rows[i].line});
    return readings;
}

std::vector<WeighedCoupon> parse_weighed_csv(const std::string& text, const std::string& file) {
    const TextTable table = read_table(text, file);
    const CsvColumns columns(table, file);
    const std::vector<double> mass = positive(columns, "mass", UnitKind::Mass);
    const std::vector<double> volume = volumes(columns);
    require_two(table, columns, "coupon");
    std::vector<WeighedCoupon> coupons;
    for (std::size_t i = 0; i < mass.size(); ++i) {
        const double density = mass[i] / volume[i];
        if (!(density > 100.0 && density < 5000.0))
            throw columns.error_at(i, fmt::format("{:.4g} kg/m3 is the density of no printed "
                                                  "polymer (100 to 5000); are mass in g and sizes "
                                                  "in mm as the header says, and the columns not "
                                                  "swapped?",
                                                  density));
        coupons.push_back({mass[i], volume[i], table.rows[i].line});
    }
    return coupons;
}

std::vector<DirectionReading> parse_direction_csv(const std::string& text,
                                                  const std::string& file) {
    const TextTable table = read_table(text, file);
    const CsvColumns columns(table, file);
    if (std::find(table.names.begin(), table.names.end(), "direction") == table.names.end())
        throw columns.error("no column direction (along or across the build direction)" +
                            columns.present());
    if (!columns.has("modulus") && !columns.has("nominal_stress"))
        throw columns.error("no column modulus_MPa or nominal_stress_MPa" + columns.present());
    const std::vector<double> value =
        positive(columns, columns.has("modulus") ? "modulus" : "nominal_stress", UnitKind::Stress);
    const std::vector<PrintDirection> direction = directions(table, columns);
    double sum[2] = {0.0, 0.0};
    int n[2] = {0, 0};
    std::vector<DirectionReading> readings;
    for (std::size_t i = 0; i < value.size(); ++i) {
        const int side = direction[i] == PrintDirection::Along ? 0 : 1;
        sum[side] += value[i];
        ++n[side];
        readings.push_back({value[i], direction[i], table.rows[i].line});
    }
    for (const int side : {0, 1})
        if (n[side] < 2)
            throw columns.error(fmt::format("{} coupons {} the build direction; at least two are "
                                            "needed in each direction",
                                            n[side], side == 0 ? "along" : "across"));
    const double ratio = sum[0] / n[0] / (sum[1] / n[1]);
    if (!(ratio >= 0.05 && ratio <= 5.0))
        throw columns.error(fmt::format("the mean along is {:.3g} of that across, 0.05 to 5 is "
                                        "possible; is a unit wrong?",
                                        ratio));
    return readings;
}

} // namespace cellgrade
