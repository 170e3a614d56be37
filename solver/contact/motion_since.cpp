// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/motion_since.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace cellgrade {

namespace {

constexpr Index chunk = 1024; // fixed, so sums keep their bits

struct Moments {
    Vec3 sum = Vec3::Zero(), with_built = Vec3::Zero(); // of x and of x (x_built - mean)
};

Moments moments(const BuiltShape& built, std::span<const Vec3> x) {
    const auto n = static_cast<Index>(x.size());
    const Index n_chunks = (n + chunk - 1) / chunk;
    std::vector<Moments> parts(n_chunks);
#pragma omp parallel for schedule(static) if (n_chunks > 1)
    for (Index c = 0; c < n_chunks; ++c)
        for (Index i = c * chunk; i < std::min(n, (c + 1) * chunk); ++i) {
            parts[c].sum += x[i];
            parts[c].with_built += x[i].cwiseProduct(built.x[i] - built.mean);
        }
    Moments all;
    for (const Moments& part : parts) {
        all.sum += part.sum;
        all.with_built += part.with_built;
    }
    return all;
}

} // namespace

BuiltShape built_shape(std::vector<Vec3> x, const Vec3& box) {
    BuiltShape built{.x = std::move(x), .box = box};
    for (const Vec3& point : built.x)
        built.mean += point / static_cast<double>(built.x.size());
    for (const Vec3& point : built.x)
        built.squared_spread += (point - built.mean).cwiseAbs2();
    return built;
}

MotionSince motion_since(const BuiltShape& built,
                         std::span<const Vec3> x,
                         const Vec3& box,
                         const std::array<bool, 3>& periodic) {
    const Moments all = moments(built, x);
    const auto n = static_cast<Index>(x.size());
    MotionSince motion;
    Vec3 stretch = Vec3::Ones();
    for (int i = 0; i < 3; ++i) {
        if (periodic[i])
            stretch[i] = box[i] / built.box[i];
        else if (built.squared_spread[i] > 0.0)
            stretch[i] = all.with_built[i] / built.squared_spread[i];
        motion.stretch = std::max(motion.stretch, std::abs(stretch[i] - 1.0));
    }
    const Vec3 offset =
        all.sum / static_cast<double>(std::max<Index>(n, 1)) - stretch.cwiseProduct(built.mean);
    double most = 0.0;
    Index not_finite = no_index;
#pragma omp parallel for schedule(static) reduction(max                                            \
                                                    : most) reduction(min                          \
                                                                      : not_finite) if (n > chunk)
    for (Index i = 0; i < n; ++i) {
        if (!x[i].allFinite())
            not_finite = std::min(not_finite, i);
        const Vec3 rest = x[i] - offset - stretch.cwiseProduct(built.x[i]);
        most = std::max(most, rest.squaredNorm());
    }
    motion.rest = std::sqrt(most);
    motion.not_finite = not_finite;
    return motion;
}

} // namespace cellgrade
