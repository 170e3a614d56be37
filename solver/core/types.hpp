// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry> // cross products of Vec3

#include <cstdint>

namespace cellgrade {

/// Signed index of nodes, elements and rows; byte counts and file offsets are 64 bit.
using Index = std::int32_t;
inline constexpr Index no_index = INT32_MAX;

using Vec3 = Eigen::Vector3d;
using Vec3i = Eigen::Vector3i;
using Mat3 = Eigen::Matrix3d;
using Mat6 = Eigen::Matrix<double, 6, 6>;

} // namespace cellgrade
