// SPDX-License-Identifier: Apache-2.0
#include "solver/results/mesh_file.hpp"

#include "solver/core/error.hpp"

#include <fmt/format.h>

#include <array>
#include <span>
#include <utility>

namespace cellgrade {

namespace {

/// Whole numbers in rows of `width`; a column when that is 1.
void write_numbers(h5::Writer& file,
                   const std::string& name,
                   const std::vector<std::int32_t>& values,
                   std::size_t width) {
    const std::string path = "/mesh/" + name;
    h5::Shape shape{.dims = {values.size() / width}};
    if (width > 1)
        shape.dims.push_back(width);
    file.dataset(path, std::span<const std::int32_t>(values), shape);
    file.text(path, "units", "1");
}

/// Box, periodic axes, volume and faces: what both kinds of mesh have.
template <class Mesh>
void write_common(h5::Writer& file, const Mesh& mesh) {
    std::vector<double> nodes;
    for (const Vec3& x : mesh.nodes)
        nodes.insert(nodes.end(), x.begin(), x.end());
    file.dataset("/mesh/nodes_m", std::span<const double>(nodes), {.dims = {mesh.nodes.size(), 3}});
    file.text("/mesh/nodes_m", "units", "m");
    for (int axis = 0; axis < 3; ++axis)
        file.number("/mesh", fmt::format("box_{}_m", "xyz"[axis]), mesh.box[axis]);
    file.integers("/mesh", "periodic", {mesh.periodic[0], mesh.periodic[1], mesh.periodic[2]});
    file.number("/mesh", "solid_volume_m3", mesh.solid_volume);
    for (const auto& [name, face] : {std::pair{"bottom", &mesh.bottom}, {"top", &mesh.top}})
        write_numbers(file, name, *face, 1);
}

void write_beams(h5::Writer& file, const BeamMesh& mesh) {
    std::vector<double> radius, stiffness_factor, mass_factor;
    std::vector<std::int32_t> elements, image_b, strut;
    const std::vector<std::uint8_t> is_joint(mesh.is_joint.begin(), mesh.is_joint.end());
    for (const BeamElement& e : mesh.elements) {
        elements.insert(elements.end(), {e.a, e.b});
        image_b.insert(image_b.end(), e.image_b.begin(), e.image_b.end());
        radius.push_back(e.radius);
        stiffness_factor.push_back(e.stiffness_factor);
        mass_factor.push_back(e.mass_factor);
        strut.push_back(e.strut);
    }
    write_numbers(file, "elements", elements, 2);
    write_numbers(file, "image_b", image_b, 3);
    write_numbers(file, "strut", strut, 1);
    file.dataset("/mesh/is_joint", std::span<const std::uint8_t>(is_joint),
                 {.dims = {is_joint.size()}});
    file.text("/mesh/is_joint", "units", "1");
    file.column("/mesh/radius_m", radius, "m");
    file.column("/mesh/stiffness_factor", stiffness_factor, "1");
    file.column("/mesh/mass_factor", mass_factor, "1");
    file.number("/mesh", "centre_line_volume_m3", mesh.centre_line_volume);
}

template <class Rows>
std::vector<std::int32_t> flat(const Rows& rows) {
    std::vector<std::int32_t> values;
    for (const auto& row : rows)
        values.insert(values.end(), row.begin(), row.end());
    return values;
}

void write_tets(h5::Writer& file, const TetMesh& mesh) {
    std::vector<std::int32_t> copies;
    for (const NodeCopy& c : mesh.copies)
        copies.insert(copies.end(), {c.node, c.original, c.image[0], c.image[1], c.image[2]});
    write_numbers(file, "tets", flat(mesh.tets), 10);
    write_numbers(file, "surface", flat(mesh.surface), 6);
    write_numbers(file, "copies", copies, 5);
    file.integer("/mesh", "n_corners", mesh.n_corners);
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

template <class Mesh>
void read_common(const h5::Reader& file, Mesh& mesh) {
    const std::vector<double> nodes = file.doubles("/mesh/nodes_m");
    for (std::size_t i = 0; i + 2 < nodes.size(); i += 3)
        mesh.nodes.emplace_back(nodes[i], nodes[i + 1], nodes[i + 2]);
    const auto n = static_cast<Index>(mesh.nodes.size());
    mesh.bottom = read_indices(file, "/mesh/bottom", n);
    mesh.top = read_indices(file, "/mesh/top", n);
    const std::vector<std::int64_t> periodic = file.integers("/mesh", "periodic");
    for (std::size_t axis = 0; axis < 3; ++axis) {
        mesh.box[static_cast<Index>(axis)] =
            file.number("/mesh", fmt::format("box_{}_m", "xyz"[axis]));
        mesh.periodic[axis] = axis < periodic.size() && periodic[axis] != 0;
    }
    mesh.solid_volume = file.number("/mesh", "solid_volume_m3");
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

BeamMesh read_beams(const h5::Reader& file) {
    BeamMesh mesh;
    read_common(file, mesh);
    for (const std::int64_t joint : file.integers("/mesh/is_joint"))
        mesh.is_joint.push_back(joint != 0);
    mesh.elements = read_elements(file, static_cast<Index>(mesh.nodes.size()));
    mesh.centre_line_volume = file.number("/mesh", "centre_line_volume_m3");
    return mesh;
}

template <std::size_t width>
std::vector<std::array<Index, width>>
read_rows(const h5::Reader& file, const std::string& path, Index bound) {
    const std::vector<Index> flat = read_indices(file, path, bound);
    std::vector<std::array<Index, width>> rows(flat.size() / width);
    for (std::size_t i = 0; i < rows.size() * width; ++i)
        rows[i / width][i % width] = flat[i];
    return rows;
}

TetMesh read_tets(const h5::Reader& file) {
    TetMesh mesh;
    read_common(file, mesh);
    const auto n = static_cast<Index>(mesh.nodes.size());
    mesh.n_corners = static_cast<Index>(file.number("/mesh", "n_corners"));
    mesh.tets = read_rows<10>(file, "/mesh/tets", n);
    mesh.surface = read_rows<6>(file, "/mesh/surface", n);
    for (const auto& row : read_rows<5>(file, "/mesh/copies", n))
        mesh.copies.push_back(
            {.node = row[0], .original = row[1], .image = Vec3i(row[2], row[3], row[4])});
    return mesh;
}

} // namespace

void write_mesh(h5::Writer& file, const SpecimenMesh& mesh) {
    file.group("/mesh");
    std::visit([&](const auto& m) { write_common(file, m); }, mesh);
    if (const TetMesh* tets = solid(mesh))
        write_tets(file, *tets);
    else
        write_beams(file, *beams(mesh));
}

SpecimenMesh read_mesh(const h5::Reader& file) {
    if (file.has("/mesh/tets"))
        return read_tets(file);
    return read_beams(file);
}

} // namespace cellgrade
