// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <limits>
#include <span>

namespace cellgrade {

/// A value that was computed with elements of a certain size.
struct MeshValue {
    double size = 0.0; ///< of the elements, in any unit: ratios alone count
    double value = 0.0;
};

/// How a value moves as elements become smaller.
enum class MeshTrend {
    Same,        ///< all values are equal
    TwoMeshes,   ///< nothing can be told of it: the order is assumed
    Monotone,    ///< towards a limit, from one side
    Oscillating, ///< towards a limit, from both sides in turn
    Diverging,   ///< moves more between the finer meshes than between the coarser ones
};

/// "the same", "order assumed", "monotone", "oscillating", "diverging".
[[nodiscard]] const char* trend_name(MeshTrend trend);

/// What two or three meshes tell about the error of a value.
struct MeshConvergence {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    MeshTrend trend = MeshTrend::Same;
    double order = unknown;        ///< observed; NaN with two meshes or without convergence [-]
    double extrapolated = unknown; ///< value at elements of no size
    double index = unknown;    ///< grid convergence index of the finest mesh, a share of its value
    double standard = unknown; ///< standard uncertainty of the reported value, in its unit
};

/// Error that elements of a finite size leave in a value, from two or three meshes.
///
///   value(h) = limit + C h^p      h1 < h2 < h3, r21 = h2/h1, r32 = h3/h2, e21 = v2 - v1, e32 = v3
///   - v2 e32/e21 = s r21^p (r32^p - s)/(r21^p - s),  s = sign(e32/e21)      (gives p) limit = v1 +
///   (v1 - v2)/(r21^p - 1)      index = F |e21/v1|/(r21^p - 1)      F = 1.25
///
/// Standard uncertainty of the reported mesh i: F (|v_i - v1| + |e21|/(r21^q - 1))/2, which is the
/// index of a coarse mesh, r^p times that of the fine one, taken as a band of 95 % that reaches two
/// standard deviations. q is p kept within 0.5 and 2: an order above that of the elements is
/// chance and would make the band too narrow, one near 0 makes it endless.
///
/// - Two meshes: p = 2 assumed, F = 3.
/// - Oscillating: the same by the equation for s = -1, but no less than half the range of the
/// values.
/// - Diverging (no p > 0): three times the range as the band of 95 %; neither order nor limit.
///
/// Source: Roache 1994, J. Fluids Eng. 116, 405 (index, F = 3 for two meshes, coarse meshes); Celik
/// et al. 2008, J. Fluids Eng. 130, 078001 (ratios that differ, F = 1.25, s); half the range: Stern
/// et al. 2001, J. Fluids Eng. 123, 793; three times the range: Eca and Hoekstra 2014, J. Comput.
/// Phys. 262, 104; two standard deviations: ASME V&V 20-2009; bounds of q: Oberkampf and Roy 2010
/// (all from memory; the worked examples in the test). Valid for meshes refined alike everywhere, r
/// of 1.3 and more (Celik et al.). Where struts snap a trait may move by chance; it then shows as
/// oscillating or diverging.
/// @param meshes   two or three, of different sizes, in any order
/// @param reported index of the mesh whose value is reported
[[nodiscard]] MeshConvergence mesh_convergence(std::span<const MeshValue> meshes,
                                               std::size_t reported);

} // namespace cellgrade
