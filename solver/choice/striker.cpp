// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/striker.hpp"

#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace cellgrade {

namespace {

const std::vector<std::string> names{"flat", "sphere", "ellipsoid"};
constexpr double smallest_m = 1e-4, largest_m = 10.0; // half axes

} // namespace

std::string shape_name(StrikerShape shape) {
    return names[static_cast<std::size_t>(shape)];
}

StrikerShape shape_from_name(const std::string& name) {
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end())
        throw Error(Fault::Input,
                    fmt::format("unknown shape '{}'{}", name, did_you_mean(name, names)),
                    {.key = "shape"});
    return static_cast<StrikerShape>(found - names.begin());
}

Striker Striker::flat(double area_m2) {
    return {.shape = StrikerShape::Flat, .semi_axes_m = {}, .face_area_m2 = area_m2};
}

Striker Striker::sphere(double radius_m) {
    return {.shape = StrikerShape::Sphere, .semi_axes_m = {radius_m, radius_m, radius_m}};
}

Striker Striker::ellipsoid(const std::array<double, 3>& semi_axes_m) {
    return {.shape = StrikerShape::Ellipsoid, .semi_axes_m = semi_axes_m};
}

double Striker::area_at(double height_m) const {
    if (height_m < 0.0)
        return 0.0;
    if (shape == StrikerShape::Flat)
        return face_area_m2;
    const auto [a, b, c] = semi_axes_m;
    const double left = std::max(1.0 - height_m / c, 0.0);
    return std::numbers::pi * a * b * (1.0 - left * left);
}

double Striker::height_at(double area_m2) const {
    if (shape == StrikerShape::Flat)
        return area_m2 <= face_area_m2 ? 0.0 : std::numeric_limits<double>::infinity();
    const auto [a, b, c] = semi_axes_m;
    const double share = area_m2 / (std::numbers::pi * a * b);
    if (share > 1.0)
        return std::numeric_limits<double>::infinity();
    return c * share /
           (1.0 + std::sqrt(1.0 - share)); // c (1 - sqrt(1 - share)) without cancellation
}

std::string Striker::text() const {
    switch (shape) {
    case StrikerShape::Flat:
        return std::isfinite(face_area_m2)
                   ? fmt::format("flat of {:.4g} mm2", face_area_m2 / (units::mm * units::mm))
                   : "flat, larger than the pad";
    case StrikerShape::Sphere:
        return fmt::format("sphere of radius {:.4g} mm", semi_axes_m[0] / units::mm);
    case StrikerShape::Ellipsoid:
        break;
    }
    return fmt::format("ellipsoid of half axes {:.4g}, {:.4g} across and {:.4g} mm along the blow",
                       semi_axes_m[0] / units::mm, semi_axes_m[1] / units::mm,
                       semi_axes_m[2] / units::mm);
}

void Striker::check() const {
    if (shape == StrikerShape::Flat) {
        if (!(face_area_m2 > 0.0))
            throw Error(Fault::Input, fmt::format("{:g} mm2 must be above 0", face_area_m2 * 1e6),
                        {.key = "face_area_mm2"});
        return;
    }
    for (const double axis : semi_axes_m)
        if (!(axis >= smallest_m && axis <= largest_m))
            throw Error(Fault::Input,
                        fmt::format("{:g} mm is out of range; {:g} to {:g} is allowed",
                                    axis / units::mm, smallest_m / units::mm,
                                    largest_m / units::mm),
                        {.key = shape == StrikerShape::Sphere ? "radius_mm" : "semi_axes_mm"});
}

} // namespace cellgrade
