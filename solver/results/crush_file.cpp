// SPDX-License-Identifier: Apache-2.0
#include "solver/results/crush_file.hpp"

#include "solver/core/error.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/provenance_file.hpp"
#include "solver/results/trait_table.hpp"

#include <array>
#include <utility>

namespace cellgrade {

namespace {

const std::string schema = "cellgrade/crush";
constexpr int schema_major = 1, schema_minor = 0;

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

void write_mesh(h5::Writer& file, const BeamMesh& mesh) {
    std::vector<double> nodes, radius, stiffness_factor, mass_factor;
    std::vector<std::int32_t> elements, image_b, strut;
    std::vector<std::uint8_t> is_joint(mesh.is_joint.begin(), mesh.is_joint.end());
    for (const Vec3& x : mesh.nodes)
        nodes.insert(nodes.end(), x.begin(), x.end());
    for (const BeamElement& e : mesh.elements) {
        elements.insert(elements.end(), {e.a, e.b});
        image_b.insert(image_b.end(), e.image_b.begin(), e.image_b.end());
        radius.push_back(e.radius);
        stiffness_factor.push_back(e.stiffness_factor);
        mass_factor.push_back(e.mass_factor);
        strut.push_back(e.strut);
    }
    const std::size_t n = mesh.nodes.size(), m = mesh.elements.size();
    file.group("/mesh");
    file.dataset("/mesh/nodes_m", std::span<const double>(nodes), {.dims = {n, 3}});
    file.text("/mesh/nodes_m", "units", "m");
    file.dataset("/mesh/elements", std::span<const std::int32_t>(elements), {.dims = {m, 2}});
    file.dataset("/mesh/image_b", std::span<const std::int32_t>(image_b), {.dims = {m, 3}});
    file.dataset("/mesh/strut", std::span<const std::int32_t>(strut), {.dims = {m}});
    file.dataset("/mesh/is_joint", std::span<const std::uint8_t>(is_joint),
                 {.dims = {is_joint.size()}});
    for (const char* name : {"elements", "image_b", "strut", "is_joint"})
        file.text(fmt::format("/mesh/{}", name), "units", "1");
    file.column("/mesh/radius_m", radius, "m");
    file.column("/mesh/stiffness_factor", stiffness_factor, "1");
    file.column("/mesh/mass_factor", mass_factor, "1");
    for (int axis = 0; axis < 3; ++axis)
        file.number("/mesh", fmt::format("box_{}_m", "xyz"[axis]), mesh.box[axis]);
    file.integers("/mesh", "periodic", {mesh.periodic[0], mesh.periodic[1], mesh.periodic[2]});
    file.number("/mesh", "solid_volume_m3", mesh.solid_volume);
    file.number("/mesh", "centre_line_volume_m3", mesh.centre_line_volume);
    for (const auto& [name, face] : {std::pair{"bottom", &mesh.bottom}, {"top", &mesh.top}}) {
        const std::string path = fmt::format("/mesh/{}", name);
        file.dataset(path, std::span<const std::int32_t>(*face), {.dims = {face->size()}});
        file.text(path, "units", "1");
    }
}

CrushRecord read_record(const h5::Reader& file) {
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
    for (const HistoryField& field : history_fields())
        record.history.*field.member = file.doubles(fmt::format("/history/{}", field.name));
    record.guards = guards_from(file.table("/guards"));
    return record;
}

std::vector<Index> read_indices(const h5::Reader& file, const std::string& path, Index bound) {
    std::vector<Index> indices;
    for (const std::int64_t value : file.integers(path)) {
        if (value < 0 || value >= bound)
            throw Error(Fault::Input, fmt::format("index {} is not below {}", value, bound),
                        {.file = file.file_name(), .key = path});
        indices.push_back(static_cast<Index>(value));
    }
    return indices;
}

std::vector<BeamElement> read_elements(const h5::Reader& file, Index n_nodes) {
    const std::vector<Index> ends = read_indices(file, "/mesh/elements", n_nodes);
    const std::vector<std::int64_t> image = file.integers("/mesh/image_b");
    const std::vector<std::int64_t> strut = file.integers("/mesh/strut");
    const std::vector<double> radius = file.doubles("/mesh/radius_m");
    const std::vector<double> stiffness = file.doubles("/mesh/stiffness_factor");
    const std::vector<double> mass = file.doubles("/mesh/mass_factor");
    const std::size_t m = radius.size();
    if (ends.size() != 2 * m || image.size() != 3 * m || strut.size() != m ||
        stiffness.size() != m || mass.size() != m)
        throw Error(Fault::Input, "its datasets have different lengths",
                    {.file = file.file_name(), .key = "/mesh"});
    std::vector<BeamElement> elements(m);
    for (std::size_t e = 0; e < m; ++e) {
        elements[e] = {.a = ends[2 * e],
                       .b = ends[2 * e + 1],
                       .radius = radius[e],
                       .stiffness_factor = stiffness[e],
                       .mass_factor = mass[e],
                       .strut = static_cast<Index>(strut[e])};
        for (std::size_t axis = 0; axis < 3; ++axis)
            elements[e].image_b[static_cast<Index>(axis)] = static_cast<int>(image[3 * e + axis]);
    }
    return elements;
}

BeamMesh read_mesh(const h5::Reader& file) {
    BeamMesh mesh;
    const std::vector<double> nodes = file.doubles("/mesh/nodes_m");
    for (std::size_t i = 0; i + 2 < nodes.size(); i += 3)
        mesh.nodes.emplace_back(nodes[i], nodes[i + 1], nodes[i + 2]);
    const auto n = static_cast<Index>(mesh.nodes.size());
    for (const std::int64_t joint : file.integers("/mesh/is_joint"))
        mesh.is_joint.push_back(joint != 0);
    mesh.elements = read_elements(file, n);
    mesh.bottom = read_indices(file, "/mesh/bottom", n);
    mesh.top = read_indices(file, "/mesh/top", n);
    const std::vector<std::int64_t> periodic = file.integers("/mesh", "periodic");
    for (std::size_t axis = 0; axis < 3; ++axis) {
        mesh.box[static_cast<Index>(axis)] =
            file.number("/mesh", fmt::format("box_{}_m", "xyz"[axis]));
        mesh.periodic[axis] = axis < periodic.size() && periodic[axis] != 0;
    }
    mesh.solid_volume = file.number("/mesh", "solid_volume_m3");
    mesh.centre_line_volume = file.number("/mesh", "centre_line_volume_m3");
    return mesh;
}

} // namespace

std::string crush_end_name(CrushEnd end) {
    for (const auto& [value, name] : end_names)
        if (value == end)
            return name;
    throw input_error("unknown end of a crush");
}

std::string verdict_text(const CrushRecord& record) {
    if (record.trusted())
        return "trusted: the run reached its end and met every enforced limit";
    std::string why;
    const auto add = [&](const std::string& reason) { why += (why.empty() ? "" : "; ") + reason; };
    if (record.end == CrushEnd::Failed)
        add("the run failed" + (record.failure.empty() ? "" : ": " + record.failure));
    if (record.end == CrushEnd::Interrupted)
        add("the run was interrupted");
    for (const GuardResult& guard : record.guards)
        if (guard.enforced && !guard.met)
            add(fmt::format("{} {:.3g} is outside its limit {:.3g}", guard.name, guard.value,
                            guard.limit));
    return "untrusted: " + why;
}

void write_crush_file(const std::filesystem::path& path, const CrushResult& result) {
    h5::Writer file;
    write_root(file, result.record);
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
    (void)file.check_schema(schema, schema_major);
    CrushResult result{.record = read_record(file), .curve = read_curve_columns(file, "/curve")};
    const std::vector<CrushTraits> traits = traits_from(file.table("/traits"));
    if (traits.size() != 1)
        throw Error(Fault::Input, "must have one row", {.file = path.string(), .key = "/traits"});
    result.traits = traits.front();
    result.mesh = read_mesh(file);
    result.provenance = read_provenance(file);
    return result;
}

} // namespace cellgrade
