// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/error.hpp"
#include "solver/core/types.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// One table of a TOML file: typed reads that remember which keys were asked for.
///
/// Every read that fails throws an input Error with file, line, column and key. `finish()` throws
/// for the first key that nobody asked for, with the nearest known one. Numbers must be finite;
/// integers are taken where numbers are asked for. Cheap to copy; the file's tree stays alive with
/// it.
class KeyedTable {
public:
    [[nodiscard]] bool has(std::string_view key) const;

    [[nodiscard]] double number(std::string_view key) const;
    [[nodiscard]] double number_or(std::string_view key, double fallback) const;
    /// A number that must be > 0.
    [[nodiscard]] double positive(std::string_view key) const;
    [[nodiscard]] double positive_or(std::string_view key, double fallback) const;
    [[nodiscard]] Index integer(std::string_view key) const;
    [[nodiscard]] Index integer_or(std::string_view key, Index fallback) const;
    [[nodiscard]] bool flag_or(std::string_view key, bool fallback) const;
    [[nodiscard]] std::string text(std::string_view key) const;
    [[nodiscard]] std::string text_or(std::string_view key, std::string_view fallback) const;
    /// One of `allowed`, else an error that names the nearest.
    [[nodiscard]] std::string choice(std::string_view key,
                                     const std::vector<std::string>& allowed) const;
    [[nodiscard]] std::string choice_or(std::string_view key,
                                        const std::vector<std::string>& allowed,
                                        std::string_view fallback) const;

    [[nodiscard]] std::vector<double> numbers(std::string_view key) const;
    [[nodiscard]] std::vector<std::string> texts(std::string_view key) const;
    /// Rows of `width` numbers each: [[..],[..]].
    [[nodiscard]] std::vector<std::vector<double>> rows(std::string_view key,
                                                        std::size_t width) const;
    /// Rows of `width` integers each.
    [[nodiscard]] std::vector<std::vector<Index>> integer_rows(std::string_view key,
                                                               std::size_t width) const;

    [[nodiscard]] KeyedTable table(std::string_view key) const;
    [[nodiscard]] std::optional<KeyedTable> optional_table(std::string_view key) const;
    /// An array of tables ([[key]]); empty when the key is absent.
    [[nodiscard]] std::vector<KeyedTable> tables(std::string_view key) const;

    /// Throws for the first key, in file order, that no read above has asked for.
    void finish() const;

    /// Keys of this table, sorted.
    [[nodiscard]] std::vector<std::string> keys() const;
    /// Place of a key (or of the table itself, key empty), for errors found later.
    [[nodiscard]] Where where(std::string_view key = {}) const;
    /// Place of element `i` of the array at `key`.
    [[nodiscard]] Where where(std::string_view key, std::size_t i) const;
    /// Input error at a key.
    [[nodiscard]] Error error(std::string_view key, const std::string& message) const;

    /// Opaque; defined in the source file so that the TOML library stays behind this wall.
    struct State;
    explicit KeyedTable(std::shared_ptr<State> state) : state_(std::move(state)) {}

private:
    std::shared_ptr<State> state_;
};

/// Reads a TOML 1.0 file. Errors: unreadable file, syntax (with line and column).
[[nodiscard]] KeyedTable read_keyed_file(const std::filesystem::path& path);

/// The same from text; `name` stands for the file in errors.
[[nodiscard]] KeyedTable parse_keyed_text(std::string_view text, const std::string& name);

/// Whole content of a file; input Error with the system's reason when it cannot be read.
[[nodiscard]] std::string read_text_file(const std::filesystem::path& path);

} // namespace cellgrade
