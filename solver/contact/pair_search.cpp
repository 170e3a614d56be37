// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/pair_search.hpp"

#include "solver/contact/ball_grid.hpp"
#include "solver/contact/segment_distance.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

std::vector<Ball> bounding_balls(std::span<const Capsule> capsules) {
    std::vector<Ball> balls(capsules.size());
    for (std::size_t e = 0; e < capsules.size(); ++e)
        balls[e] = {.middle = capsules[e].start() + 0.5 * capsules[e].along(),
                    .radius = 0.5 * capsules[e].along().norm() + capsules[e].radius};
    return balls;
}

struct Finder {
    std::span<const Capsule> capsules;
    const SearchSpace& space;
    std::span<const Ball> balls;
    const BallGrid& grid;
    std::size_t n_tested = 0;

    void test(const PairKey& key, bool overlaps, std::vector<PairKey>& found) {
        // Each pair is met from both sides; keep it on its canonical one.
        if (key.second < key.first ||
            (key.second == key.first && key.shift <= decltype(key.shift){}))
            return;
        ++n_tested;
        if (!overlaps)
            return;
        const Capsule &a = capsules[key.first], &b = capsules[key.second];
        Vec3 d0 = a.start() - b.start();
        for (int i = 0; i < 3; ++i)
            d0[i] -= key.shift[i] != 0 ? key.shift[i] * space.box[i] : 0.0;
        const ClosestPoints closest =
            closest_points(d0, a.along(), b.along(), pair_weight(a, b, space.regularisation));
        if (closest.distance < a.radius + b.radius + space.margin)
            found.push_back(key);
    }

    void search(Index e, std::vector<PairKey>& found) {
        const std::size_t first = found.size();
        grid.for_each_near(balls[e], space.margin,
                           [&](Index f, const std::array<Index, 3>& shift, bool overlaps) {
                               test({e, f, shift}, overlaps, found);
                           });
        std::sort(found.begin() + static_cast<std::ptrdiff_t>(first), found.end());
    }
};

} // namespace

PairKey canonical_pair(Index a, Index b, const Vec3i& shift) {
    const std::array<Index, 3> there{shift.x(), shift.y(), shift.z()};
    const std::array<Index, 3> back{-shift.x(), -shift.y(), -shift.z()};
    if (a < b || (a == b && there > back))
        return {a, b, there};
    return {b, a, back};
}

std::vector<PairKey> find_close_pairs(std::span<const Capsule> capsules,
                                      const SearchSpace& space,
                                      std::size_t* n_tested) {
    std::vector<PairKey> pairs;
    if (n_tested != nullptr)
        *n_tested = 0;
    if (capsules.empty())
        return pairs;
    const std::vector<Ball> balls = bounding_balls(capsules);
    double widest = 0.0;
    for (const Ball& ball : balls)
        widest = std::fmax(widest, ball.radius);
    const BallGrid grid(balls, space.box, space.periodic, 2.0 * widest + space.margin);

    constexpr Index chunk = 512;
    const Index n = static_cast<Index>(capsules.size()), n_chunks = (n + chunk - 1) / chunk;
    std::vector<std::vector<PairKey>> found(n_chunks);
    std::vector<std::size_t> tested(n_chunks, 0);
#pragma omp parallel for schedule(static, 1) if (n_chunks > 1)
    for (Index c = 0; c < n_chunks; ++c) {
        Finder finder{capsules, space, balls, grid};
        for (Index e = c * chunk; e < std::min(n, (c + 1) * chunk); ++e)
            finder.search(e, found[c]);
        tested[c] = finder.n_tested;
    }
    std::size_t total = 0;
    for (const auto& part : found)
        total += part.size();
    pairs.reserve(total);
    for (Index c = 0; c < n_chunks; ++c) {
        pairs.insert(pairs.end(), found[c].begin(), found[c].end());
        if (n_tested != nullptr)
            *n_tested += tested[c];
    }
    return pairs;
}

} // namespace cellgrade
