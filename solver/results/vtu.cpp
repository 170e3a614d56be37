// SPDX-License-Identifier: Apache-2.0
#include "solver/results/vtu.hpp"

#include "solver/results/line_grid.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace cellgrade {

namespace {

/// One DataArray element, twelve values a line.
template <class T>
std::string data_array(const char* attributes, const std::vector<T>& values) {
    std::string text = fmt::format("<DataArray {} format=\"ascii\">\n", attributes);
    for (std::size_t start = 0; start < values.size(); start += 12) {
        const std::size_t end = std::min(start + 12, values.size());
        text +=
            fmt::format("{}\n", fmt::join(values.begin() + static_cast<std::ptrdiff_t>(start),
                                          values.begin() + static_cast<std::ptrdiff_t>(end), " "));
    }
    return text + "</DataArray>\n";
}

} // namespace

std::string vtu_text(const BeamMesh& mesh) {
    const LineGrid grid = line_grid(mesh);
    std::vector<float> points;
    append_points(grid, mesh.nodes, points);
    std::vector<std::int64_t> ends;
    std::vector<int> types(grid.n_cells(), 3), strut;
    for (std::size_t c = 0; c < grid.n_cells(); ++c) {
        ends.push_back(static_cast<std::int64_t>(2 * c + 2));
        strut.push_back(mesh.elements[c].strut);
    }
    std::string text = "<?xml version=\"1.0\"?>\n<VTKFile type=\"UnstructuredGrid\" "
                       "version=\"1.0\" byte_order=\"LittleEndian\" header_type=\"UInt64\">\n"
                       "<UnstructuredGrid>\n";
    text += fmt::format("<Piece NumberOfPoints=\"{}\" NumberOfCells=\"{}\">\n<PointData>\n",
                        grid.n_points(), grid.n_cells());
    text += data_array("type=\"Float32\" Name=\"radius_m\"", grid.radius_m);
    text += "</PointData>\n<CellData>\n";
    text += data_array("type=\"Int32\" Name=\"strut\"", strut);
    text += "</CellData>\n<Points>\n";
    text += data_array("type=\"Float32\" Name=\"Points\" NumberOfComponents=\"3\"", points);
    text += "</Points>\n<Cells>\n";
    text += data_array("type=\"Int64\" Name=\"connectivity\"", grid.connectivity);
    text += data_array("type=\"Int64\" Name=\"offsets\"", ends);
    text += data_array("type=\"UInt8\" Name=\"types\"", types);
    return text + "</Cells>\n</Piece>\n</UnstructuredGrid>\n</VTKFile>\n";
}

} // namespace cellgrade
