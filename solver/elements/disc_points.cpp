// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/disc_points.hpp"

#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {
namespace {

std::vector<DiscPoint> seven() {
    std::vector<DiscPoint> points = {{0.0, 0.0, 0.25}};
    for (int i = 0; i < 6; ++i) {
        const double angle = std::numbers::pi * i / 3.0;
        const double r = std::sqrt(2.0 / 3.0);
        points.push_back({r * std::cos(angle), r * std::sin(angle), 0.125});
    }
    return points;
}

std::vector<DiscPoint> twelve() {
    const double root = std::sqrt(29.0);
    const double r = std::sqrt(0.75);
    const double s = std::sqrt((27.0 - 3.0 * root) / 104.0);
    const double t = std::sqrt((27.0 + 3.0 * root) / 104.0);
    const double far = 2.0 / 27.0;
    const double near = (551.0 + 41.0 * root) / 6264.0;
    const double middle = (551.0 - 41.0 * root) / 6264.0;
    return {{r, 0, far},    {-r, 0, far},    {0, r, far},      {0, -r, far},
            {s, s, near},   {-s, s, near},   {-s, -s, near},   {s, -s, near},
            {t, t, middle}, {-t, t, middle}, {-t, -t, middle}, {t, -t, middle}};
}

/// Six Gauss-Legendre nodes on (-1, 1), positive half, and weights.
constexpr std::array<double, 3> gauss_node = {0.2386191860831969, 0.6612093864662645,
                                              0.9324695142031521};
constexpr std::array<double, 3> gauss_weight = {0.4679139345726910, 0.3607615730481386,
                                                0.1713244923791704};

std::vector<DiscPoint> rings() {
    std::vector<DiscPoint> points;
    for (int i = 0; i < 6; ++i) {
        const double node = i < 3 ? -gauss_node[i] : gauss_node[i - 3];
        const double r = std::sqrt(0.5 * (1.0 + node));
        const double share = 0.5 * gauss_weight[i % 3] / 16.0;
        for (int j = 0; j < 16; ++j) {
            const double angle = 2.0 * std::numbers::pi * (j + 0.5 * (i % 2)) / 16.0;
            points.push_back({r * std::cos(angle), r * std::sin(angle), share});
        }
    }
    return points;
}

} // namespace

std::vector<DiscPoint> disc_points(DiscRule rule) {
    switch (rule) {
    case DiscRule::Seven:
        return seven();
    case DiscRule::Twelve:
        return twelve();
    case DiscRule::Rings:
        break;
    }
    return rings();
}

} // namespace cellgrade
