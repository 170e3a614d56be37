// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/jacobian.hpp"

#include "meshes/tets/linear_tets.hpp"

#include <algorithm>
#include <numeric>

namespace cellgrade {

namespace {

/// Number of the edge middle between two different corners.
constexpr std::array<std::array<int, 4>, 4> middle = {
    {{0, 4, 6, 7}, {4, 0, 5, 8}, {6, 5, 0, 9}, {7, 8, 9, 0}}};

} // namespace

std::array<double, 20> jacobian_coefficients(const std::array<Vec3, 10>& x) {
    // Derivatives along the edges from corner 0 are linear in the barycentric coordinates; g holds
    // them at the corners. N_i = L_i (2 L_i - 1), N_ij = 4 L_i L_j.
    const auto slope = [&](int i, int k) { // d x / d L_i at corner k
        return i == k ? Vec3(3.0 * x[i]) : Vec3(4.0 * x[middle[i][k]] - x[i]);
    };
    std::array<std::array<Vec3, 4>, 3> g;
    for (int i = 0; i < 3; ++i)
        for (int k = 0; k < 4; ++k)
            g[i][k] = slope(i + 1, k) - slope(0, k);
    const auto det = [&](int k, int l, int m) { return g[0][k].cross(g[1][l]).dot(g[2][m]); };
    std::array<double, 20> all{};
    int n = 0;
    for (int k = 0; k < 4; ++k)
        for (int l = k; l < 4; ++l)
            for (int m = l; m < 4; ++m)
                all[n++] = (det(k, l, m) + det(k, m, l) + det(l, k, m) + det(l, m, k) +
                            det(m, k, l) + det(m, l, k)) /
                           6.0;
    return all;
}

double smallest_jacobian_share(const std::array<Vec3, 10>& x) {
    const std::array<double, 20> all = jacobian_coefficients(x);
    return *std::min_element(all.begin(), all.end()) / six_volumes(x[0], x[1], x[2], x[3]);
}

double curved_volume(const std::array<Vec3, 10>& nodes) {
    const std::array<double, 20> all = jacobian_coefficients(nodes);
    return std::accumulate(all.begin(), all.end(), 0.0) / (20.0 * 6.0);
}

} // namespace cellgrade
