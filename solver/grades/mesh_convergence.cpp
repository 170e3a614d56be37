// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/mesh_convergence.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace cellgrade {

namespace {

constexpr double assumed_order = 2.0; // of two-node beams and of solids with one pressure
constexpr double least_order = 0.5;
constexpr double safety = 1.25, safety_of_two = 3.0;
constexpr double deviations_in_band = 2.0;
constexpr double most_order = 60.0;

/// e32/e21 without its sign, of a value of order p.
double change_ratio(double p, double r21, double r32, double s) {
    return std::pow(r21, p) * (std::pow(r32, p) - s) / (std::pow(r21, p) - s);
}

/// The order p > 0 at which the changes have that ratio; nothing where there is none. The ratio
/// rises with p from ln r32/ln r21 (s = 1) or 1 (s = -1), so halving finds it; the fixed-point
/// iteration of Celik et al. has the same root but need not get there.
std::optional<double> order_of(double ratio, double r21, double r32, double s) {
    const double at_zero = s > 0.0 ? std::log(r32) / std::log(r21) : 1.0;
    if (!(ratio > at_zero))
        return std::nullopt;
    double low = 0.0, high = most_order;
    if (ratio >= change_ratio(high, r21, r32, s))
        return high;
    for (int i = 0; i < 100; ++i) {
        const double p = 0.5 * (low + high);
        (change_ratio(p, r21, r32, s) < ratio ? low : high) = p;
    }
    return 0.5 * (low + high);
}

double range_of(std::span<const MeshValue> meshes) {
    const auto [low, high] = std::minmax_element(
        meshes.begin(), meshes.end(),
        [](const MeshValue& a, const MeshValue& b) { return a.value < b.value; });
    return high->value - low->value;
}

} // namespace

const char* trend_name(MeshTrend trend) {
    switch (trend) {
    case MeshTrend::Same:
        return "the same";
    case MeshTrend::TwoMeshes:
        return "order assumed";
    case MeshTrend::Monotone:
        return "monotone";
    case MeshTrend::Oscillating:
        return "oscillating";
    case MeshTrend::Diverging:
        break;
    }
    return "diverging";
}

MeshConvergence mesh_convergence(std::span<const MeshValue> meshes, std::size_t reported) {
    CELLGRADE_ASSERT((meshes.size() == 2 || meshes.size() == 3) && reported < meshes.size());
    std::vector<MeshValue> m(meshes.begin(), meshes.end());
    std::sort(m.begin(), m.end(),
              [](const MeshValue& a, const MeshValue& b) { return a.size < b.size; });
    const double r21 = m[1].size / m[0].size, e21 = m[1].value - m[0].value;
    CELLGRADE_ASSERT(m[0].size > 0.0 && r21 > 1.0);
    const double range = range_of(meshes);
    MeshConvergence c;
    if (range == 0.0) {
        c.extrapolated = m[0].value;
        c.index = c.standard = 0.0;
        return c;
    }
    double used = assumed_order, factor = safety_of_two, least_band = 0.0;
    c.trend = MeshTrend::TwoMeshes;
    if (m.size() == 3) {
        const double r32 = m[2].size / m[1].size, e32 = m[2].value - m[1].value;
        CELLGRADE_ASSERT(r32 > 1.0);
        const double s = e32 * e21 < 0.0 ? -1.0 : 1.0;
        const std::optional<double> p = order_of(std::abs(e32 / e21), r21, r32, s);
        if (!p) {
            c.trend = MeshTrend::Diverging;
            c.standard = 3.0 * range / deviations_in_band;
            return c;
        }
        c.trend = s > 0.0 ? MeshTrend::Monotone : MeshTrend::Oscillating;
        if (e21 != 0.0) // else the finer two agree, at whatever order
            c.order = *p;
        factor = safety;
        used = std::clamp(*p, least_order, assumed_order);
        least_band = s > 0.0 ? 0.0 : 0.5 * range;
    }
    const double p = std::isnan(c.order) ? assumed_order : c.order;
    c.extrapolated = m[0].value - e21 / (std::pow(r21, p) - 1.0);
    c.index = factor * std::abs(e21 / m[0].value) / (std::pow(r21, p) - 1.0);
    const double band = factor * (std::abs(meshes[reported].value - m[0].value) +
                                  std::abs(e21) / (std::pow(r21, used) - 1.0));
    c.standard = std::max(band, least_band) / deviations_in_band;
    return c;
}

} // namespace cellgrade
