// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/sha256.hpp"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <string_view>

namespace cellgrade {

/// Whether a published file ends in a line that proves it whole.
///
/// The line is 128 bytes long, padded with blanks before its newline:
///   cellgrade-checksum sha256 HEX LENGTH
/// HEX is the SHA-256 of the LENGTH bytes before it, so `head -c LENGTH FILE | sha256sum` checks it
/// without this program.
enum class Trailer { None, Checksum };

/// Where the content of a file goes while it is being published. Every failure to write throws an
/// input Error with the system's reason. Unbuffered: hand it large pieces.
class FileSink {
public:
    FileSink(int descriptor, const std::filesystem::path& target);

    void write(std::span<const std::byte> bytes);
    void write(std::string_view text);
    /// The checksum line over everything written so far.
    void write_trailer();

private:
    int descriptor_;
    const std::filesystem::path& target_;
    Sha256 hash_;
    std::uint64_t length_ = 0;
};

/// Writes a file so that it appears whole or not at all, also through a kill or a full disk.
///
/// Content goes to `.NAME.partial-PID` beside `path`, is flushed to the disk and renamed over
/// `path`; then the folder is flushed. On any failure the partial file is removed, an older file at
/// `path` stays as it was, and an input Error names the path and the system's reason. A symbolic
/// link is followed; a device, pipe or folder at `path` is refused. One thread a path.
void publish_file(const std::filesystem::path& path,
                  const std::function<void(FileSink&)>& write,
                  Trailer trailer = Trailer::None);

/// `publish_file` of one text.
void publish_text(const std::filesystem::path& path, std::string_view text);

/// `publish_file` for libraries that want a name to write to: `write` creates and fills the file
/// whose name it is given, and throws when it cannot.
void publish_by_name(const std::filesystem::path& path,
                     const std::function<void(const std::filesystem::path& partial)>& write);

/// Content of a file with a checksum line, without that line, after comparing the hash.
/// Errors: unreadable; no checksum line (truncated, or not written by this program); hash differs.
[[nodiscard]] std::string read_checked_file(const std::filesystem::path& path);

/// The system's words for an error number, first letter small: "no space left on device".
[[nodiscard]] std::string system_reason(int error_number);

} // namespace cellgrade
