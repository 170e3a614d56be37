// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

/// The only place of the project that sees HDF5. Files are built and parsed in memory, so that the
/// disk is touched by `publish_file` and `read_checked_file` alone: no half file, no lock, the
/// system's own reason when the disk is full, and the library never opens a file whose checksum
/// does not hold. Use from one thread at a time. Every failure throws an input Error of one line.
namespace cellgrade::h5 {

/// One column of a table; every column has one value a row.
struct Column {
    std::string name; ///< ends in its unit
    std::string units;
    /// f8, i8, u1, or text of fixed width in the file (the longest of the column, at least 32)
    std::variant<std::vector<double>,
                 std::vector<std::int64_t>,
                 std::vector<std::uint8_t>,
                 std::vector<std::string>>
        values;
};

/// A table in the file: one 1-D compound dataset, columns in the order given.
struct Table {
    std::vector<Column> columns;
    [[nodiscard]] std::size_t rows() const;
    /// Throws when the column is missing or of another kind; `file` goes into the message.
    [[nodiscard]] const std::vector<double>& numbers(const std::string& name) const;
    [[nodiscard]] const std::vector<std::int64_t>& integers(const std::string& name) const;
    [[nodiscard]] const std::vector<std::uint8_t>& flags(const std::string& name) const;
    [[nodiscard]] const std::vector<std::string>& texts(const std::string& name) const;
};

/// Size of a dataset, rows first, and how it is stored.
struct Shape {
    std::vector<std::uint64_t> dims;
    std::uint64_t chunk_rows = 0; ///< 0: as many as fit into 512 KiB
    bool deflate = false;         ///< shuffle and deflate level 1 (frames only)
};

/// Number types of a dataset.
using Numbers = std::variant<std::span<const double>,
                             std::span<const float>,
                             std::span<const std::int64_t>,
                             std::span<const std::int32_t>,
                             std::span<const std::uint8_t>>;

/// A file being built in memory: format bounds V18, every dataset chunked with Fletcher-32, no time
/// stamps, so the same content gives the same bytes.
class Writer {
public:
    Writer();
    Writer(const Writer&) = delete;
    Writer& operator=(const Writer&) = delete;
    Writer(Writer&&) = delete;
    Writer& operator=(Writer&&) = delete;
    ~Writer();

    /// Creates a group; the groups above it must exist.
    void group(const std::string& path);
    /// Writes a dataset whole; row-major.
    void dataset(const std::string& path, const Numbers& values, const Shape& shape);
    /// 1-D f8 dataset with attribute `units`.
    void column(const std::string& path, std::span<const double> values, const std::string& units);
    /// Compound table with attribute `units`, one text a field in field order.
    void table(const std::string& path, const Table& table);

    /// Attributes of a group or dataset; text is a scalar UTF-8 string of variable length.
    void text(const std::string& path, const std::string& name, const std::string& value);
    void
    texts(const std::string& path, const std::string& name, const std::vector<std::string>& value);
    void number(const std::string& path, const std::string& name, double value);
    void integer(const std::string& path, const std::string& name, std::int64_t value);
    void integers(const std::string& path,
                  const std::string& name,
                  const std::vector<std::int64_t>& value);
    /// ASCII text of fixed length without padding, which some viewers ask for.
    void fixed_text(const std::string& path, const std::string& name, const std::string& value);

    /// Makes `scale` the dimension scale of axis `axis` of `dataset` and labels that axis.
    void attach_scale(const std::string& dataset,
                      unsigned axis,
                      const std::string& scale,
                      const std::string& label);

    /// Closes the file in memory and publishes it with a checksum line. The writer is then empty.
    void publish(const std::filesystem::path& path);

private:
    std::string image_; ///< the file's bytes, grown by the library
    std::int64_t file_;
};

/// A finished file, read whole, its checksum compared before the library sees it.
class Reader {
public:
    explicit Reader(const std::filesystem::path& path);
    Reader(const Reader&) = delete;
    Reader& operator=(const Reader&) = delete;
    Reader(Reader&&) = delete;
    Reader& operator=(Reader&&) = delete;
    ~Reader();

    [[nodiscard]] bool has(const std::string& path) const;
    [[nodiscard]] bool has_attribute(const std::string& path, const std::string& name) const;
    /// Names in a group, in alphabetical order.
    [[nodiscard]] std::vector<std::string> names(const std::string& group) const;
    [[nodiscard]] std::vector<std::uint64_t> dims(const std::string& path) const;
    /// All values of a dataset, row-major, converted to the type asked for.
    [[nodiscard]] std::vector<double> doubles(const std::string& path) const;
    [[nodiscard]] std::vector<std::int64_t> integers(const std::string& path) const;
    [[nodiscard]] Table table(const std::string& path) const;

    [[nodiscard]] std::string text(const std::string& path, const std::string& name) const;
    [[nodiscard]] std::vector<std::string> texts(const std::string& path,
                                                 const std::string& name) const;
    [[nodiscard]] double number(const std::string& path, const std::string& name) const;
    [[nodiscard]] std::vector<std::int64_t> integers(const std::string& path,
                                                     const std::string& name) const;
    /// Names of the attributes of an object, in alphabetical order.
    [[nodiscard]] std::vector<std::string> attributes(const std::string& path) const;

    /// Refuses a file of another schema and one of a newer major version, or of one older than
    /// `oldest_major` (0: than `major`); both are named. A newer minor version is accepted.
    /// @return [major, minor] of the file
    [[nodiscard]] std::pair<int, int>
    check_schema(const std::string& schema, int major, int oldest_major = 0) const;
    [[nodiscard]] const std::string& file_name() const { return name_; }

private:
    [[nodiscard]] std::int64_t open_attribute(const std::string& path,
                                              const std::string& name) const;
    std::string name_;
    std::string image_;
    std::int64_t file_;
};

/// Version of the library in use, e.g. "1.10.8".
[[nodiscard]] std::string library_version();

} // namespace cellgrade::h5
