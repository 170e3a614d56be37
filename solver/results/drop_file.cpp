// SPDX-License-Identifier: Apache-2.0
#include "solver/results/drop_file.hpp"

#include "solver/core/error.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/mesh_file.hpp"
#include "solver/results/print_values.hpp"
#include "solver/results/provenance_file.hpp"

#include <array>
#include <utility>

namespace cellgrade {

namespace {

const std::string schema = "cellgrade/drop";
constexpr int schema_major = 1, schema_minor = 0;

/// Scalars of the record, one attribute each.
constexpr std::array<std::pair<const char*, double DropRecord::*>, 9> scalars{
    {{"striker_mass_kg", &DropRecord::striker_mass_kg},
     {"gross_area_m2", &DropRecord::gross_area_m2},
     {"height_m", &DropRecord::height_m},
     {"pad_mass_kg", &DropRecord::pad_mass_kg},
     {"relative_density", &DropRecord::relative_density},
     {"solid_density_kg_per_m3", &DropRecord::solid_density_kg_per_m3},
     {"channel_class_Hz", &DropRecord::channel_class_Hz},
     {"stable_step_s", &DropRecord::stable_step_s},
     {"added_inertia_share", &DropRecord::added_inertia_share}}};

constexpr std::array<std::pair<const char*, Index DropRecord::*>, 3> counts{
    {{"steps", &DropRecord::steps},
     {"elements", &DropRecord::elements},
     {"nodes", &DropRecord::nodes}}};

constexpr std::array<std::pair<const char*, double DropInjury::*>, 3> injuries{
    {{"hic15", &DropInjury::hic15},
     {"hic36", &DropInjury::hic36},
     {"severity_index", &DropInjury::severity_index}}};

void write_root(h5::Writer& file, const DropRecord& record) {
    file.text("/", "schema", schema);
    file.integers("/", "schema_version", {schema_major, schema_minor});
    file.text("/", "verdict", record.trusted() ? "trusted" : "untrusted");
    file.text("/", "verdict_text", drop_verdict(record));
    file.text("/", "caution", caution_text());
    file.text("/", "end", drop_end_name(record.end));
    file.text("/", "failure", record.failure);
    file.texts("/", "notes", record.notes);
    file.text("/", "sign",
              "forces on the striker and on the pad upwards positive, speeds into the "
              "pad positive");
    file.integer("/", "past_densification", record.past_densification ? 1 : 0);
    for (const auto& [name, member] : scalars)
        file.number("/", name, record.*member);
    for (const auto& [name, member] : counts)
        file.integer("/", name, record.*member);
}

void write_history(h5::Writer& file, const DropHistory& history) {
    file.group("/history");
    const std::string axis = "/history/time_s";
    for (const DropHistoryField& field : drop_history_fields()) {
        const std::string path = fmt::format("/history/{}", field.name);
        file.column(path, history.*field.member, field.units);
        if (path != axis)
            file.attach_scale(path, 0, axis, "time_s");
    }
}

void write_traits(h5::Writer& file, const DropTraits& traits) {
    h5::Table table;
    std::vector<std::string> meanings;
    for (const DropField& field : drop_fields()) {
        table.columns.push_back(
            {field.name, field.units, std::vector<double>{traits.*field.member}});
        meanings.push_back(fmt::format("{}: {}", field.name, field.meaning));
    }
    file.table("/traits", table);
    file.texts("/traits", "definitions", meanings);
}

DropEnd end_from(const h5::Reader& file) {
    const std::string end = file.text("/", "end");
    for (const DropEnd known :
         {DropEnd::Left, DropEnd::TimeLimit, DropEnd::Failed, DropEnd::Interrupted})
        if (drop_end_name(known) == end)
            return known;
    throw Error(Fault::Input, fmt::format("unknown end of the drop '{}'", end),
                {.file = file.file_name(), .key = "end"});
}

DropRecord read_record(const h5::Reader& file) {
    DropRecord record;
    record.end = end_from(file);
    record.failure = file.text("/", "failure");
    record.notes = file.texts("/", "notes");
    record.past_densification = file.number("/", "past_densification") != 0.0;
    for (const auto& [name, member] : scalars)
        record.*member = file.number("/", name);
    for (const auto& [name, member] : counts)
        record.*member = static_cast<Index>(file.number("/", name));
    for (const DropHistoryField& field : drop_history_fields())
        record.history.*field.member = file.doubles(fmt::format("/history/{}", field.name));
    const h5::Table traits = file.table("/traits");
    if (traits.rows() != 1)
        throw Error(Fault::Input, "must have one row",
                    {.file = file.file_name(), .key = "/traits"});
    for (const DropField& field : drop_fields())
        record.traits.*field.member = traits.numbers(field.name).front();
    record.print = read_print_values(file);
    record.guards = guards_from(file.table("/guards"));
    return record;
}

} // namespace

void write_drop_file(const std::filesystem::path& path, const DropResult& result) {
    h5::Writer file;
    write_root(file, result.record);
    write_print_values(file, result.record.print);
    write_history(file, result.record.history);
    write_traits(file, result.record.traits);
    file.group("/injury");
    for (const auto& [name, member] : injuries)
        file.number("/injury", name, result.injury.*member);
    file.table("/guards", guard_table(result.record.guards));
    write_mesh(file, result.mesh);
    write_provenance(file, result.provenance);
    file.publish(path);
}

DropResult read_drop_file(const std::filesystem::path& path) {
    const h5::Reader file(path);
    (void)file.check_schema(schema, schema_major);
    DropInjury injury;
    for (const auto& [name, member] : injuries)
        injury.*member = file.number("/injury", name);
    return {.record = read_record(file),
            .injury = injury,
            .mesh = read_mesh(file),
            .provenance = read_provenance(file)};
}

} // namespace cellgrade
