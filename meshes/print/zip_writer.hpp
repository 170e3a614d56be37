// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace cellgrade {

/// Writes a plain ZIP archive (no ZIP64) part by part, deflated. Every part is dated 1980-01-01, so
/// that the same content gives the same bytes. Errors (input): cannot be written, with the system's
/// reason.
class ZipWriter {
public:
    /// @param target the name that errors tell, where it is not `file`
    ZipWriter(const std::filesystem::path& file, std::filesystem::path target);
    ZipWriter(const ZipWriter&) = delete;
    ZipWriter& operator=(const ZipWriter&) = delete;
    ZipWriter(ZipWriter&&) = delete;
    ZipWriter& operator=(ZipWriter&&) = delete;
    ~ZipWriter();

    /// Closes the part before it and begins another.
    void begin_part(const std::string& name);
    /// Hand it large pieces.
    void write(std::string_view bytes);
    /// Finishes the archive; without it the file is worthless.
    void close();

private:
    void end_part();
    void check(int status) const;

    std::filesystem::path target_;
    void* archive_;
    bool in_part_ = false;
};

} // namespace cellgrade
