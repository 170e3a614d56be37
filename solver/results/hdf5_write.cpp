// SPDX-License-Identifier: Apache-2.0
#include "solver/results/hdf5.hpp"

#include "solver/core/error.hpp"
#include "solver/core/publish.hpp"
#include "solver/results/hdf5_handle.hpp"

#include <algorithm>
#include <cstring>
#include <new>

namespace cellgrade::h5 {

namespace {

constexpr std::size_t chunk_bytes = 512 * 1024; // below the library's 1 MiB chunk cache
constexpr std::size_t least_text_width = 32;
constexpr std::size_t memory_step = 1 << 20;

const std::string in_memory = "HDF5 file in memory";

template <class Status>
Status ok(Status status, const std::string& name) {
    return checked(status, in_memory, name);
}

struct Raw {
    hid_t type;
    const void* data;
    std::size_t count, width;
};

struct ToRaw {
    template <class T>
    Raw operator()(std::span<const T> v) const {
        return {type_of(T{}), v.data(), v.size(), sizeof(T)};
    }
    static hid_t type_of(double) { return H5T_IEEE_F64LE; }
    static hid_t type_of(float) { return H5T_IEEE_F32LE; }
    static hid_t type_of(std::int64_t) { return H5T_STD_I64LE; }
    static hid_t type_of(std::int32_t) { return H5T_STD_I32LE; }
    static hid_t type_of(std::uint8_t) { return H5T_STD_U8LE; }
};

Handle object_properties(hid_t kind) {
    Handle properties(ok(H5Pcreate(kind), "properties"), H5Pclose);
    ok(H5Pset_obj_track_times(properties, false), "properties");
    return properties;
}

Handle create_dataset(hid_t file, const std::string& path, hid_t type, const Shape& shape) {
    const std::vector<hsize_t> dims(shape.dims.begin(), shape.dims.end());
    std::vector<hsize_t> chunk = dims, most = dims;
    hsize_t row_bytes = H5Tget_size(type);
    for (std::size_t i = 0; i < dims.size(); ++i) {
        if (dims[i] == 0)
            most[i] = H5S_UNLIMITED; // a chunk may not be longer than a fixed dimension
        chunk[i] = std::max<hsize_t>(dims[i], 1);
        if (i > 0)
            row_bytes *= chunk[i];
    }
    const hsize_t fitting = std::max<hsize_t>(1, chunk_bytes / std::max<hsize_t>(row_bytes, 1));
    chunk[0] = std::min(chunk[0], shape.chunk_rows > 0 ? shape.chunk_rows : fitting);
    const Handle space(
        ok(H5Screate_simple(static_cast<int>(dims.size()), dims.data(), most.data()), path),
        H5Sclose);
    const Handle creation = object_properties(H5P_DATASET_CREATE);
    ok(H5Pset_chunk(creation, static_cast<int>(chunk.size()), chunk.data()), path);
    if (shape.deflate) {
        ok(H5Pset_shuffle(creation), path);
        ok(H5Pset_deflate(creation, 1), path);
    }
    ok(H5Pset_fletcher32(creation), path);
    return {
        ok(H5Dcreate2(file, path.c_str(), type, space, H5P_DEFAULT, creation, H5P_DEFAULT), path),
        H5Dclose};
}

Handle text_type(std::size_t width, bool ascii) {
    Handle type(ok(H5Tcopy(H5T_C_S1), "text"), H5Tclose);
    ok(H5Tset_size(type, width), "text");
    ok(H5Tset_strpad(type, H5T_STR_NULLPAD), "text");
    ok(H5Tset_cset(type, ascii ? H5T_CSET_ASCII : H5T_CSET_UTF8), "text");
    return type;
}

bool is_ascii(const std::string& text) {
    return std::all_of(text.begin(), text.end(),
                       [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

/// The rows of a table as they lie in the file.
struct Rows {
    std::size_t width; ///< bytes a row
    std::string bytes;
};

/// How one column lies in a row of the table, and how to copy a value there.
struct Field {
    Handle type;
    std::size_t width;
};

struct ToField {
    Field operator()(const std::vector<double>&) const { return number(H5T_IEEE_F64LE, 8); }
    Field operator()(const std::vector<std::int64_t>&) const { return number(H5T_STD_I64LE, 8); }
    Field operator()(const std::vector<std::uint8_t>&) const { return number(H5T_STD_U8LE, 1); }
    Field operator()(const std::vector<std::string>& values) const {
        std::size_t width = least_text_width;
        bool ascii = true;
        for (const std::string& value : values) {
            width = std::max(width, value.size());
            ascii = ascii && is_ascii(value);
        }
        return {text_type(width, ascii), width};
    }
    static Field number(hid_t type, std::size_t width) {
        return {Handle(ok(H5Tcopy(type), "type"), H5Tclose), width};
    }
};

const void* bytes_of(const double& value) {
    return &value;
}
const void* bytes_of(const std::int64_t& value) {
    return &value;
}
const void* bytes_of(const std::uint8_t& value) {
    return &value;
}
const void* bytes_of(const std::string& value) {
    return value.data();
}

std::size_t length_of(const std::string& value, std::size_t) {
    return value.size();
}
template <class T>
std::size_t length_of(const T&, std::size_t width) {
    return width;
}

void copy_column(const Column& column, std::size_t offset, std::size_t width, Rows& rows) {
    std::visit(
        [&](const auto& values) {
            for (std::size_t row = 0; row < values.size(); ++row)
                std::memcpy(rows.bytes.data() + row * rows.width + offset, bytes_of(values[row]),
                            length_of(values[row], width));
        },
        column.values);
}

// The library keeps the growing file in the writer's image through these. H5Fget_file_image would
// give a copy without them, but clears a flag in it after the header's checksum was made (1.10.8),
// and the copy cannot be opened.
void* grow_image(void*, std::size_t size, H5FD_file_image_op_t, void* image) {
    try {
        auto& bytes = *static_cast<std::string*>(image);
        bytes.resize(size);
        return bytes.data();
    } catch (const std::bad_alloc&) {
        return nullptr;
    }
}

herr_t keep_image(void*, H5FD_file_image_op_t, void*) {
    return 0;
}

void* share_image(void* image) {
    return image;
}

herr_t unshare_image(void*) {
    return 0;
}

template <class Write>
void attribute(hid_t file,
               const std::string& path,
               const std::string& name,
               hid_t type,
               hid_t space,
               Write write) {
    const Handle object = open_object(file, path, in_memory);
    const Handle created(
        ok(H5Acreate2(object, name.c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT), name),
        H5Aclose);
    ok(write(created), name);
}

Handle scalar_space() {
    return {ok(H5Screate(H5S_SCALAR), "scalar"), H5Sclose};
}

Handle list_space(std::size_t length) {
    const hsize_t dims = length;
    return {ok(H5Screate_simple(1, &dims, nullptr), "list"), H5Sclose};
}

Handle variable_text_type() {
    Handle type(ok(H5Tcopy(H5T_C_S1), "text"), H5Tclose);
    ok(H5Tset_size(type, H5T_VARIABLE), "text");
    ok(H5Tset_cset(type, H5T_CSET_UTF8), "text");
    return type;
}

} // namespace

Writer::Writer() {
    be_quiet();
    const Handle access(ok(H5Pcreate(H5P_FILE_ACCESS), "properties"), H5Pclose);
    ok(H5Pset_libver_bounds(access, H5F_LIBVER_V18, H5F_LIBVER_V18), "format bounds");
    ok(H5Pset_fapl_core(access, memory_step, false), "memory driver");
    H5FD_file_image_callbacks_t callbacks{.image_malloc = nullptr,
                                          .image_memcpy = nullptr,
                                          .image_realloc = grow_image,
                                          .image_free = keep_image,
                                          .udata_copy = share_image,
                                          .udata_free = unshare_image,
                                          .udata = &image_};
    ok(H5Pset_file_image_callbacks(access, &callbacks), "memory driver");
    const Handle creation = object_properties(H5P_FILE_CREATE);
    file_ = ok(H5Fcreate("cellgrade-in-memory", H5F_ACC_TRUNC, creation, access), "file");
}

Writer::~Writer() {
    if (file_ >= 0)
        H5Fclose(file_);
}

void Writer::group(const std::string& path) {
    const Handle creation = object_properties(H5P_GROUP_CREATE);
    const Handle created(
        ok(H5Gcreate2(file_, path.c_str(), H5P_DEFAULT, creation, H5P_DEFAULT), path), H5Gclose);
}

void Writer::dataset(const std::string& path, const Numbers& values, const Shape& shape) {
    const Raw raw = std::visit(ToRaw{}, values);
    std::size_t count = 1;
    for (const std::uint64_t n : shape.dims)
        count *= n;
    CELLGRADE_CHECK(count == raw.count && !shape.dims.empty(),
                    "dataset {}: {} values do not fill a shape of {}", path, raw.count, count);
    const Handle created = create_dataset(file_, path, raw.type, shape);
    if (raw.count > 0)
        ok(H5Dwrite(created, raw.type, H5S_ALL, H5S_ALL, H5P_DEFAULT, raw.data), path);
}

void Writer::column(const std::string& path,
                    std::span<const double> values,
                    const std::string& units) {
    dataset(path, values, {.dims = {values.size()}});
    text(path, "units", units);
}

void Writer::table(const std::string& path, const Table& table) {
    std::vector<Field> fields;
    std::vector<std::string> units;
    std::size_t row_width = 0;
    for (const Column& column : table.columns) {
        const std::size_t rows = std::visit([](const auto& v) { return v.size(); }, column.values);
        CELLGRADE_CHECK(rows == table.rows(), "table {}: column {} has {} rows, not {}", path,
                        column.name, rows, table.rows());
        fields.push_back(std::visit(ToField{}, column.values));
        row_width += fields.back().width;
        units.push_back(column.units);
    }
    const Handle type(ok(H5Tcreate(H5T_COMPOUND, row_width), path), H5Tclose);
    Rows rows{row_width, std::string(row_width * table.rows(), '\0')};
    std::size_t offset = 0;
    for (std::size_t c = 0; c < fields.size(); ++c) {
        const Column& column = table.columns[c];
        ok(H5Tinsert(type, column.name.c_str(), offset, fields[c].type), column.name);
        copy_column(column, offset, fields[c].width, rows);
        offset += fields[c].width;
    }
    const Handle created = create_dataset(file_, path, type, {.dims = {table.rows()}});
    if (table.rows() > 0)
        ok(H5Dwrite(created, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, rows.bytes.data()), path);
    texts(path, "units", units);
}

void Writer::text(const std::string& path, const std::string& name, const std::string& value) {
    const Handle type = variable_text_type(), space = scalar_space();
    const char* start = value.c_str();
    attribute(file_, path, name, type, space,
              [&](hid_t id) { return H5Awrite(id, type, static_cast<const void*>(&start)); });
}

void Writer::texts(const std::string& path,
                   const std::string& name,
                   const std::vector<std::string>& value) {
    const Handle type = variable_text_type(), space = list_space(value.size());
    std::vector<const char*> starts;
    for (const std::string& one : value)
        starts.push_back(one.c_str());
    attribute(file_, path, name, type, space, [&](hid_t id) {
        return value.empty() ? 0 : H5Awrite(id, type, static_cast<const void*>(starts.data()));
    });
}

void Writer::number(const std::string& path, const std::string& name, double value) {
    attribute(file_, path, name, H5T_IEEE_F64LE, scalar_space(),
              [&](hid_t id) { return H5Awrite(id, H5T_NATIVE_DOUBLE, &value); });
}

void Writer::integer(const std::string& path, const std::string& name, std::int64_t value) {
    attribute(file_, path, name, H5T_STD_I64LE, scalar_space(),
              [&](hid_t id) { return H5Awrite(id, H5T_NATIVE_INT64, &value); });
}

void Writer::integers(const std::string& path,
                      const std::string& name,
                      const std::vector<std::int64_t>& value) {
    attribute(file_, path, name, H5T_STD_I64LE, list_space(value.size()), [&](hid_t id) {
        return value.empty() ? 0 : H5Awrite(id, H5T_NATIVE_INT64, value.data());
    });
}

void Writer::fixed_text(const std::string& path,
                        const std::string& name,
                        const std::string& value) {
    const Handle type = text_type(value.size(), true);
    attribute(file_, path, name, type, scalar_space(),
              [&](hid_t id) { return H5Awrite(id, type, value.data()); });
}

void Writer::attach_scale(const std::string& dataset,
                          unsigned axis,
                          const std::string& scale,
                          const std::string& label) {
    const Handle data = open_object(file_, dataset, in_memory);
    const Handle scale_data = open_object(file_, scale, in_memory);
    if (H5DSis_scale(scale_data) <= 0)
        ok(H5DSset_scale(scale_data, label.c_str()), scale);
    ok(H5DSattach_scale(data, scale_data, axis), dataset);
    ok(H5DSset_label(data, axis, label.c_str()), dataset);
}

void Writer::publish(const std::filesystem::path& path) {
    const std::string name = path.string();
    checked(H5Fflush(file_, H5F_SCOPE_LOCAL), name, "flush");
    // Memory grows in steps; the file's true length is asked for before the file is closed.
    const ssize_t length = checked(H5Fget_file_image(file_, nullptr, 0), name, "length");
    const hid_t closing = std::exchange(file_, -1);
    checked(H5Fclose(closing), name, "close");
    image_.resize(static_cast<std::size_t>(length));
    publish_file(
        path, [&](FileSink& sink) { sink.write(image_); }, Trailer::Checksum);
}

} // namespace cellgrade::h5
