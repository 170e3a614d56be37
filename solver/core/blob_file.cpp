// SPDX-License-Identifier: Apache-2.0
#include "solver/core/blob_file.hpp"

#include "solver/core/error.hpp"
#include "solver/core/publish.hpp"

#include <algorithm>
#include <bit>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <cstring>
#include <optional>
#include <set>
#include <system_error>

namespace fs = std::filesystem;

namespace cellgrade {

namespace {

static_assert(std::endian::native == std::endian::little, "the file is little-endian");

constexpr std::size_t alignment = 64;
constexpr std::string_view magic = "cellgrade-blob 1";

fs::path previous_name(const fs::path& path) {
    return path.string() + ".previous";
}

Error blob_error(const fs::path& path, const std::string& what) {
    return {Fault::Input, what, {.file = path.string()}};
}

std::size_t padded(std::size_t length) {
    return (length + alignment - 1) / alignment * alignment;
}

struct RawArray {
    std::string_view kind;
    std::size_t count;
    std::span<const std::byte> bytes;
};

struct ToRaw {
    RawArray operator()(std::span<const double> v) const {
        return {"f8", v.size(), std::as_bytes(v)};
    }
    RawArray operator()(std::span<const std::int32_t> v) const {
        return {"i4", v.size(), std::as_bytes(v)};
    }
    RawArray operator()(std::span<const std::int64_t> v) const {
        return {"i8", v.size(), std::as_bytes(v)};
    }
    RawArray operator()(std::string_view v) const {
        return {"text", v.size(), std::as_bytes(std::span(v.data(), v.size()))};
    }
};

std::optional<std::size_t> width_of(std::string_view kind) {
    if (kind == "f8" || kind == "i8")
        return 8;
    if (kind == "i4")
        return 4;
    if (kind == "text")
        return 1;
    return std::nullopt;
}

/// Reads the text header without copying the arrays behind it; past the end a line is empty, which
/// no reader below accepts.
struct HeaderLines {
    std::string_view content;
    std::size_t position = 0;

    std::string next() {
        const std::size_t end = std::min(content.find('\n', position), content.size());
        const std::string line(content.substr(position, end - position));
        position = std::min(end + 1, content.size());
        return line;
    }
};

void check_word(std::string_view word, const char* what) {
    const auto allowed = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
               std::strchr("_./-", c) != nullptr;
    };
    bool good = !word.empty();
    for (const char c : word)
        good = good && c != '\0' && allowed(c);
    CELLGRADE_CHECK(good, "checkpoint {} '{}': letters, digits and _ . / - are allowed", what,
                    word);
}

std::string header_text(std::string_view schema, std::span<const BlobArray> arrays) {
    check_word(schema, "schema");
    std::set<std::string_view> seen;
    std::string text = fmt::format("{}\nschema {}\n", magic, schema);
    for (const BlobArray& array : arrays) {
        check_word(array.name, "array name");
        CELLGRADE_CHECK(seen.insert(array.name).second, "checkpoint array '{}' is given twice",
                        array.name);
        const RawArray raw = std::visit(ToRaw{}, array.values);
        text += fmt::format("{} {} {}\n", raw.kind, raw.count, array.name);
    }
    text += "end";
    text.resize(padded(text.size() + 1) - 1, ' ');
    return text + '\n';
}

} // namespace

void save_blob(const fs::path& path, std::string_view schema, std::span<const BlobArray> arrays) {
    const std::string header = header_text(schema, arrays);
    const std::string zeros(alignment, '\0');
    const fs::path fresh = path.string() + ".new";
    publish_file(
        fresh,
        [&](FileSink& sink) {
            sink.write(header);
            for (const BlobArray& array : arrays) {
                const RawArray raw = std::visit(ToRaw{}, array.values);
                sink.write(raw.bytes);
                sink.write(
                    std::string_view(zeros).substr(0, padded(raw.bytes.size()) - raw.bytes.size()));
            }
        },
        Trailer::Checksum);
    // A kill between the two renames leaves .new and .previous; load_blob() then takes .previous.
    if (::rename(path.c_str(), previous_name(path).c_str()) != 0 && errno != ENOENT)
        throw blob_error(path, "cannot be kept as previous: " + system_reason(errno));
    if (::rename(fresh.c_str(), path.c_str()) != 0)
        throw blob_error(path, "cannot be written: " + system_reason(errno));
}

