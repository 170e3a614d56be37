// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/layer_profile.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

LayerProfile::LayerProfile(std::vector<double> at_middles, bool periodic)
    : values_(std::move(at_middles)), slopes_(values_.size(), 0.0), periodic_(periodic) {
    CELLGRADE_ASSERT(!values_.empty());
    uniform_ = std::all_of(values_.begin(), values_.end(),
                           [this](double v) { return v == values_.front(); });
    for (Index k = 0; k < static_cast<Index>(values_.size()); ++k) {
        const double below = values_[k] - values_[wrapped(k - 1)];
        const double above = values_[wrapped(k + 1)] - values_[k];
        if (below * above > 0.0)
            slopes_[k] = 2.0 * below * above / (below + above);
    }
}

std::size_t LayerProfile::wrapped(Index k) const noexcept {
    const Index n = static_cast<Index>(values_.size());
    return static_cast<std::size_t>(periodic_ ? (k % n + n) % n : std::clamp(k, 0, n - 1));
}

double LayerProfile::value(double u) const noexcept {
    if (uniform_)
        return values_.front();
    const double n = static_cast<double>(values_.size());
    const double x =
        periodic_ ? u - n * std::floor(u / n) - 0.5 : std::clamp(u - 0.5, 0.0, n - 1.0);
    const double floor = std::floor(x);
    const std::size_t low = wrapped(static_cast<Index>(floor));
    const std::size_t high = wrapped(static_cast<Index>(floor) + 1);
    const double t = x - floor;
    const double s = 1.0 - t;
    return s * s * (1.0 + 2.0 * t) * values_[low] + t * s * s * slopes_[low] +
           t * t * (1.0 + 2.0 * s) * values_[high] - t * t * s * slopes_[high];
}

double LayerProfile::most() const noexcept {
    return *std::max_element(values_.begin(), values_.end());
}

double LayerProfile::least() const noexcept {
    return *std::min_element(values_.begin(), values_.end());
}

} // namespace cellgrade
