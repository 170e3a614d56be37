// SPDX-License-Identifier: Apache-2.0
#include "solver/results/crush_file.hpp"

#include "solver/core/error.hpp"
#include "solver/crush/run_verdict.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/mesh_file.hpp"
#include "solver/results/print_values.hpp"
#include "solver/results/provenance_file.hpp"
#include "solver/results/trait_table.hpp"

#include <array>
#include <utility>

namespace cellgrade {

namespace {

const std::string schema = "cellgrade/crush";
constexpr int schema_major = 1, schema_minor = 2;

constexpr std::array<std::pair<CrushEnd, const char*>, 5> end_names{
    {{CrushEnd::TargetStrain, "target_strain"},
     {CrushEnd::StressRise, "stress_rise"},
     {CrushEnd::Unloaded, "unloaded"},
     {CrushEnd::Failed, "failed"},
     {CrushEnd::Interrupted, "interrupted"}}};

/// Scalars of the record, one attribute each.
constexpr std::array<std::pair<const char*, double CrushRecord::*>, 9> scalars{
    {{"gross_area_m2", &CrushRecord::gross_area_m2},
     {"height_m", &CrushRecord::height_m},
     {"mass_kg", &CrushRecord::mass_kg},
     {"solid_volume_m3", &CrushRecord::solid_volume_m3},
     {"relative_density", &CrushRecord::relative_density},
     {"solid_density_kg_per_m3", &CrushRecord::solid_density_kg_per_m3},
     {"clock_ratio", &CrushRecord::clock_ratio},
     {"added_inertia_share", &CrushRecord::added_inertia_share},
     {"stable_step_s", &CrushRecord::stable_step_s}}};

constexpr std::array<std::pair<const char*, Index CrushRecord::*>, 4> counts{
    {{"steps", &CrushRecord::steps},
     {"elements", &CrushRecord::elements},
     {"nodes", &CrushRecord::nodes},
     {"turn_row", &CrushRecord::turn_row}}};

void write_root(h5::Writer& file, const CrushRecord& record) {
    file.text("/", "schema", schema);
    file.integers("/", "schema_version", {schema_major, schema_minor});
    file.text("/", "verdict", record.trusted() ? "trusted" : "untrusted");
    file.text("/", "verdict_text", verdict_text(record));
    file.text("/", "caution", caution_text());
    file.text("/", "end", crush_end_name(record.end));
    file.text("/", "failure", record.failure);
    file.texts("/", "notes", record.notes);
    file.text("/", "sign", "compression positive in history and curve");
    for (const auto& [name, member] : scalars)
        file.number("/", name, record.*member);
    for (const auto& [name, member] : counts)
        file.integer("/", name, record.*member);
    file.integer("/", "shear_row", record.shear_row);
    file.integer("/", "sideways", record.sideways ? 1 : 0);
}

void write_history(h5::Writer& file, const CrushHistory& history) {
    file.group("/history");
    const std::string axis = "/history/time_s";
    for (const HistoryField& field : history_fields()) {
        const std::string path = fmt::format("/history/{}", field.name);
        file.column(path, history.*field.member, field.units);
        if (path != axis)
            file.attach_scale(path, 0, axis, "time_s");
    }
}

void write_curve(h5::Writer& file, const CrushCurve& curve) {
    file.group("/curve");
    write_curve_columns(file, "/curve", curve);
}

CrushRecord read_record(const h5::Reader& file, int minor) {
    CrushRecord record;
    const std::string end = file.text("/", "end");
    bool known = false;
    for (const auto& [value, name] : end_names)
        if (end == name) {
            record.end = value;
            known = true;
        }
    if (!known)
        throw Error(Fault::Input, fmt::format("unknown end of the crush '{}'", end),
                    {.file = file.file_name(), .key = "end"});
    record.failure = file.text("/", "failure");
    record.notes = file.texts("/", "notes");
    for (const auto& [name, member] : scalars)
        record.*member = file.number("/", name);
    for (const auto& [name, member] : counts)
        record.*member = static_cast<Index>(file.number("/", name));
    for (const HistoryField& field : history_fields()) {
        const std::string at = fmt::format("/history/{}", field.name);
        record.history.*field.member =
            file.has(at) ? file.doubles(at) : std::vector<double>(record.history.time_s.size());
    }
    if (minor >= 2) {
        record.shear_row = static_cast<Index>(file.number("/", "shear_row"));
        record.sideways = file.number("/", "sideways") != 0.0;
    } else { // before the platen could move sideways
        record.shear_row = static_cast<Index>(record.history.time_s.size());
    }
    record.print = read_print_values(file);
    record.guards = guards_from(file.table("/guards"));
    return record;
}

} // namespace

std::string crush_end_name(CrushEnd end) {
    for (const auto& [value, name] : end_names)
        if (value == end)
            return name;
    throw input_error("unknown end of a crush");
}

std::string verdict_text(const CrushRecord& record) {
    return run_verdict({.failed = record.end == CrushEnd::Failed,
                        .failure = record.failure,
                        .interrupted = record.end == CrushEnd::Interrupted,
                        .guards = record.guards});
}

void write_crush_file(const std::filesystem::path& path, const CrushResult& result) {
    h5::Writer file;
    write_root(file, result.record);
    write_print_values(file, result.record.print);
    write_history(file, result.record.history);
    write_curve(file, result.curve);
    file.table("/traits", {trait_columns({&result.traits, 1})});
    file.texts("/traits", "definitions", trait_meanings());
    file.table("/guards", guard_table(result.record.guards));
    write_mesh(file, result.mesh);
    write_provenance(file, result.provenance);
    file.publish(path);
}

CrushResult read_crush_file(const std::filesystem::path& path) {
    const h5::Reader file(path);
    const int minor = file.check_schema(schema, schema_major).second;
    CrushResult result{.record = read_record(file, minor),
                       .curve = read_curve_columns(file, "/curve")};
    const std::vector<CrushTraits> traits = traits_from(file.table("/traits"));
    if (traits.size() != 1)
        throw Error(Fault::Input, "must have one row", {.file = path.string(), .key = "/traits"});
    result.traits = traits.front();
    result.mesh = read_mesh(file);
    result.provenance = read_provenance(file);
    return result;
}

} // namespace cellgrade
