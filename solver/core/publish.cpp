// SPDX-License-Identifier: Apache-2.0
#include "solver/core/publish.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"

#include <cctype>
#include <cerrno>
#include <charconv>
#include <fcntl.h>
#include <system_error>
#include <unistd.h>

namespace fs = std::filesystem;

namespace cellgrade {

namespace {

constexpr std::size_t trailer_length = 128;
constexpr std::string_view trailer_start = "cellgrade-checksum sha256 ";

Error write_error(const fs::path& target, const std::string& reason) {
    return {Fault::Input, "cannot be written: " + reason, {.file = target.string()}};
}

/// A file descriptor that is closed on every way out.
class Descriptor {
public:
    explicit Descriptor(int descriptor) : descriptor_(descriptor) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    Descriptor(Descriptor&&) = delete;
    Descriptor& operator=(Descriptor&&) = delete;
    ~Descriptor() {
        if (descriptor_ >= 0)
            ::close(descriptor_);
    }
    [[nodiscard]] int value() const { return descriptor_; }
    /// Closing may report the last write error (network disks), so it is a step of its own.
    [[nodiscard]] int close() {
        const int status = ::close(descriptor_);
        descriptor_ = -1;
        return status;
    }

private:
    int descriptor_;
};

/// Removes the partial file unless it has been renamed.
class PartialFile {
public:
    explicit PartialFile(fs::path name) : name_(std::move(name)) {}
    PartialFile(const PartialFile&) = delete;
    PartialFile& operator=(const PartialFile&) = delete;
    PartialFile(PartialFile&&) = delete;
    PartialFile& operator=(PartialFile&&) = delete;
    ~PartialFile() {
        std::error_code ignored; // the first error is the one worth telling
        fs::remove(name_, ignored);
    }
    [[nodiscard]] const fs::path& name() const { return name_; }

private:
    fs::path name_;
};

fs::path resolved_target(const fs::path& path) {
    std::error_code code;
    const fs::path target = fs::is_symlink(path, code) ? fs::weakly_canonical(path, code) : path;
    if (code && code != std::errc::no_such_file_or_directory)
        throw write_error(path, system_reason(code.value()));
    if (!target.has_filename())
        throw write_error(path, "a file name is needed");
    const fs::file_status status = fs::status(target, code);
    if (fs::exists(status) && !fs::is_regular_file(status))
        throw write_error(path, "something that is not a regular file is in its place");
    return target;
}

fs::path partial_name(const fs::path& target) {
    return target.parent_path() /
           fmt::format(".{}.partial-{}", target.filename().string(), ::getpid());
}

void flush_folder(const fs::path& target) {
    const fs::path folder = target.has_parent_path() ? target.parent_path() : fs::path(".");
    const Descriptor descriptor(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    // Some file systems cannot flush a folder (EINVAL); the file itself is safe by then.
    if (descriptor.value() < 0 || (::fsync(descriptor.value()) != 0 && errno != EINVAL))
        throw write_error(target, system_reason(errno));
}

void rename_over(const fs::path& partial, const fs::path& target) {
    if (::rename(partial.c_str(), target.c_str()) != 0)
        throw write_error(target, system_reason(errno));
    flush_folder(target);
}

std::string trailer_line(const std::string& hex, std::uint64_t length) {
    std::string line = fmt::format("{}{} {}", trailer_start, hex, length);
    line.resize(trailer_length - 1, ' ');
    return line + '\n';
}

} // namespace

std::string system_reason(int error_number) {
    std::string reason = std::generic_category().message(error_number);
    if (!reason.empty())
        reason[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(reason[0])));
    return reason;
}

FileSink::FileSink(int descriptor, const fs::path& target)
    : descriptor_(descriptor), target_(target) {}

void FileSink::write(std::span<const std::byte> bytes) {
    hash_.add(bytes);
    length_ += bytes.size();
    while (!bytes.empty()) {
        const ssize_t written = ::write(descriptor_, bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            throw write_error(target_, system_reason(errno));
        bytes = bytes.subspan(static_cast<std::size_t>(written));
    }
}

void FileSink::write(std::string_view text) {
    write(std::as_bytes(std::span(text.data(), text.size())));
}

void FileSink::write_trailer() {
    write(trailer_line(hash_.hex(), length_));
}

void publish_file(const fs::path& path,
                  const std::function<void(FileSink&)>& write,
                  Trailer trailer) {
    const fs::path target = resolved_target(path);
    const PartialFile partial(partial_name(target));
    Descriptor descriptor(
        ::open(partial.name().c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666));
    if (descriptor.value() < 0)
        throw write_error(path, system_reason(errno));
    FileSink sink(descriptor.value(), path);
    write(sink);
    if (trailer == Trailer::Checksum)
        sink.write_trailer();
    if (::fsync(descriptor.value()) != 0 || descriptor.close() != 0)
        throw write_error(path, system_reason(errno));
    rename_over(partial.name(), target);
}

void publish_text(const fs::path& path, std::string_view text) {
    publish_file(path, [&](FileSink& sink) { sink.write(text); });
}

void publish_by_name(const fs::path& path, const std::function<void(const fs::path&)>& write) {
    const fs::path target = resolved_target(path);
    const PartialFile partial(partial_name(target));
    write(partial.name());
    Descriptor descriptor(::open(partial.name().c_str(), O_RDONLY | O_CLOEXEC));
    if (descriptor.value() < 0 || ::fsync(descriptor.value()) != 0 || descriptor.close() != 0)
        throw write_error(path, system_reason(errno));
    rename_over(partial.name(), target);
}

std::string read_checked_file(const fs::path& path) {
    std::string content = read_text_file(path);
    const auto refuse = [&](const std::string& what) {
        return Error(Fault::Input, what, {.file = path.string()});
    };
    const std::string no_line = "no checksum line at its end: the file is truncated or was not "
                                "written by cellgrade; compute it again";
    if (content.size() < trailer_length)
        throw refuse(no_line);
    const std::size_t length = content.size() - trailer_length;
    const std::string line = content.substr(length);
    if (!line.starts_with(trailer_start))
        throw refuse(no_line);
    content.resize(length);
    if (trailer_line(sha256_hex(content), length) != line)
        throw refuse("its content does not match its checksum line: the file was damaged or "
                     "changed; compute it again");
    return content;
}

} // namespace cellgrade
