// SPDX-License-Identifier: Apache-2.0
#include "solver/report/packed_shapes.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <limits>
#include <map>

namespace cellgrade {

namespace {

static_assert(std::endian::native == std::endian::little, "bytes of the page are little-endian");

constexpr double steps = 65535.0;

/// Triangles of the tetrahedra that belong to one of them only, corners counter-clockwise from
/// outside.
std::vector<std::uint32_t> surface_of(const SavedShapes& shapes) {
    static constexpr std::array<std::array<std::size_t, 3>, 4> faces{
        {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}}};
    using Face = std::array<std::int64_t, 3>;
    std::map<Face, Face> single;
    for (std::size_t cell = 0; cell < shapes.n_cells(); ++cell)
        for (const auto& corners : faces) {
            Face face{};
            for (std::size_t k = 0; k < 3; ++k)
                face[k] = shapes.connectivity[cell * shapes.points_per_cell + corners[k]];
            Face key = face;
            std::sort(key.begin(), key.end());
            if (const auto [at, is_new] = single.try_emplace(key, face); !is_new)
                single.erase(at);
        }
    std::vector<std::uint32_t> triangles;
    for (const auto& each : single)
        for (const std::int64_t point : each.second)
            triangles.push_back(static_cast<std::uint32_t>(point));
    return triangles;
}

/// Numbers the points that cells use from 0; gives their old numbers.
std::vector<std::size_t> renumber(std::vector<std::uint32_t>& cells) {
    std::map<std::uint32_t, std::uint32_t> fresh;
    for (const std::uint32_t point : cells)
        fresh.try_emplace(point, 0);
    std::vector<std::size_t> old;
    for (auto& [point, number] : fresh) {
        number = static_cast<std::uint32_t>(old.size());
        old.push_back(point);
    }
    for (std::uint32_t& point : cells)
        point = fresh.at(point);
    return old;
}

std::size_t most_crushed(const std::vector<double>& strain) {
    return static_cast<std::size_t>(std::max_element(strain.begin(), strain.end()) -
                                    strain.begin());
}

std::vector<std::size_t> kept_frames(const SavedShapes& shapes, std::size_t most) {
    const std::size_t n = shapes.n_frames();
    const std::size_t wanted = std::clamp<std::size_t>(most, std::min<std::size_t>(n, 2), n);
    std::vector<std::size_t> kept{most_crushed(shapes.nominal_strain)};
    for (std::size_t k = 0; k < wanted; ++k)
        kept.push_back(wanted < 2 ? 0 : k * (n - 1) / (wanted - 1));
    std::sort(kept.begin(), kept.end());
    kept.erase(std::unique(kept.begin(), kept.end()), kept.end());
    return kept;
}

template <class Number>
void append(std::string& bytes, const std::vector<Number>& values) {
    const std::size_t at = bytes.size();
    bytes.resize(at + values.size() * sizeof(Number));
    if (!values.empty())
        std::memcpy(bytes.data() + at, values.data(), values.size() * sizeof(Number));
}

} // namespace

std::array<double, 3> PackedShapes::position_m(std::size_t frame, std::size_t point) const {
    std::array<double, 3> x{};
    for (std::size_t k = 0; k < 3; ++k)
        x[k] = low_m[k] + size_m[k] * places[3 * (frame * n_points + point) + k] / steps;
    return x;
}

PackedShapes packed_shapes(const SavedShapes& shapes, std::size_t most_bytes) {
    PackedShapes packed{.points_per_cell = shapes.is_solid() ? 3U : 2U,
                        .n_saved = shapes.n_frames()};
    if (shapes.is_solid())
        packed.cells = surface_of(shapes);
    else
        for (const std::int64_t point : shapes.connectivity)
            packed.cells.push_back(static_cast<std::uint32_t>(point));
    const std::vector<std::size_t> old = renumber(packed.cells);
    packed.n_points = old.size();
    if (!shapes.is_solid())
        for (std::size_t cell = 0; cell < shapes.n_cells(); ++cell) {
            const auto at = [&](std::size_t k) {
                return shapes.radius_m[static_cast<std::size_t>(shapes.connectivity[2 * cell + k])];
            };
            packed.radius_m.push_back(0.5F * (at(0) + at(1)));
        }
    const auto place = [&](std::size_t frame, std::size_t point, std::size_t axis) {
        return static_cast<double>(
            shapes.points_m[3 * (frame * shapes.n_points + old[point]) + axis]);
    };
    const std::size_t bytes_a_frame = std::max<std::size_t>(6 * packed.n_points, 1);
    const std::vector<std::size_t> kept = kept_frames(shapes, most_bytes / bytes_a_frame);
    for (std::size_t axis = 0; axis < 3; ++axis) {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const std::size_t frame : kept)
            for (std::size_t point = 0; point < packed.n_points; ++point) {
                low = std::min(low, place(frame, point, axis));
                high = std::max(high, place(frame, point, axis));
            }
        packed.low_m[axis] = low;
        packed.size_m[axis] = high > low ? high - low : 1.0;
    }
    for (const std::size_t frame : kept) {
        packed.nominal_strain.push_back(shapes.nominal_strain[frame]);
        for (std::size_t point = 0; point < packed.n_points; ++point)
            for (std::size_t axis = 0; axis < 3; ++axis)
                packed.places.push_back(static_cast<std::uint16_t>(
                    std::lround(steps * (place(frame, point, axis) - packed.low_m[axis]) /
                                packed.size_m[axis])));
    }
    return packed;
}

std::string shape_bytes(const PackedShapes& shapes) {
    std::string bytes;
    append(bytes, shapes.cells);
    append(bytes, shapes.radius_m);
    const std::size_t frame = 3 * shapes.n_points;
    std::string low, high;
    for (std::size_t i = 0; i < shapes.places.size(); ++i) {
        const unsigned before = i < frame ? 0U : shapes.places[i - frame];
        const unsigned step = (shapes.places[i] - before) & 0xffffU;
        low.push_back(static_cast<char>(step & 0xffU));
        high.push_back(static_cast<char>(step >> 8U));
    }
    return bytes + low + high;
}

} // namespace cellgrade
