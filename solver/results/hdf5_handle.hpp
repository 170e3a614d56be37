// SPDX-License-Identifier: Apache-2.0
#pragma once

#define H5_USE_110_API
#include <hdf5.h>
#include <hdf5_hl.h>

#include <string>

/// Private to the files of this folder whose name begins with hdf5.
namespace cellgrade::h5 {

/// An HDF5 id that is closed once, on every way out.
class Handle {
public:
    using Close = herr_t (*)(hid_t);

    Handle(hid_t id, Close close) : id_(id), close_(close) {}
    Handle(const Handle&) = delete;
    Handle& operator=(const Handle&) = delete;
    Handle(Handle&& other) noexcept : id_(other.id_), close_(other.close_) { other.id_ = -1; }
    Handle& operator=(Handle&&) = delete;
    ~Handle() {
        if (id_ >= 0)
            close_(id_);
    }
    operator hid_t() const { return id_; } // handed to the C functions as it is

private:
    hid_t id_;
    Close close_;
};

[[noreturn]] void throw_library_error(const std::string& file, const std::string& name);

/// Passes a status or id on; throws an input Error "FILE: NAME: what the library says" when it is
/// negative.
template <class Status>
Status checked(Status status, const std::string& file, const std::string& name) {
    if (status < 0)
        throw_library_error(file, name);
    return status;
}

/// Switches off the library's own printing of errors; ours go into the exception.
void be_quiet();

Handle open_object(hid_t file, const std::string& path, const std::string& file_name);

} // namespace cellgrade::h5
