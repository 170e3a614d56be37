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

using Int64s = std::vector<std::int64_t>;

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

void write_topology(h5::Writer& file, const LineGrid& grid) {
    const std::vector<std::uint8_t> types(grid.n_cells(), vtk_line);
    file.group("/VTKHDF");
    file.integers("/VTKHDF", "Version", {2, 0});
    file.fixed_text("/VTKHDF", "Type", "UnstructuredGrid");
    write_integers(file, "/VTKHDF/NumberOfPoints", {static_cast<std::int64_t>(grid.n_points())});
    write_integers(file, "/VTKHDF/NumberOfCells", {static_cast<std::int64_t>(grid.n_cells())});
    write_integers(file, "/VTKHDF/NumberOfConnectivityIds",
                   {static_cast<std::int64_t>(grid.connectivity.size())});
    write_integers(file, "/VTKHDF/Connectivity", grid.connectivity);
    write_integers(file, "/VTKHDF/Offsets", offsets(grid.n_cells() + 1, 2));
    file.dataset("/VTKHDF/Types", std::span<const std::uint8_t>(types), {.dims = {types.size()}});
    file.group("/VTKHDF/PointData");
    file.dataset("/VTKHDF/PointData/radius_m", std::span<const float>(grid.radius_m),
                 {.dims = {grid.n_points()}});
    file.group("/VTKHDF/CellData");
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
        CELLGRADE_CHECK(frame.size() == n_cells, "frame {}: {} has {} values for {} beams", k, name,
                        frame.size(), n_cells);
        for (const double value : frame)
            values.push_back(static_cast<float>(value));
    }
    file.dataset("/VTKHDF/CellData/" + name, std::span<const float>(values),
                 {.dims = {values.size()},
                  .chunk_rows = std::min<std::size_t>(n_cells, 120000),
                  .deflate = true});
    write_integers(file, "/VTKHDF/Steps/CellDataOffsets/" + name, offsets(frames.size(), n_cells));
}

void write_steps(h5::Writer& file, const LineGrid& grid, const std::vector<CrushFrame>& frames) {
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
    write_integers(file, steps + "/PointOffsets", offsets(n, grid.n_points()));
    const Int64s zeros = offsets(n, 0);
    for (const char* name : {"CellOffsets", "ConnectivityIdOffsets"})
        file.dataset(fmt::format("{}/{}", steps, name), std::span<const std::int64_t>(zeros),
                     {.dims = {n, 1}});
    file.group(steps + "/PointDataOffsets");
    write_integers(file, steps + "/PointDataOffsets/radius_m", zeros);
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
                         const BeamMesh& mesh,
                         const std::vector<CrushFrame>& frames) {
    CELLGRADE_CHECK(!frames.empty(), "{}: no frames were saved; nothing to write", path.string());
    const LineGrid grid = line_grid(mesh);
    std::vector<float> points;
    points.reserve(3 * grid.n_points() * frames.size());
    for (const CrushFrame& frame : frames)
        append_points(grid, frame.positions, points);
    h5::Writer file;
    write_topology(file, grid);
    write_points(file, points, grid.n_points());
    write_steps(file, grid, frames);
    write_cell_frames(file, "stored_energy_J", frames, &CrushFrame::element_stored_energy_J,
                      grid.n_cells());
    write_cell_frames(file, "axial_force_N", frames, &CrushFrame::element_axial_force_N,
                      grid.n_cells());
    write_own_group(file, frames);
    file.publish(path);
}

void write_vtkhdf_mesh(const std::filesystem::path& path, const BeamMesh& mesh) {
    const LineGrid grid = line_grid(mesh);
    std::vector<float> points;
    append_points(grid, mesh.nodes, points);
    std::vector<std::int32_t> strut;
    for (const BeamElement& e : mesh.elements)
        strut.push_back(e.strut);
    h5::Writer file;
    write_topology(file, grid);
    write_points(file, points, grid.n_points());
    file.dataset("/VTKHDF/CellData/strut", std::span<const std::int32_t>(strut),
                 {.dims = {strut.size()}});
    file.publish(path);
}

} // namespace cellgrade
