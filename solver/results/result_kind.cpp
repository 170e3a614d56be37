// SPDX-License-Identifier: Apache-2.0
#include "solver/results/result_kind.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/results/hdf5.hpp"

#include <string>
#include <string_view>

namespace cellgrade {

namespace {

constexpr std::string_view hdf5_signature = "\x89HDF\r\n\x1a\n"; // HDF5 file format, 3.0, II.A
constexpr const char* wanted = "a report is made of grade tables (cellgrade table), crush and drop "
                               "files (-o of cellgrade crush and drop) and their shapes (--frames)";

} // namespace

ResultKind result_kind(const std::filesystem::path& path) {
    if (!read_text_file(path).starts_with(hdf5_signature))
        throw Error(Fault::Input, fmt::format("is no HDF5 file; {}", wanted),
                    {.file = path.string()});
    const h5::Reader file(path);
    if (file.has_attribute("/", "schema")) {
        const std::string schema = file.text("/", "schema");
        if (schema == "cellgrade/grade-table")
            return ResultKind::GradeTable;
        if (schema == "cellgrade/crush")
            return ResultKind::Crush;
        if (schema == "cellgrade/drop")
            return ResultKind::Drop;
        throw Error(Fault::Input, fmt::format("its schema is '{}'; {}", schema, wanted),
                    {.file = path.string()});
    }
    if (file.has("/VTKHDF") && file.has("/cellgrade/nominal_strain"))
        return ResultKind::Shapes;
    throw Error(Fault::Input, fmt::format("has no schema; {}", wanted), {.file = path.string()});
}

} // namespace cellgrade