bool has_blob(const fs::path& path) {
    std::error_code ignored;
    return fs::exists(path, ignored) || fs::exists(previous_name(path), ignored);
}

void remove_blob(const fs::path& path) {
    std::error_code ignored; // missing is fine; a file that stays is met again by load_blob()
    fs::remove(path, ignored);
    fs::remove(previous_name(path), ignored);
    fs::remove(path.string() + ".new", ignored);
}

Blob Blob::parse(const fs::path& path, std::string_view schema) {
    Blob blob;
    blob.file_ = path.string();
    blob.content_ = read_checked_file(path);
    HeaderLines lines{blob.content_};
    std::string line = lines.next();
    if (line != magic)
        throw blob_error(path, "not a cellgrade checkpoint");
    if (line = lines.next(); line != fmt::format("schema {}", schema))
        throw Error(Fault::Input,
                    fmt::format("checkpoint of another kind or version ({}); schema {} is needed",
                                line, schema),
                    {.file = path.string(), .key = "schema"});
    std::vector<std::pair<std::string, Part>> order;
    for (line = lines.next(); !line.starts_with("end"); line = lines.next()) {
        const std::size_t one = line.find(' '), two = line.find(' ', one + 1);
        std::size_t count = 0;
        const auto width = width_of(line.substr(0, one));
        if (two == std::string::npos || !width ||
            std::from_chars(line.data() + one + 1, line.data() + two, count).ec != std::errc() ||
            count > blob.content_.size())
            throw blob_error(path, fmt::format("unreadable checkpoint header line '{}'", line));
        order.emplace_back(line.substr(two + 1), Part{line.substr(0, one), 0, count * *width});
    }
    std::size_t start = lines.position;
    for (auto& [name, part] : order) {
        part.start = start;
        start += padded(part.bytes);
        blob.parts_.emplace(name, part);
    }
    if (start != blob.content_.size())
        throw blob_error(path, "the checkpoint header does not match the file's length");
    return blob;
}

Blob load_blob(const fs::path& path, std::string_view schema) {
    std::string fault;
    try {
        return Blob::parse(path, schema);
    } catch (const Error& e) {
        std::error_code ignored;
        if (e.where().key == "schema" || !fs::exists(previous_name(path), ignored))
            throw;
        fault = e.what();
    }
    try {
        Blob blob = Blob::parse(previous_name(path), schema);
        blob.note_ = fault + "; took the checkpoint before it";
        return blob;
    } catch (const Error& e) {
        if (e.where().key == "schema")
            throw;
        throw input_error("{}; the checkpoint before it is no better: {}", fault, e.message());
    }
}

bool Blob::has(std::string_view name) const {
    return parts_.find(name) != parts_.end();
}

const Blob::Part& Blob::part(std::string_view name, std::string_view kind) const {
    const auto found = parts_.find(name);
    if (found == parts_.end())
        throw blob_error(file_, fmt::format("checkpoint has no array '{}'", name));
    if (found->second.kind != kind)
        throw blob_error(file_, fmt::format("checkpoint array '{}' is {}, not {}", name,
                                            found->second.kind, kind));
    return found->second;
}

void Blob::read_bytes(std::string_view name,
                      std::string_view kind,
                      std::span<std::byte> out) const {
    const Part& source = part(name, kind);
    if (source.bytes != out.size())
        throw blob_error(file_, fmt::format("checkpoint array '{}' has {} bytes, {} are needed",
                                            name, source.bytes, out.size()));
    if (!out.empty())
        std::memcpy(out.data(), content_.data() + source.start, out.size());
}

template <class T>
std::vector<T> Blob::array(std::string_view name, std::string_view kind) const {
    std::vector<T> values(part(name, kind).bytes / sizeof(T));
    read_bytes(name, kind, std::as_writable_bytes(std::span(values)));
    return values;
}

std::vector<double> Blob::doubles(std::string_view name) const {
    return array<double>(name, "f8");
}

std::vector<std::int32_t> Blob::int32s(std::string_view name) const {
    return array<std::int32_t>(name, "i4");
}

std::vector<std::int64_t> Blob::int64s(std::string_view name) const {
    return array<std::int64_t>(name, "i8");
}

std::string Blob::text(std::string_view name) const {
    const Part& source = part(name, "text");
    return content_.substr(source.start, source.bytes);
}

void Blob::read_doubles(std::string_view name, std::span<double> out) const {
    read_bytes(name, "f8", std::as_writable_bytes(out));
}

} // namespace cellgrade
