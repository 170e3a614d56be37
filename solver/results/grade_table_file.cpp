// SPDX-License-Identifier: Apache-2.0
#include "solver/results/grade_table_file.hpp"

#include "solver/core/error.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/provenance_file.hpp"
#include "solver/results/trait_table.hpp"

namespace cellgrade {

namespace {

const std::string schema = "cellgrade/grade-table";
constexpr int schema_major = 1, schema_minor = 1;

template <class Value, class Pick>
std::vector<Value> picked(const GradeTable& table, Pick pick) {
    std::vector<Value> values;
    for (const GradeRow& row : table.rows)
        values.push_back(pick(row));
    return values;
}

h5::Column text_column(const char* name, const GradeTable& table, std::string GradeCase::*member) {
    return {name, "", picked<std::string>(table, [&](const auto& r) { return r.grade.*member; })};
}

h5::Column number_column(const char* name,
                         const char* units,
                         const GradeTable& table,
                         double GradeCase::*member) {
    return {name, units, picked<double>(table, [&](const auto& r) { return r.grade.*member; })};
}

h5::Table rows_table(const GradeTable& table) {
    h5::Table out{
        {text_column("cell", table, &GradeCase::cell),
         text_column("polymer", table, &GradeCase::polymer),
         number_column("relative_density", "1", table, &GradeCase::relative_density),
         number_column("strut_diameter_m", "m", table, &GradeCase::strut_diameter_m),
         number_column("speed_m_per_s", "m/s", table, &GradeCase::speed_m_per_s),
         number_column("strain_rate_per_s", "1/s", table, &GradeCase::strain_rate_per_s),
         {"density_kg_per_m3", "kg/m^3",
          picked<double>(table, [](const auto& r) { return r.density_kg_per_m3; })},
         {"status", "", picked<std::string>(table, [](const auto& r) { return r.status; })},
         {"reason", "", picked<std::string>(table, [](const auto& r) { return r.reason; })},
         {"warning", "", picked<std::string>(table, [](const auto& r) { return r.warning; })}}};
    const auto traits = picked<CrushTraits>(table, [](const auto& r) { return r.traits; });
    for (h5::Column& column : trait_columns(traits))
        out.columns.push_back(std::move(column));
    out.columns.push_back(text_column("key", table, &GradeCase::key));
    return out;
}

std::string curve_group(std::size_t row) {
    return fmt::format("/curves/{:04d}", row + 1);
}

void write_curve_group(h5::Writer& file, const GradeRow& row, const std::string& group) {
    file.group(group);
    write_curve_columns(file, group, row.curve);
    file.text(group, "cell", row.grade.cell);
    file.text(group, "polymer", row.grade.polymer);
    file.number(group, "relative_density", row.grade.relative_density);
    file.number(group, "strut_diameter_m", row.grade.strut_diameter_m);
    file.number(group, "speed_m_per_s", row.grade.speed_m_per_s);
    file.number(group, "strain_rate_per_s", row.grade.strain_rate_per_s);
    file.text(group, "status", row.status);
    file.text(group, "key", row.grade.key);
    file.table(group + "/guards", guard_table(row.guards));
}

} // namespace

void write_grade_table(const std::filesystem::path& path,
                       const GradeTable& table,
                       const Provenance& provenance) {
    check_grade_table(table);
    h5::Writer file;
    file.text("/", "schema", schema);
    file.integers("/", "schema_version", {schema_major, schema_minor});
    file.text("/", "study_name", table.study_name);
    file.text("/", "caution", caution_text());
    file.text("/", "sign", "compression positive");
    for (const char* status : {"trusted", "untrusted", "failed"})
        file.integer("/", fmt::format("{}_cases", status), count_status(table, status));
    file.table("/traits", rows_table(table));
    file.group("/curves");
    for (std::size_t row = 0; row < table.rows.size(); ++row)
        write_curve_group(file, table.rows[row], curve_group(row));
    file.group("/definitions");
    for (const TraitField& field : trait_fields())
        file.text("/definitions", field.name, definition_text(field));
    Provenance kept = provenance;
    kept.run.reset();
    write_provenance(file, kept);
    file.publish(path);
}

GradeTable read_grade_table(const std::filesystem::path& path) {
    const h5::Reader file(path);
    const int minor = file.check_schema(schema, schema_major).second;
    const h5::Table rows = file.table("/traits");
    const std::vector<CrushTraits> traits = traits_from(rows);
    GradeTable table{.study_name = file.text("/", "study_name"), .rows = {}};
    for (std::size_t i = 0; i < rows.rows(); ++i)
        table.rows.push_back({.grade = {.key = rows.texts("key")[i],
                                        .cell = rows.texts("cell")[i],
                                        .polymer = rows.texts("polymer")[i],
                                        .relative_density = rows.numbers("relative_density")[i],
                                        .strut_diameter_m = rows.numbers("strut_diameter_m")[i],
                                        .speed_m_per_s = rows.numbers("speed_m_per_s")[i],
                                        .strain_rate_per_s = rows.numbers("strain_rate_per_s")[i]},
                              .status = rows.texts("status")[i],
                              .reason = rows.texts("reason")[i],
                              .warning = minor >= 1 ? rows.texts("warning")[i] : "",
                              .traits = traits[i],
                              .curve = read_curve_columns(file, curve_group(i)),
                              .density_kg_per_m3 = rows.numbers("density_kg_per_m3")[i],
                              .guards = guards_from(file.table(curve_group(i) + "/guards"))});
    check_grade_table(table);
    return table;
}

Provenance read_grade_table_provenance(const std::filesystem::path& path) {
    const h5::Reader file(path);
    (void)file.check_schema(schema, schema_major);
    return read_provenance(file);
}

} // namespace cellgrade
