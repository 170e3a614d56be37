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

struct VtuCells {
    std::vector<std::int64_t> connectivity;
    int width = 0, type = 0;
};

std::string vtu_document(const std::vector<float>& points,
                         const VtuCells& cells,
                         const std::string& point_data,
                         const std::string& cell_data) {
    const std::size_t n = cells.connectivity.size() / static_cast<std::size_t>(cells.width);
    std::vector<std::int64_t> ends;
    for (std::size_t c = 0; c < n; ++c)
        ends.push_back(static_cast<std::int64_t>(c + 1) * cells.width);
    std::string text = "<?xml version=\"1.0\"?>\n<VTKFile type=\"UnstructuredGrid\" "
                       "version=\"1.0\" byte_order=\"LittleEndian\" header_type=\"UInt64\">\n"
                       "<UnstructuredGrid>\n";
    text +=
        fmt::format("<Piece NumberOfPoints=\"{}\" NumberOfCells=\"{}\">\n", points.size() / 3, n);
    text += "<PointData>\n" + point_data + "</PointData>\n<CellData>\n" + cell_data +
            "</CellData>\n<Points>\n";
    text += data_array("type=\"Float32\" Name=\"Points\" NumberOfComponents=\"3\"", points);
    text += "</Points>\n<Cells>\n";
    text += data_array("type=\"Int64\" Name=\"connectivity\"", cells.connectivity);
    text += data_array("type=\"Int64\" Name=\"offsets\"", ends);
    text += data_array("type=\"UInt8\" Name=\"types\"", std::vector<int>(n, cells.type));
    return text + "</Cells>\n</Piece>\n</UnstructuredGrid>\n</VTKFile>\n";
}

} // namespace

std::string vtu_text(const BeamMesh& mesh) {
    const LineGrid grid = line_grid(mesh);
    std::vector<float> points;
    append_points(grid, mesh.nodes, points);
    std::vector<int> strut;
    for (const BeamElement& e : mesh.elements)
        strut.push_back(e.strut);
    return vtu_document(points, {grid.connectivity, 2, 3},
                        data_array("type=\"Float32\" Name=\"radius_m\"", grid.radius_m),
                        data_array("type=\"Int32\" Name=\"strut\"", strut));
}

std::string vtu_text(const TetMesh& mesh) {
    std::vector<float> points;
    append_points(mesh.nodes, points);
    VtuCells cells{.connectivity = {}, .width = 10, .type = 24};
    for (const TetNodes& tet : mesh.tets)
        cells.connectivity.insert(cells.connectivity.end(), tet.begin(), tet.end());
    return vtu_document(points, cells, "", "");
}

std::string vtu_text(const SpecimenMesh& mesh) {
    return std::visit([](const auto& m) { return vtu_text(m); }, mesh);
}

} // namespace cellgrade
