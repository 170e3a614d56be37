// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/doubt_parts.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace cellgrade {

double between_bounds(double low, double high) {
    return std::abs(high - low) / std::sqrt(12.0);
}

double in_quadrature(std::span<const double> parts) {
    return std::sqrt(std::inner_product(parts.begin(), parts.end(), parts.begin(), 0.0));
}

Readings readings_of(std::span<const double> values) {
    CELLGRADE_ASSERT(values.size() >= 2);
    const auto n = static_cast<double>(values.size());
    Readings r;
    r.mean = std::accumulate(values.begin(), values.end(), 0.0) / n;
    double sum = 0.0;
    for (const double v : values)
        sum += (v - r.mean) * (v - r.mean);
    r.sd = std::sqrt(sum / (n - 1.0));
    r.sd_of_mean = r.sd / std::sqrt(n);
    return r;
}

double scatter_of_prints(double nominal, std::span<const double> prints) {
    const Readings r = readings_of(prints);
    return std::hypot(r.sd, r.mean - nominal);
}

double from_slower_run(double nominal, double slower, double share) {
    CELLGRADE_ASSERT(share > 0.0 && share < 1.0);
    return std::abs(slower - nominal) / (1.0 - share) / std::sqrt(3.0);
}

double from_larger_specimen(std::span<const SizeValue> sizes, std::size_t reported) {
    CELLGRADE_ASSERT(sizes.size() >= 2 && reported < sizes.size());
    const SizeValue& n = sizes[reported];
    const SizeValue* m = nullptr;
    for (std::size_t i = 0; i < sizes.size(); ++i)
        if (i != reported && (m == nullptr || sizes[i].cells > m->cells))
            m = &sizes[i];
    CELLGRADE_ASSERT(m->cells != n.cells);
    const double bound = std::abs(m->value - n.value) * m->cells / std::abs(m->cells - n.cells);
    return bound / std::sqrt(3.0);
}

double settled_cells(std::span<const SizeValue> sizes, double doubt) {
    CELLGRADE_ASSERT(sizes.size() >= 2);
    std::vector<SizeValue> s(sizes.begin(), sizes.end());
    std::sort(s.begin(), s.end(),
              [](const SizeValue& a, const SizeValue& b) { return a.cells > b.cells; });
    double settled = TraitUncertainty::unknown;
    for (std::size_t i = 1; i < s.size() && std::abs(s[i].value - s[0].value) <= doubt; ++i)
        settled = s[i].cells;
    return settled;
}

TraitUncertainty carried(const TraitUncertainty& doubt, double from, double to) {
    TraitUncertainty c;
    if (!std::isfinite(from) || from == 0.0 || !std::isfinite(to))
        return c;
    for (std::size_t i = 0; i < c.parts.size(); ++i)
        c.parts[i] = doubt.parts[i] * std::abs(to / from);
    c.mesh_order = doubt.mesh_order;
    c.settled_cells = doubt.settled_cells;
    return c;
}

} // namespace cellgrade
