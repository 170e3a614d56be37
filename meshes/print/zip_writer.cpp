// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/zip_writer.hpp"

#include "solver/core/error.hpp"
#include "solver/core/publish.hpp"

#include <minizip/zip.h>

#include <cerrno>

namespace cellgrade {

namespace {

constexpr unsigned long first_day = 0x00210000; ///< 1980-01-01, 00:00 in the form of DOS
constexpr int level = 6;

} // namespace

ZipWriter::ZipWriter(const std::filesystem::path& file, std::filesystem::path target)
    : target_(std::move(target)), archive_(nullptr) {
    errno = 0;
    archive_ = zipOpen(file.c_str(), APPEND_STATUS_CREATE);
    check(archive_ != nullptr ? ZIP_OK : ZIP_ERRNO);
}

ZipWriter::~ZipWriter() {
    if (archive_ != nullptr)
        (void)zipClose(archive_, nullptr); // only on the way out of an error, which is told already
}

void ZipWriter::check(int status) const {
    if (status != ZIP_OK)
        throw Error(Fault::Input,
                    "cannot be written: " + (errno != 0
                                                 ? system_reason(errno)
                                                 : fmt::format("the archive fails ({}); over 4 "
                                                               "gigabytes are not possible",
                                                               status)),
                    {.file = target_.string(), .key = {}});
}

void ZipWriter::begin_part(const std::string& name) {
    end_part();
    zip_fileinfo info{};
    info.dosDate = first_day;
    errno = 0;
    check(zipOpenNewFileInZip(archive_, name.c_str(), &info, nullptr, 0, nullptr, 0, nullptr,
                              Z_DEFLATED, level));
    in_part_ = true;
}

void ZipWriter::write(std::string_view bytes) {
    errno = 0;
    check(zipWriteInFileInZip(archive_, bytes.data(), static_cast<unsigned>(bytes.size())));
}

void ZipWriter::end_part() {
    errno = 0;
    if (in_part_)
        check(zipCloseFileInZip(archive_));
    in_part_ = false;
}

void ZipWriter::close() {
    end_part();
    errno = 0;
    const int status = zipClose(archive_, nullptr);
    archive_ = nullptr;
    check(status);
}

} // namespace cellgrade
