// SPDX-License-Identifier: Apache-2.0
#include "solver/report/packed_shapes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace cellgrade;

namespace {

/// Two beams over three points and `n` frames that sink to the middle one and come back.
SavedShapes beams(std::size_t n) {
    SavedShapes shapes{.n_points = 3,
                       .points_per_cell = 2,
                       .connectivity = {0, 1, 1, 2},
                       .radius_m = {1e-3F, 1e-3F, 3e-3F}};
    for (std::size_t k = 0; k < n; ++k) {
        const auto way = static_cast<double>(std::min(k, n - 1 - k));
        const double strain = 0.5 * way / static_cast<double>(n);
        shapes.nominal_strain.push_back(strain);
        shapes.time_s.push_back(static_cast<double>(k));
        for (const double z : {0.0, 0.01, 0.02})
            for (const double x : {0.03 * z, -0.01, z * (1.0 - strain)})
                shapes.points_m.push_back(static_cast<float>(x));
    }
    return shapes;
}

} // namespace

TEST_CASE("packed shapes: places within half a step, beams with the mean radius of their ends") {
    const SavedShapes saved = beams(9);
    const PackedShapes packed = packed_shapes(saved, 1'000'000);
    CHECK(packed.n_frames() == 9);
    CHECK(packed.radius_m == std::vector<float>{1e-3F, 2e-3F});
    double worst = 0.0;
    for (std::size_t frame = 0; frame < 9; ++frame)
        for (std::size_t point = 0; point < 3; ++point)
            for (std::size_t axis = 0; axis < 3; ++axis) {
                const double want =
                    static_cast<double>(saved.points_m[3 * (3 * frame + point) + axis]);
                worst = std::max(worst, std::abs(packed.position_m(frame, point)[axis] - want) /
                                            packed.size_m[axis]);
            }
    CHECK(worst <= 0.5001 / 65535.0);
}

TEST_CASE("packed shapes: fewer frames where there is less room, the most crushed among them") {
    const SavedShapes saved = beams(41);
    const PackedShapes packed = packed_shapes(saved, 6 * 3 * 5);
    CHECK(packed.n_saved == 41);
    CHECK(packed.n_frames() <= 6);
    CHECK(packed.n_frames() >= 5);
    CHECK(packed.nominal_strain.front() == saved.nominal_strain.front());
    CHECK(packed.nominal_strain.back() == saved.nominal_strain.back());
    CHECK(*std::max_element(packed.nominal_strain.begin(), packed.nominal_strain.end()) ==
          *std::max_element(saved.nominal_strain.begin(), saved.nominal_strain.end()));
    CHECK(packed_shapes(saved, 1).n_frames() >= 2);
}

TEST_CASE("packed shapes: bytes give the places back") {
    const PackedShapes packed = packed_shapes(beams(7), 1'000'000);
    const std::string bytes = shape_bytes(packed);
    const std::size_t count = packed.places.size(), from = 4 * 4 + 4 * 2;
    REQUIRE(bytes.size() == from + 2 * count);
    std::vector<std::uint16_t> places;
    for (std::size_t i = 0; i < count; ++i) {
        const auto low = static_cast<unsigned char>(bytes[from + i]);
        const auto high = static_cast<unsigned char>(bytes[from + count + i]);
        const unsigned before = i < 9 ? 0U : places[i - 9];
        places.push_back(static_cast<std::uint16_t>(before + low + 256U * high));
    }
    CHECK(places == packed.places);
}

TEST_CASE("packed shapes: a solid shows its outer faces alone, turned outwards") {
    // two tetrahedra on one face: 8 faces less the two that meet
    SavedShapes saved{.n_points = 5, .points_per_cell = 10};
    saved.connectivity = {0, 1, 2, 3, 0, 0, 0, 0, 0, 0, 1, 2, 3, 4, 0, 0, 0, 0, 0, 0};
    saved.nominal_strain = {0.0, 0.1};
    saved.time_s = {0.0, 1.0};
    for (int frame = 0; frame < 2; ++frame)
        for (const float x :
             {0.F, 0.F, 0.F, 1.F, 0.F, 0.F, 0.F, 1.F, 0.F, 0.F, 0.F, 1.F, 1.F, 1.F, 1.F})
            saved.points_m.push_back(x);
    const PackedShapes packed = packed_shapes(saved, 1'000'000);
    CHECK(packed.cells.size() == 3 * 6);
    // closed and outward: the faces' signed volume is that of both, 1/6 + 1/3
    double volume = 0.0;
    for (std::size_t i = 0; i < packed.cells.size(); i += 3) {
        const auto a = packed.position_m(0, packed.cells[i]);
        const auto b = packed.position_m(0, packed.cells[i + 1]);
        const auto c = packed.position_m(0, packed.cells[i + 2]);
        volume += (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) +
                   a[2] * (b[0] * c[1] - b[1] * c[0])) /
                  6.0;
    }
    CHECK(std::abs(volume - 0.5) < 1e-4);
}
