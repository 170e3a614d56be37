// SPDX-License-Identifier: Apache-2.0
#include "solver/results/vtkhdf.hpp"

#include "solver/core/error.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/line_grid.hpp"
#include "solver/results/vtu.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/sample_results.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;
using test::message_of;

namespace {

std::vector<CrushFrame> sample_frames(const BeamMesh& mesh, int count) {
    std::vector<CrushFrame> frames;
    for (int k = 0; k < count; ++k) {
        CrushFrame frame{.nominal_strain = 0.1 * k, .time_s = 0.5 * k, .positions = mesh.nodes};
        for (Vec3& x : frame.positions)
            x.z() *= 1.0 - 0.1 * k;
        for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
            frame.element_stored_energy_J.push_back(10.0 * k + static_cast<double>(e));
            frame.element_axial_force_N.push_back(-10.0 * k - static_cast<double>(e));
        }
        frames.push_back(frame);
    }
    return frames;
}

} // namespace

TEST_CASE("line grid: a beam over a periodic face ends at a ghost point beyond it") {
    BeamMesh mesh = test::sample_mesh();
    mesh.elements.push_back(mesh.elements[1]); // the same ghost again: not a second point
    const LineGrid grid = line_grid(mesh);
    REQUIRE(grid.ghosts.size() == 2);
    CHECK(grid.connectivity == std::vector<std::int64_t>{0, 1, 1, 4, 3, 5, 1, 4});
    std::vector<float> points;
    append_points(grid, mesh.nodes, points);
    REQUIRE(points.size() == 18);
    CHECK(points[12] == 1e-2F); // node 0 at x + box.x
    CHECK(points[15] == 1e-2F); // node 2 at (0, 5 mm) + (10 mm, -11 mm)
    CHECK(test::rel_err(static_cast<double>(points[16]), -6e-3) < 1e-7);
    const double node_0 = (0.5e-3 + 2 * 0.7e-3) / 3.0; // its beam and the two that end at its ghost
    CHECK(test::rel_err(static_cast<double>(grid.radius_m[0]), node_0) < 1e-7);
    CHECK(grid.radius_m[4] == grid.radius_m[0]);
}

TEST_CASE("VTKHDF frames: one topology, offsets of frame k are k times the frame's size") {
    const test::ScratchFolder folder;
    const BeamMesh mesh = test::sample_mesh();
    write_vtkhdf_frames(folder / "f.vtkhdf", mesh, sample_frames(mesh, 3));
    const h5::Reader file(folder / "f.vtkhdf");
    CHECK(file.integers("/VTKHDF", "Version") == std::vector<std::int64_t>{2, 0});
    CHECK(file.dims("/VTKHDF/Points") == std::vector<std::uint64_t>{18, 3});
    CHECK(file.integers("/VTKHDF/NumberOfPoints") == std::vector<std::int64_t>{6});
    CHECK(file.integers("/VTKHDF/Steps/PartOffsets") == std::vector<std::int64_t>{0, 0, 0});
    CHECK(file.integers("/VTKHDF/Steps/NumberOfParts") == std::vector<std::int64_t>{1, 1, 1});
    CHECK(file.integers("/VTKHDF/Steps/PointOffsets") == std::vector<std::int64_t>{0, 6, 12});
    CHECK(file.dims("/VTKHDF/Steps/CellOffsets") == std::vector<std::uint64_t>{3, 1});
    CHECK(file.integers("/VTKHDF/Steps/CellDataOffsets/axial_force_N") ==
          std::vector<std::int64_t>{0, 3, 6});
    CHECK(file.doubles("/VTKHDF/CellData/axial_force_N")[3 + 2] == -12.0);
    CHECK(file.doubles("/VTKHDF/Steps/Values") == std::vector<double>{0.0, 0.5, 1.0});
}

TEST_CASE("VTKHDF frames: no frames and arrays of the wrong length are refused") {
    const test::ScratchFolder folder;
    const BeamMesh mesh = test::sample_mesh();
    CHECK(message_of([&] {
              write_vtkhdf_frames(folder / "f", mesh, {});
          }).find("no frames were saved") != std::string::npos);
    auto frames = sample_frames(mesh, 2);
    frames[1].element_axial_force_N.pop_back();
    CHECK(message_of([&] { write_vtkhdf_frames(folder / "f", mesh, frames); }) ==
          "frame 1: axial_force_N has 2 values for 3 elements");
    frames[1].positions.pop_back();
    CHECK(message_of([&] {
              write_vtkhdf_frames(folder / "f", mesh, frames);
          }).find("3 positions for 4 nodes") != std::string::npos);
    CHECK_FALSE(std::filesystem::exists(folder / "f"));
}

TEST_CASE("VTU text: as many values as the piece says, ends in order") {
    const std::string text = vtu_text(test::sample_mesh());
    CHECK(text.find("<Piece NumberOfPoints=\"6\" NumberOfCells=\"3\">") != std::string::npos);
    CHECK(text.find("Name=\"connectivity\" format=\"ascii\">\n0 1 1 4 3 5\n") != std::string::npos);
    CHECK(text.find("Name=\"offsets\" format=\"ascii\">\n2 4 6\n") != std::string::npos);
    CHECK(text.find("Name=\"types\" format=\"ascii\">\n3 3 3\n") != std::string::npos);
}
