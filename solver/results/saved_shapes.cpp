// SPDX-License-Identifier: Apache-2.0
#include "solver/results/saved_shapes.hpp"

#include "solver/core/error.hpp"
#include "solver/results/hdf5.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

constexpr std::int64_t vtk_line = 3, vtk_quadratic_tetra = 24;

std::vector<float> floats(const std::vector<double>& values) {
    std::vector<float> out;
    out.reserve(values.size());
    for (const double value : values)
        out.push_back(static_cast<float>(value));
    return out;
}

} // namespace

SavedShapes read_saved_shapes(const std::filesystem::path& path) {
    const h5::Reader file(path);
    const auto need = [&](bool holds, const char* what) {
        if (!holds)
            throw Error(Fault::Input, what, {.file = path.string()});
    };
    need(file.has("/VTKHDF/Steps") && file.has("/cellgrade/nominal_strain"),
         "holds no saved shapes; --frames of cellgrade crush or drop writes them");
    const std::vector<std::int64_t> types = file.integers("/VTKHDF/Types");
    need(!types.empty() && std::all_of(types.begin(), types.end(),
                                       [&](std::int64_t t) { return t == types.front(); }),
         "its cells are not all of one kind");
    need(types.front() == vtk_line || types.front() == vtk_quadratic_tetra,
         "its cells are neither beams nor quadratic tetrahedra");
    SavedShapes shapes{.points_per_cell = types.front() == vtk_line ? 2U : 10U,
                       .connectivity = file.integers("/VTKHDF/Connectivity"),
                       .nominal_strain = file.doubles("/cellgrade/nominal_strain"),
                       .time_s = file.doubles("/VTKHDF/Steps/Values"),
                       .points_m = floats(file.doubles("/VTKHDF/Points"))};
    const std::vector<std::int64_t> counts = file.integers("/VTKHDF/NumberOfPoints");
    need(counts.size() == 1 && counts[0] > 0, "its number of points is missing");
    shapes.n_points = static_cast<std::size_t>(counts[0]);
    need(shapes.connectivity.size() == types.size() * shapes.points_per_cell &&
             shapes.n_frames() > 0 && shapes.time_s.size() == shapes.n_frames() &&
             shapes.points_m.size() == 3 * shapes.n_points * shapes.n_frames(),
         "its arrays do not fit together");
    need(std::all_of(shapes.connectivity.begin(), shapes.connectivity.end(),
                     [&](std::int64_t p) { return p >= 0 && p < counts[0]; }),
         "a cell names a point that is not there");
    if (!shapes.is_solid()) {
        shapes.radius_m = floats(file.doubles("/VTKHDF/PointData/radius_m"));
        need(shapes.radius_m.size() == shapes.n_points, "its radii do not fit its points");
    }
    return shapes;
}

} // namespace cellgrade
