// SPDX-License-Identifier: Apache-2.0
#include "solver/results/provenance_file.hpp"

#include <fmt/format.h>

namespace cellgrade {

namespace {

const std::string root = "/provenance";
const std::string inputs = root + "/inputs";
const std::string run = root + "/run";

} // namespace

h5::Table guard_table(const std::vector<GuardResult>& guards) {
    std::vector<std::string> name;
    std::vector<double> value, limit;
    std::vector<std::uint8_t> met, enforced;
    for (const GuardResult& guard : guards) {
        name.push_back(guard.name);
        value.push_back(guard.value);
        limit.push_back(guard.limit);
        met.push_back(guard.met);
        enforced.push_back(guard.enforced);
    }
    return {{{"name", "", std::move(name)},
             {"value", "1", std::move(value)},
             {"limit", "1", std::move(limit)},
             {"met", "1", std::move(met)},
             {"enforced", "1", std::move(enforced)}}};
}

std::vector<GuardResult> guards_from(const h5::Table& table) {
    std::vector<GuardResult> guards;
    for (std::size_t i = 0; i < table.rows(); ++i)
        guards.push_back({.name = table.texts("name")[i],
                          .value = table.numbers("value")[i],
                          .limit = table.numbers("limit")[i],
                          .met = table.flags("met")[i] != 0,
                          .enforced = table.flags("enforced")[i] != 0});
    return guards;
}

void write_provenance(h5::Writer& file, const Provenance& provenance) {
    const BuildInfo& build = provenance.build;
    file.group(root);
    file.text(root, "program", build.program);
    file.text(root, "version", build.version);
    file.text(root, "commit", build.commit);
    file.integer(root, "dirty", build.dirty ? 1 : 0);
    file.text(root, "compiler", build.compiler);
    file.text(root, "flags", build.flags);
    file.texts(root, "libraries", build.libraries);
    file.texts(root, "command_line", provenance.command_line);
    file.text(root, "resolved_config", provenance.resolved_config);
    file.texts(root, "seeds", provenance.seeds);
    file.group(inputs);
    for (std::size_t i = 0; i < provenance.inputs.size(); ++i) {
        const InputText& input = provenance.inputs[i];
        const std::string group = fmt::format("{}/{:04d}", inputs, i + 1);
        file.group(group);
        file.text(group, "name", input.name);
        file.text(group, "text", input.text);
        file.text(group, "sha256", input.sha256);
    }
    file.table(root + "/limits", guard_table(provenance.limits));
    if (provenance.run) {
        file.group(run);
        file.text(run, "start_utc", provenance.run->start_utc);
        file.number(run, "wall_time_s", provenance.run->wall_time_s);
        file.integer(run, "threads", provenance.run->threads);
    }
}

Provenance read_provenance(const h5::Reader& file) {
    Provenance p;
    p.build = {.program = file.text(root, "program"),
               .version = file.text(root, "version"),
               .commit = file.text(root, "commit"),
               .dirty = file.number(root, "dirty") > 0.0,
               .compiler = file.text(root, "compiler"),
               .flags = file.text(root, "flags"),
               .libraries = file.texts(root, "libraries")};
    p.command_line = file.texts(root, "command_line");
    p.resolved_config = file.text(root, "resolved_config");
    p.seeds = file.texts(root, "seeds");
    for (const std::string& name : file.names(inputs)) {
        const std::string group = inputs + "/" + name;
        p.inputs.push_back({.name = file.text(group, "name"),
                            .text = file.text(group, "text"),
                            .sha256 = file.text(group, "sha256")});
    }
    p.limits = guards_from(file.table(root + "/limits"));
    if (file.has(run))
        p.run = RunInfo{.start_utc = file.text(run, "start_utc"),
                        .wall_time_s = file.number(run, "wall_time_s"),
                        .threads = static_cast<Index>(file.number(run, "threads"))};
    return p;
}

} // namespace cellgrade
