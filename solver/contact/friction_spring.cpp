// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/friction_spring.hpp"

#include "solver/contact/friction_kernel.hpp"

namespace cellgrade {
namespace {

lane::Vector<double> vector_of(const Vec3& x) noexcept {
    return {x.x(), x.y(), x.z()};
}
Vec3 vec3_of(const lane::Vector<double>& x) noexcept {
    return {x.x, x.y, x.z};
}

} // namespace

SpringStep
advance_spring(const Vec3& old, const Vec3& slide, double stiffness, double limit) noexcept {
    const auto next = lane::advance_spring(vector_of(old), vector_of(slide), stiffness, limit);
    return {.elongation = vec3_of(next.elongation), .dissipation = next.dissipation};
}

Vec3 turned_into_plane(const Vec3& x, const Vec3& n) noexcept {
    return vec3_of(lane::turned_into_plane(vector_of(x), vector_of(n)));
}

} // namespace cellgrade
