// SPDX-License-Identifier: Apache-2.0
#include "solver/results/curve_source.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/hdf5.hpp"

#include <limits>
#include <string_view>

namespace cellgrade {

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr std::string_view hdf5_signature = "\x89HDF\r\n\x1a\n"; // HDF5 file format, 3.0, II.A

SourcedCurve of_crush(const std::filesystem::path& path) {
    CrushResult result = read_crush_file(path);
    SourcedCurve out{.curve = std::move(result.curve), .mass = {}, .label = path.filename()};
    out.mass = {.relative_density = result.record.relative_density,
                .solid_density_kg_per_m3 = result.record.solid_density_kg_per_m3};
    out.trusted = result.record.trusted();
    if (!out.trusted)
        out.reason = verdict_text(result.record);
    return out;
}

std::string row_list(const GradeTable& table) {
    std::string text;
    for (std::size_t i = 0; i < table.rows.size() && i < 20; ++i)
        text += fmt::format("{}{} {}", text.empty() ? "" : "; ", i + 1,
                            grade_label(table.rows[i].grade));
    return text + (table.rows.size() > 20 ? "; ..." : "");
}

SourcedCurve of_table(const std::filesystem::path& path, std::optional<Index> row) {
    GradeTable table = read_grade_table(path);
    const auto n = static_cast<Index>(table.rows.size());
    if (!row && n == 1)
        row = 1;
    if (!row || *row < 1 || *row > n)
        throw Error(Fault::Input,
                    fmt::format("{}; its rows are: {}",
                                row ? fmt::format("the table has no row {}", *row)
                                    : "a row of the grade table is needed",
                                row_list(table)),
                    {.file = path.string()});
    GradeRow& chosen = table.rows[static_cast<std::size_t>(*row - 1)];
    SourcedCurve out{.curve = std::move(chosen.curve),
                     .mass = {.relative_density = chosen.grade.relative_density,
                              .solid_density_kg_per_m3 =
                                  chosen.density_kg_per_m3 / chosen.grade.relative_density},
                     .label = grade_label(chosen.grade)};
    out.trusted = chosen.status == "trusted";
    if (!out.trusted)
        out.reason = fmt::format("{}: {}", chosen.status, chosen.reason);
    if (!chosen.warning.empty())
        out.notes.push_back(chosen.warning);
    return out;
}

SourcedCurve
of_csv(const std::filesystem::path& path, const std::string& text, const SpecimenSize& size) {
    ReadCurve read = parse_curve_csv(text, path.string(), size);
    SourcedCurve out{.curve = std::move(read.curve),
                     .mass = {unknown, unknown},
                     .label = path.filename(),
                     .notes = std::move(read.notes)};
    constexpr std::string_view mark = "# untrusted: "; // as curve_csv writes the verdict
    if (text.starts_with(mark)) {
        out.trusted = false;
        out.reason = text.substr(2, text.find_first_of("\r\n") - 2);
    }
    return out;
}

} // namespace

SourcedCurve read_any_curve(const std::filesystem::path& path,
                            std::optional<Index> row,
                            const SpecimenSize& size) {
    const std::string bytes = read_text_file(path);
    const bool is_hdf5 = bytes.starts_with(hdf5_signature);
    const std::string schema = is_hdf5 ? h5::Reader(path).text("/", "schema") : "";
    if (schema == "cellgrade/grade-table")
        return of_table(path, row);
    if (row)
        throw Error(Fault::Input, "only a grade table has rows", {.file = path.string()});
    return is_hdf5 ? of_crush(path) : of_csv(path, bytes, size);
}

} // namespace cellgrade
