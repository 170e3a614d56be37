// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/first_rise.hpp"

#include <algorithm>

namespace cellgrade {

std::vector<CurvePoint> first_rise(const LoadingBranch& branch, double low_Pa, double high_Pa) {
    const auto strain = branch.strain(), stress = branch.stress();
    std::size_t last = 0;
    while (last < stress.size() && stress[last] < high_Pa)
        ++last;
    if (last == 0 || last == stress.size())
        return {};
    std::size_t first = last - 1;
    while (first > 0 && stress[first] > low_Pa)
        --first;
    const auto crossing = [&](std::size_t i, double level) {
        const double t = std::clamp((level - stress[i]) / (stress[i + 1] - stress[i]), 0.0, 1.0);
        return CurvePoint{strain[i] + t * (strain[i + 1] - strain[i]),
                          stress[i] + t * (stress[i + 1] - stress[i])};
    };
    std::vector<CurvePoint> points = {crossing(first, low_Pa)};
    for (std::size_t i = first + 1; i < last; ++i)
        points.push_back({strain[i], stress[i]});
    points.push_back(crossing(last - 1, high_Pa));
    return points;
}

} // namespace cellgrade
