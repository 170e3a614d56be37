// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/stl_file.hpp"

#include "solver/core/publish.hpp"

#include <fmt/format.h>

#include <bit>
#include <cstdint>
#include <cstring>

namespace cellgrade {

static_assert(std::endian::native == std::endian::little && sizeof(float) == 4);

namespace {

constexpr std::size_t header_bytes = 80;
constexpr std::size_t piece_bytes = std::size_t{1} << 20U;

template <class Value>
void append(std::string& bytes, const Value& value) {
    char raw[sizeof(Value)];
    std::memcpy(raw, &value, sizeof(Value));
    bytes.append(raw, sizeof(Value));
}

std::array<float, 3> normal_of(const std::array<float, 3>& a,
                               const std::array<float, 3>& b,
                               const std::array<float, 3>& c) {
    const auto vec = [](const std::array<float, 3>& x) {
        return Vec3(double{x[0]}, double{x[1]}, double{x[2]});
    };
    const Vec3 n = (vec(b) - vec(a)).cross(vec(c) - vec(a)).normalized();
    return {static_cast<float>(n.x()), static_cast<float>(n.y()), static_cast<float>(n.z())};
}

} // namespace

void write_stl(const std::filesystem::path& path,
               const PrintSurface& surface,
               const PrintLabel& label) {
    publish_file(path, [&](FileSink& sink) {
        std::string bytes = fmt::format("binary STL, units: mm, {}, relative density {:.4g}",
                                        label.cell, label.relative_density);
        bytes.resize(header_bytes, ' ');
        append(bytes, static_cast<std::uint32_t>(surface.triangles.size()));
        for (const std::array<Index, 3>& t : surface.triangles) {
            const auto &a = surface.points[t[0]], &b = surface.points[t[1]],
                       &c = surface.points[t[2]];
            append(bytes, normal_of(a, b, c));
            append(bytes, a);
            append(bytes, b);
            append(bytes, c);
            append(bytes, std::uint16_t{0});
            if (bytes.size() >= piece_bytes) {
                sink.write(bytes);
                bytes.clear();
            }
        }
        sink.write(bytes);
    });
}

} // namespace cellgrade
