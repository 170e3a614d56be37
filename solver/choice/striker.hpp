// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <limits>
#include <string>

namespace cellgrade {

enum class StrikerShape { Flat, Sphere, Ellipsoid };

/// "flat", "sphere", "ellipsoid"; the words of files and options.
[[nodiscard]] std::string shape_name(StrikerShape shape);
/// The inverse. @throws Error (Input) for another word
[[nodiscard]] StrikerShape shape_from_name(const std::string& name);

/// Shape of the body that presses into a pad, as far as independent columns feel it: which area
/// lies less than a depth above its deepest point.
///
///   flat        the whole area at depth 0
///   sphere      area = pi (2 R z - z^2)                                       0 <= z <= R
///   ellipsoid   area = pi a b (1 - (1 - z / c)^2)     c along the blow        0 <= z <= c
///
/// Contours of equal depth of an ellipsoid are similar ellipses, so the area is exact. Near its
/// deepest point an ellipsoid is the sphere of radius a b / c, the geometric mean of its two
/// principal radii of curvature a^2 / c and b^2 / c.
struct Striker {
    StrikerShape shape = StrikerShape::Flat;
    /// Half axes [m]: across, across, along the blow; of a sphere all are its radius.
    std::array<double, 3> semi_axes_m{};
    /// Of a flat body [m^2]; infinite: larger than any pad.
    double face_area_m2 = std::numeric_limits<double>::infinity();

    [[nodiscard]] static Striker flat(double area_m2 = std::numeric_limits<double>::infinity());
    [[nodiscard]] static Striker sphere(double radius_m);
    [[nodiscard]] static Striker ellipsoid(const std::array<double, 3>& semi_axes_m);

    /// Area of the body's section at a height above its deepest point [m^2]; past its widest
    /// section that of the widest.
    [[nodiscard]] double area_at(double height_m) const;
    /// Height of the surface above the deepest point at the rim of that area [m]; the inverse of
    /// area_at(). Infinite beyond the widest section.
    [[nodiscard]] double height_at(double area_m2) const;
    /// "sphere of radius 90 mm".
    [[nodiscard]] std::string text() const;
    /// @throws Error (Input), `key` names what is wrong: semi_axes_mm, radius_mm, face_area_mm2
    void check() const;
};

} // namespace cellgrade
