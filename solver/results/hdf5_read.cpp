// SPDX-License-Identifier: Apache-2.0
#include "solver/results/hdf5.hpp"

#include "solver/core/error.hpp"
#include "solver/core/publish.hpp"
#include "solver/results/hdf5_handle.hpp"

#include <algorithm>
#include <numeric>

namespace cellgrade::h5 {

namespace {

/// The innermost message of the library's error stack, where the real reason stands.
herr_t keep_innermost(unsigned depth, const H5E_error2_t* entry, void* out) {
    if (depth == 0 && entry->desc != nullptr)
        *static_cast<std::string*>(out) = entry->desc;
    return 0;
}

Error column_error(const std::string& name, const char* what) {
    return input_error("table column {}: {}", name, what);
}

template <class T>
const std::vector<T>& typed_column(const std::vector<Column>& columns, const std::string& name) {
    for (const Column& column : columns) {
        if (column.name != name)
            continue;
        if (const auto* values = std::get_if<std::vector<T>>(&column.values))
            return *values;
        throw column_error(name, "is of another type than this program writes");
    }
    throw column_error(name, "is missing from the file");
}

/// Reads one member of a compound dataset as `member` type; `bytes` an element.
template <class T>
std::vector<T> read_member(hid_t dataset,
                           const std::string& name,
                           hid_t member,
                           std::size_t bytes,
                           std::size_t count,
                           const std::string& file) {
    const Handle type(checked(H5Tcreate(H5T_COMPOUND, bytes), file, name), H5Tclose);
    checked(H5Tinsert(type, name.c_str(), 0, member), file, name);
    std::vector<T> values(count * bytes / sizeof(T));
    if (!values.empty())
        checked(H5Dread(dataset, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()), file, name);
    return values;
}

std::vector<std::string> read_text_member(hid_t dataset,
                                          const std::string& name,
                                          hid_t member,
                                          std::size_t rows,
                                          const std::string& file) {
    const std::size_t width = H5Tget_size(member);
    const auto bytes = read_member<char>(dataset, name, member, width, rows, file);
    std::vector<std::string> texts;
    for (std::size_t row = 0; row < rows; ++row) {
        const std::string_view cell(bytes.data() + row * width, width);
        texts.emplace_back(cell.substr(0, cell.find('\0')));
    }
    return texts;
}

Column
read_column(hid_t dataset, hid_t type, unsigned member, std::size_t rows, const std::string& file) {
    char* raw_name = H5Tget_member_name(type, member);
    if (raw_name == nullptr)
        throw_library_error(file, "table");
    Column column{.name = raw_name};
    H5free_memory(raw_name);
    const Handle kind(checked(H5Tget_member_type(type, member), file, column.name), H5Tclose);
    const H5T_class_t group = H5Tget_class(kind);
    if (group == H5T_FLOAT)
        column.values = read_member<double>(dataset, column.name, H5T_NATIVE_DOUBLE, 8, rows, file);
    else if (group == H5T_INTEGER && H5Tget_size(kind) == 1)
        column.values =
            read_member<std::uint8_t>(dataset, column.name, H5T_NATIVE_UINT8, 1, rows, file);
    else if (group == H5T_INTEGER)
        column.values =
            read_member<std::int64_t>(dataset, column.name, H5T_NATIVE_INT64, 8, rows, file);
    else if (group == H5T_STRING && H5Tis_variable_str(kind) == 0)
        column.values = read_text_member(dataset, column.name, kind, rows, file);
    else
        throw Error(Fault::Input, "is of a type that no table of ours holds",
                    {.file = file, .key = column.name});
    return column;
}

herr_t keep_link(hid_t, const char* name, const H5L_info_t*, void* out) {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
    return 0;
}

herr_t keep_attribute(hid_t, const char* name, const H5A_info_t*, void* out) {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
    return 0;
}

} // namespace

void be_quiet() {
    H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
}

void throw_library_error(const std::string& file, const std::string& name) {
    std::string reason = "unknown reason";
    H5Ewalk2(H5E_DEFAULT, H5E_WALK_UPWARD, keep_innermost, &reason);
    throw Error(Fault::Input, "HDF5 library: " + reason, {.file = file, .key = name});
}

Handle open_object(hid_t file, const std::string& path, const std::string& file_name) {
    return {checked(H5Oopen(file, path.c_str(), H5P_DEFAULT), file_name, path), H5Oclose};
}

std::string library_version() {
    unsigned major = 0, minor = 0, release = 0;
    H5get_libversion(&major, &minor, &release);
    return fmt::format("{}.{}.{}", major, minor, release);
}

std::size_t Table::rows() const {
    return columns.empty()
               ? 0
               : std::visit([](const auto& v) { return v.size(); }, columns.front().values);
}

const std::vector<double>& Table::numbers(const std::string& name) const {
    return typed_column<double>(columns, name);
}

const std::vector<std::int64_t>& Table::integers(const std::string& name) const {
    return typed_column<std::int64_t>(columns, name);
}

const std::vector<std::uint8_t>& Table::flags(const std::string& name) const {
    return typed_column<std::uint8_t>(columns, name);
}

const std::vector<std::string>& Table::texts(const std::string& name) const {
    return typed_column<std::string>(columns, name);
}

Reader::Reader(const std::filesystem::path& path)
    : name_(path.string()), image_(read_checked_file(path)) {
    be_quiet();
    const Handle access(checked(H5Pcreate(H5P_FILE_ACCESS), name_, "properties"), H5Pclose);
    checked(H5Pset_fapl_core(access, 1 << 20, false), name_, "memory driver");
    checked(H5Pset_file_image(access, image_.data(), image_.size()), name_, "file image");
    file_ = checked(H5Fopen("cellgrade-in-memory", H5F_ACC_RDONLY, access), name_, "open");
    image_.clear(); // the library has its own copy now
    image_.shrink_to_fit();
}

Reader::~Reader() {
    H5Fclose(file_);
}

bool Reader::has(const std::string& path) const {
    // H5Lexists answers for the last part only, so every part is asked for in turn.
    for (std::size_t end = path.find('/', 1);; end = path.find('/', end + 1)) {
        if (H5Lexists(file_, path.substr(0, end).c_str(), H5P_DEFAULT) <= 0)
            return false;
        if (end == std::string::npos)
            return true;
    }
}

bool Reader::has_attribute(const std::string& path, const std::string& name) const {
    return H5Aexists_by_name(file_, path.c_str(), name.c_str(), H5P_DEFAULT) > 0;
}

std::vector<std::string> Reader::names(const std::string& group) const {
    const Handle opened = open_object(file_, group, name_);
    std::vector<std::string> found;
    hsize_t from = 0;
    checked(H5Literate(opened, H5_INDEX_NAME, H5_ITER_INC, &from, keep_link, &found), name_, group);
    return found;
}

std::vector<std::string> Reader::attributes(const std::string& path) const {
    const Handle opened = open_object(file_, path, name_);
    std::vector<std::string> found;
    hsize_t from = 0;
    checked(H5Aiterate2(opened, H5_INDEX_NAME, H5_ITER_INC, &from, keep_attribute, &found), name_,
            path);
    return found;
}

std::vector<std::uint64_t> Reader::dims(const std::string& path) const {
    const Handle data = open_object(file_, path, name_);
    const Handle space(checked(H5Dget_space(data), name_, path), H5Sclose);
    std::vector<hsize_t> dims(
        static_cast<std::size_t>(checked(H5Sget_simple_extent_ndims(space), name_, path)));
    checked(H5Sget_simple_extent_dims(space, dims.data(), nullptr), name_, path);
    return {dims.begin(), dims.end()};
}

std::vector<double> Reader::doubles(const std::string& path) const {
    const std::vector<std::uint64_t> shape = dims(path);
    std::vector<double> values(
        std::accumulate(shape.begin(), shape.end(), std::uint64_t{1}, std::multiplies<>()));
    const Handle data = open_object(file_, path, name_);
    if (!values.empty())
        checked(H5Dread(data, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()),
                name_, path);
    return values;
}

std::vector<std::int64_t> Reader::integers(const std::string& path) const {
    const std::vector<std::uint64_t> shape = dims(path);
    std::vector<std::int64_t> values(
        std::accumulate(shape.begin(), shape.end(), std::uint64_t{1}, std::multiplies<>()));
    const Handle data = open_object(file_, path, name_);
    if (!values.empty())
        checked(H5Dread(data, H5T_NATIVE_INT64, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()),
                name_, path);
    return values;
}

Table Reader::table(const std::string& path) const {
    const Handle data = open_object(file_, path, name_);
    const Handle type(checked(H5Dget_type(data), name_, path), H5Tclose);
    if (H5Tget_class(type) != H5T_COMPOUND)
        throw Error(Fault::Input, "is not a table", {.file = name_, .key = path});
    const std::size_t rows = dims(path).at(0);
    const std::vector<std::string> units = texts(path, "units");
    const int members = checked(H5Tget_nmembers(type), name_, path);
    Table table;
    for (int member = 0; member < members; ++member) {
        table.columns.push_back(
            read_column(data, type, static_cast<unsigned>(member), rows, name_));
        if (const auto m = static_cast<std::size_t>(member); m < units.size())
            table.columns.back().units = units[m];
    }
    return table;
}

std::int64_t Reader::open_attribute(const std::string& path, const std::string& name) const {
    if (!has_attribute(path, name))
        throw Error(Fault::Input, fmt::format("has no attribute '{}'", name),
                    {.file = name_, .key = path});
    return checked(H5Aopen_by_name(file_, path.c_str(), name.c_str(), H5P_DEFAULT, H5P_DEFAULT),
                   name_, path);
}

std::vector<std::string> Reader::texts(const std::string& path, const std::string& name) const {
    const Handle attribute(open_attribute(path, name), H5Aclose);
    const Handle space(checked(H5Aget_space(attribute), name_, name), H5Sclose);
    const Handle stored(checked(H5Aget_type(attribute), name_, name), H5Tclose);
    if (H5Tget_class(stored) != H5T_STRING || H5Tis_variable_str(stored) <= 0)
        throw Error(Fault::Input, fmt::format("attribute '{}' is not text", name),
                    {.file = name_, .key = path});
    const Handle type(checked(H5Tcopy(stored), name_, name), H5Tclose);
    std::vector<char*> starts(
        static_cast<std::size_t>(checked(H5Sget_simple_extent_npoints(space), name_, name)));
    if (starts.empty())
        return {};
    checked(H5Aread(attribute, type, static_cast<void*>(starts.data())), name_, name);
    std::vector<std::string> values;
    for (const char* start : starts)
        values.emplace_back(start == nullptr ? "" : start);
    H5Dvlen_reclaim(type, space, H5P_DEFAULT, static_cast<void*>(starts.data()));
    return values;
}

std::string Reader::text(const std::string& path, const std::string& name) const {
    const std::vector<std::string> values = texts(path, name);
    return values.empty() ? "" : values.front();
}

double Reader::number(const std::string& path, const std::string& name) const {
    const Handle attribute(open_attribute(path, name), H5Aclose);
    const Handle space(checked(H5Aget_space(attribute), name_, name), H5Sclose);
    if (H5Sget_simple_extent_npoints(space) != 1)
        throw Error(Fault::Input, fmt::format("attribute '{}' is not one number", name),
                    {.file = name_, .key = path});
    double value = 0.0;
    checked(H5Aread(attribute, H5T_NATIVE_DOUBLE, &value), name_, name);
    return value;
}

std::vector<std::int64_t> Reader::integers(const std::string& path, const std::string& name) const {
    const Handle attribute(open_attribute(path, name), H5Aclose);
    const Handle space(checked(H5Aget_space(attribute), name_, name), H5Sclose);
    std::vector<std::int64_t> values(
        static_cast<std::size_t>(checked(H5Sget_simple_extent_npoints(space), name_, name)));
    if (!values.empty())
        checked(H5Aread(attribute, H5T_NATIVE_INT64, values.data()), name_, name);
    return values;
}

std::pair<int, int>
Reader::check_schema(const std::string& schema, int major, int oldest_major) const {
    const auto refuse = [&](const std::string& what) {
        return Error(Fault::Input, what, {.file = name_, .key = "schema"});
    };
    if (!has_attribute("/", "schema") || !has_attribute("/", "schema_version"))
        throw refuse(fmt::format("no schema; a file of schema {} is needed", schema));
    const std::string found = text("/", "schema");
    if (found != schema)
        throw refuse(fmt::format("the file is of schema {}; {} is needed", found, schema));
    const std::vector<std::int64_t> version = integers("/", "schema_version");
    const int oldest = oldest_major > 0 ? oldest_major : major;
    if (version.size() != 2 || version[0] > major || version[0] < oldest)
        throw refuse(fmt::format(
            "version {} of {} in the file, this program reads {}.x{}", fmt::join(version, "."),
            schema, major, oldest < major ? fmt::format(" and older, from {}.0", oldest) : ""));
    return {static_cast<int>(version[0]), static_cast<int>(version[1])};
}

} // namespace cellgrade::h5
