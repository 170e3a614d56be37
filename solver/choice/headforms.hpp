// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>

namespace cellgrade {

/// A headform of a public rule: the girth of a head and the mass that falls for it.
struct Headform {
    const char* name;
    double circumference_m;
    double mass_kg;
    const char* source; ///< and whether the values are from memory
};

/// All headforms, by circumference.
[[nodiscard]] std::span<const Headform> headforms();

/// A head of a given girth, for those who have a tape measure only.
struct HeadEstimate {
    double mass_kg = 0.0;
    double radius_m = 0.0;      ///< of the sphere of that girth, circumference / 2 pi
    double inertia_kg_m2 = 0.0; ///< 2/5 m r^2
    std::string source;         ///< how each was had
};

/// Mass by straight lines between headforms(), radius and inertia of a uniform sphere of that mass
/// and girth. A head is no uniform sphere: published headforms have up to 1.5 times that inertia
/// (from memory), so angular accelerations come out too high rather than too low.
/// @throws Error (Input), key headform_circumference_mm, outside the headforms there are
[[nodiscard]] HeadEstimate head_of_circumference(double circumference_m);

} // namespace cellgrade
