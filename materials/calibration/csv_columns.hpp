// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/text_table.hpp"

#include "solver/core/error.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// What a unit measures.
enum class UnitKind {
    Strain,
    Stress,
    Time,
    Temperature,
    Frequency,
    AngularFrequency,
    Number,
    Length,
    Volume,
    Mass
};

/// Columns of a delimited file by quantity and unit: `nominal_stress_MPa`, or `nominal_stress` with
/// MPa in a second header row.
class CsvColumns {
public:
    CsvColumns(const TextTable& table, const std::string& file) : table_(table), file_(file) {}

    [[nodiscard]] bool has(std::string_view quantity) const;
    /// Values in SI (temperature in deg C). Errors: column twice, no or unknown unit, no number.
    [[nodiscard]] std::vector<double> values(std::string_view quantity, UnitKind kind) const;
    /// Header of the column, for messages.
    [[nodiscard]] std::string header(std::string_view quantity) const;
    /// Error at the header row.
    [[nodiscard]] Error error(const std::string& what) const;
    /// Error at the row of a value.
    [[nodiscard]] Error error_at(std::size_t row, const std::string& what) const;
    /// "; the file has: a, b".
    [[nodiscard]] std::string present() const;

private:
    [[nodiscard]] std::optional<std::size_t> find(std::string_view quantity) const;

    const TextTable& table_;
    const std::string& file_;
};

} // namespace cellgrade
