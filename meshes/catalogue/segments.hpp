// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

namespace cellgrade {

/// Nearest points of two segments p + s d and q + t e, with s and t in [0, 1].
struct SegmentGap {
    double distance = 0.0; ///< [m]
    double s = 0.0;
    double t = 0.0;
};

/// Source: Ericson 2005, Real-Time Collision Detection, sec. 5.1.9 (from memory). Exact for
/// parallel segments too, where one of the many nearest pairs is returned.
[[nodiscard]] SegmentGap
segment_gap(const Vec3& p, const Vec3& d, const Vec3& q, const Vec3& e) noexcept;

} // namespace cellgrade
