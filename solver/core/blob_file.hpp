// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <variant>
#include <vector>

namespace cellgrade {

/// One named array to be saved; the bytes are written as they are (NaN payloads survive).
struct BlobArray {
    std::string name; ///< letters, digits, '_', '.', '/', '-'; once in a file
    std::variant<std::span<const double>,
                 std::span<const std::int32_t>,
                 std::span<const std::int64_t>,
                 std::string_view>
        values;
};

/// Structs made only of doubles (node poses, loads) seen as one flat array, for `BlobArray`.
template <class T>
[[nodiscard]] std::span<const double> flat_doubles(std::span<const T> values) {
    static_assert(std::is_trivially_copyable_v<T> && sizeof(T) % sizeof(double) == 0 &&
                  std::is_standard_layout_v<T>);
    return {reinterpret_cast<const double*>(values.data()),
            values.size() * (sizeof(T) / sizeof(double))};
}

/// Named arrays read back from a checkpoint.
///
/// Every read throws an input Error that names the file and the array when it is missing, of
/// another kind or of another length.
class Blob {
public:
    [[nodiscard]] bool has(std::string_view name) const;
    [[nodiscard]] std::vector<double> doubles(std::string_view name) const;
    [[nodiscard]] std::vector<std::int32_t> int32s(std::string_view name) const;
    [[nodiscard]] std::vector<std::int64_t> int64s(std::string_view name) const;
    [[nodiscard]] std::string text(std::string_view name) const;
    /// Fills `out`; its length must be that of the saved array.
    void read_doubles(std::string_view name, std::span<double> out) const;
    /// Fills structs made only of doubles, saved through `flat_doubles`.
    template <class T>
    void read_flat(std::string_view name, std::span<T> out) const {
        static_assert(std::is_trivially_copyable_v<T> && sizeof(T) % sizeof(double) == 0);
        read_bytes(name, "f8", std::as_writable_bytes(out));
    }
    /// Why the older generation was taken; empty when the newest file was whole.
    [[nodiscard]] const std::string& note() const { return note_; }

private:
    friend Blob load_blob(const std::filesystem::path& path, std::string_view schema);

    struct Part {
        std::string kind; ///< f8, i4, i8 or text
        std::size_t start = 0, bytes = 0;
    };
    static Blob parse(const std::filesystem::path& path, std::string_view schema);
    [[nodiscard]] const Part& part(std::string_view name, std::string_view kind) const;
    void read_bytes(std::string_view name, std::string_view kind, std::span<std::byte> out) const;
    template <class T>
    [[nodiscard]] std::vector<T> array(std::string_view name, std::string_view kind) const;

    std::string file_, content_, note_;
    std::map<std::string, Part, std::less<>> parts_;
};

/// Saves arrays as one checkpoint file, whole or not at all, keeping the last one as
/// `PATH.previous`.
///
/// Layout: text header (`cellgrade-blob 1`, `schema NAME`, one line `KIND COUNT NAME` an array,
/// `end`) padded to 64 bytes; then the arrays, little-endian, each padded to 64 bytes; then the
/// checksum line of `publish_file`.
/// @param schema names the content and its version, e.g. "crush-state/3"; no blanks
void save_blob(const std::filesystem::path& path,
               std::string_view schema,
               std::span<const BlobArray> arrays);

/// True when a checkpoint (newest or previous) lies at `path`, whole or not.
[[nodiscard]] bool has_blob(const std::filesystem::path& path);

/// Loads the newest generation whose checksum holds.
///
/// Errors: none is whole (the newest one's fault is named); other schema than asked for (the older
/// generation is not tried then: it would only hide the mismatch).
[[nodiscard]] Blob load_blob(const std::filesystem::path& path, std::string_view schema);

/// Removes both generations; a missing file is no error.
void remove_blob(const std::filesystem::path& path);

} // namespace cellgrade
