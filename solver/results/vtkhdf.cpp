// SPDX-License-Identifier: Apache-2.0
#include "solver/results/vtkhdf.hpp"

#include "solver/core/error.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/line_grid.hpp"
#include "solver/results/provenance.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <string>

namespace cellgrade {

namespace {

constexpr std::uint8_t vtk_line = 3;
constexpr std::uint8_t vtk_quadratic_tetra = 24;

using Int64s = std::vector<std::int64_t>;

/// Cells of one kind.
struct Cells {
    std::uint8_t type = 0;
    std::size_t width = 0; ///< points a cell
    std::size_t n_points = 0;
    Int64s connectivity;

    [[nodiscard]] std::size_t count() const { return connectivity.size() / width; }
};

Cells cells_of(const LineGrid& grid) {
    return {vtk_line, 2, grid.n_points(), grid.connectivity};
}

Cells cells_of(const TetMesh& mesh) {
    Cells cells{vtk_quadratic_tetra, 10, mesh.nodes.size(), {}};
    cells.connectivity.reserve(10 * mesh.tets.size());
    for (const TetNodes& tet : mesh.tets)
        cells.connectivity.insert(cells.connectivity.end(), tet.begin(), tet.end());
    return cells;
}

void write_integers(h5::Writer& file, const std::string& path, const Int64s& values) {
    file.dataset(path, std::span<const std::int64_t>(values), {.dims = {values.size()}});
}

/// 0, stride, 2 stride, ...; stride 0 says that one array serves all frames.
Int64s offsets(std::size_t count, std::size_t stride) {
    Int64s values;
    for (std::size_t i = 0; i < count; ++i)
        values.push_back(static_cast<std::int64_t>(i * stride));
    return values;
}

void write_topology(h5::Writer& file, const Cells& cells) {
    const std::vector<std::uint8_t> types(cells.count(), cells.type);
    file.group("/VTKHDF");
    file.integers("/VTKHDF", "Version", {2, 0});
    file.fixed_text("/VTKHDF", "Type", "UnstructuredGrid");
    write_integers(file, "/VTKHDF/NumberOfPoints", {static_cast<std::int64_t>(cells.n_points)});
    write_integers(file, "/VTKHDF/NumberOfCells", {static_cast<std::int64_t>(cells.count())});
    write_integers(file, "/VTKHDF/NumberOfConnectivityIds",
                   {static_cast<std::int64_t>(cells.connectivity.size())});
    write_integers(file, "/VTKHDF/Connectivity", cells.connectivity);
    write_integers(file, "/VTKHDF/Offsets", offsets(cells.count() + 1, cells.width));
    file.dataset("/VTKHDF/Types", std::span<const std::uint8_t>(types), {.dims = {types.size()}});
    file.group("/VTKHDF/PointData");
    file.group("/VTKHDF/CellData");
}

void write_radius(h5::Writer& file, const LineGrid& grid) {
    file.dataset("/VTKHDF/PointData/radius_m", std::span<const float>(grid.radius_m),
                 {.dims = {grid.n_points()}});
}

void write_points(h5::Writer& file, const std::vector<float>& points, std::size_t n_points) {
    file.dataset("/VTKHDF/Points", std::span<const float>(points),
                 {.dims = {points.size() / 3, 3},
                  .chunk_rows = std::min<std::size_t>(n_points, 40000), // 480 kB
                  .deflate = true});
}

void write_cell_frames(h5::Writer& file,
                       const std::string& name,
                       const std::vector<CrushFrame>& frames,
                       std::vector<double> CrushFrame::*member,
                       std::size_t n_cells) {
    std::vector<float> values;
    for (std::size_t k = 0; k < frames.size(); ++k) {
        const std::vector<double>& frame = frames[k].*member;
        CELLGRADE_CHECK(frame.size() == n_cells, "frame {}: {} has {} values for {} elements", k,
                        name, frame.size(), n_cells);
        for (const double value : frame)
            values.push_back(static_cast<float>(value));
    }
    file.dataset("/VTKHDF/CellData/" + name, std::span<const float>(values),
                 {.dims = {values.size()},
                  .chunk_rows = std::min<std::size_t>(n_cells, 120000),
                  .deflate = true});
    write_integers(file, "/VTKHDF/Steps/CellDataOffsets/" + name, offsets(frames.size(), n_cells));
}

void write_steps(h5::Writer& file, std::size_t n_points, const std::vector<CrushFrame>& frames) {
    const std::size_t n = frames.size();
    const std::string steps = "/VTKHDF/Steps";
    std::vector<double> time;
    for (const CrushFrame& frame : frames)
        time.push_back(frame.time_s);
    file.group(steps);
    file.integer(steps, "NSteps", static_cast<std::int64_t>(n));
    file.column(steps + "/Values", time, "s");
    // The reader looks up cells at CellOffset + PartOffset, so both stay 0 for one topology.
    write_integers(file, steps + "/PartOffsets", offsets(n, 0));
    write_integers(file, steps + "/NumberOfParts", Int64s(n, 1));
    write_integers(file, steps + "/PointOffsets", offsets(n, n_points));
    const Int64s zeros = offsets(n, 0);
    for (const char* name : {"CellOffsets", "ConnectivityIdOffsets"})
        file.dataset(fmt::format("{}/{}", steps, name), std::span<const std::int64_t>(zeros),
                     {.dims = {n, 1}});
    file.group(steps + "/PointDataOffsets");
    file.group(steps + "/CellDataOffsets");
}

void write_own_group(h5::Writer& file, const std::vector<CrushFrame>& frames) {
    file.group("/cellgrade");
    file.text("/cellgrade", "caution", caution_text());
    std::vector<double> strain;
    for (const CrushFrame& frame : frames)
        strain.push_back(frame.nominal_strain);
    file.column("/cellgrade/nominal_strain", strain, "1");
}

} // namespace

void write_vtkhdf_frames(const std::filesystem::path& path,
                         const SpecimenMesh& mesh,
                         const std::vector<CrushFrame>& frames) {
    CELLGRADE_CHECK(!frames.empty(), "{}: no frames were saved; nothing to write", path.string());
    const LineGrid grid = beams(mesh) != nullptr ? line_grid(*beams(mesh)) : LineGrid{};
    const Cells cells = solid(mesh) != nullptr ? cells_of(*solid(mesh)) : cells_of(grid);
    std::vector<float> points;
    points.reserve(3 * cells.n_points * frames.size());
    for (const CrushFrame& frame : frames) {
        if (beams(mesh) != nullptr)
            append_points(grid, frame.positions, points);
        else
            append_points(frame.positions, points);
    }
    h5::Writer file;
    write_topology(file, cells);
    write_points(file, points, cells.n_points);
    write_steps(file, cells.n_points, frames);
    write_cell_frames(file, "stored_energy_J", frames, &CrushFrame::element_stored_energy_J,
                      cells.count());
    if (beams(mesh) != nullptr) {
        write_radius(file, grid);
        write_integers(file, "/VTKHDF/Steps/PointDataOffsets/radius_m", offsets(frames.size(), 0));
        write_cell_frames(file, "axial_force_N", frames, &CrushFrame::element_axial_force_N,
                          cells.count());
    }
    write_own_group(file, frames);
    file.publish(path);
}

void write_vtkhdf_mesh(const std::filesystem::path& path, const SpecimenMesh& mesh) {
    const LineGrid grid = beams(mesh) != nullptr ? line_grid(*beams(mesh)) : LineGrid{};
    const Cells cells = solid(mesh) != nullptr ? cells_of(*solid(mesh)) : cells_of(grid);
    std::vector<float> points;
    h5::Writer file;
    write_topology(file, cells);
    if (solid(mesh) != nullptr) {
        append_points(solid(mesh)->nodes, points);
    } else {
        append_points(grid, beams(mesh)->nodes, points);
        write_radius(file, grid);
        std::vector<std::int32_t> strut;
        for (const BeamElement& e : beams(mesh)->elements)
            strut.push_back(e.strut);
        file.dataset("/VTKHDF/CellData/strut", std::span<const std::int32_t>(strut),
                     {.dims = {strut.size()}});
    }
    write_points(file, points, cells.n_points);
    file.publish(path);
}

} // namespace cellgrade
