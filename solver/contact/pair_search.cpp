// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/pair_search.hpp"

#include "solver/contact/segment_distance.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace cellgrade {

namespace {

using Cell = std::array<Index, 3>;

struct Ball {
    Vec3 middle = Vec3::Zero(); // wrapped into the box along periodic axes
    double radius = 0.0;
    Cell wraps{}; // middle + wraps * box is where the element is
    Cell cell{};
};

struct Grid {
    Vec3 origin = Vec3::Zero(), width = Vec3::Ones();
    Cell n{1, 1, 1};
    Cell reach{1, 1, 1}; // neighbour cells to look at on each side
    std::vector<Index> begin, items;

    [[nodiscard]] std::int64_t index(const Cell& c) const {
        return (std::int64_t{c[2]} * n[1] + c[1]) * n[0] + c[0];
    }
};

std::vector<Ball> bounding_balls(std::span<const Capsule> capsules, const SearchSpace& space) {
    std::vector<Ball> balls(capsules.size());
    for (std::size_t e = 0; e < capsules.size(); ++e) {
        Ball& ball = balls[e];
        ball.middle = capsules[e].start() + 0.5 * capsules[e].along();
        ball.radius = 0.5 * capsules[e].along().norm() + capsules[e].radius;
        for (int i = 0; i < 3; ++i) {
            if (!space.periodic[i])
                continue;
            const double wraps = std::floor(ball.middle[i] / space.box[i]);
            ball.wraps[i] = static_cast<Index>(wraps);
            ball.middle[i] -= wraps * space.box[i];
        }
    }
    return balls;
}

Grid shape_grid(std::span<const Ball> balls, const SearchSpace& space, double range) {
    Grid grid;
    Vec3 low = balls[0].middle, high = low;
    for (const Ball& ball : balls) {
        low = low.cwiseMin(ball.middle);
        high = high.cwiseMax(ball.middle);
    }
    // Cells no narrower than the range; wider ones where the net is thin in its box, so that
    // clearing the cells never costs more than a few times the elements.
    const double most_cells = 8.0 * static_cast<double>(balls.size()) + 64.0;
    for (double width = range;; width *= 1.26) {
        double n_cells = 1.0;
        for (int i = 0; i < 3; ++i) {
            const double extent = space.periodic[i] ? space.box[i] : high[i] - low[i];
            const double n = std::fmax(1.0, std::floor(std::fmin(extent / width, 1e6)));
            grid.n[i] = static_cast<Index>(n);
            grid.origin[i] = space.periodic[i] ? 0.0 : low[i];
            grid.width[i] = space.periodic[i] ? extent / n : std::fmax(extent / n, range);
            grid.reach[i] = static_cast<Index>(std::ceil(range / grid.width[i] - 1e-12));
            n_cells *= n;
        }
        if (n_cells <= most_cells)
            return grid;
    }
}

Grid fill_grid(std::span<Ball> balls, const SearchSpace& space, double range) {
    Grid grid = shape_grid(balls, space, range);
    const std::int64_t n_cells = std::int64_t{grid.n[0]} * grid.n[1] * grid.n[2];
    grid.begin.assign(static_cast<std::size_t>(n_cells) + 1, 0);
    for (Ball& ball : balls) {
        for (int i = 0; i < 3; ++i) {
            const double c = std::floor((ball.middle[i] - grid.origin[i]) / grid.width[i]);
            ball.cell[i] = std::clamp(static_cast<Index>(c), Index{0}, grid.n[i] - 1);
        }
        ++grid.begin[grid.index(ball.cell) + 1];
    }
    for (std::int64_t c = 0; c < n_cells; ++c)
        grid.begin[c + 1] += grid.begin[c];
    grid.items.resize(balls.size());
    std::vector<Index> next(grid.begin.begin(), grid.begin.end() - 1);
    for (std::size_t e = 0; e < balls.size(); ++e)
        grid.items[next[grid.index(balls[e].cell)]++] = static_cast<Index>(e);
    return grid;
}

struct Finder {
    std::span<const Capsule> capsules;
    const SearchSpace& space;
    std::span<const Ball> balls;
    const Grid& grid;
    std::size_t n_tested = 0;

    void test(Index e, Index f, const Cell& image, std::vector<PairKey>& found) {
        PairKey key{e, f, {}};
        Vec3 offset = Vec3::Zero();
        for (int i = 0; i < 3; ++i) {
            key.shift[i] = image[i] - balls[f].wraps[i] + balls[e].wraps[i];
            offset[i] = image[i] * space.box[i];
        }
        // Each pair is met from both sides; keep it on its canonical one.
        if (f < e || (f == e && key.shift <= Cell{}))
            return;
        ++n_tested;
        const double range = balls[e].radius + balls[f].radius + space.margin;
        if ((balls[f].middle + offset - balls[e].middle).squaredNorm() >= range * range)
            return;
        const Capsule &a = capsules[e], &b = capsules[f];
        Vec3 d0 = a.start() - b.start();
        for (int i = 0; i < 3; ++i)
            d0[i] -= key.shift[i] != 0 ? key.shift[i] * space.box[i] : 0.0;
        const ClosestPoints closest =
            closest_points(d0, a.along(), b.along(), pair_weight(a, b, space.regularisation));
        if (closest.distance < a.radius + b.radius + space.margin)
            found.push_back(key);
    }

    // Cell `c` brought into the grid; false if outside along a free axis.
    bool wrap(Cell& c, Cell& image) const {
        for (int i = 0; i < 3; ++i) {
            if (c[i] >= 0 && c[i] < grid.n[i])
                continue;
            if (!space.periodic[i])
                return false;
            image[i] = c[i] >= 0 ? c[i] / grid.n[i] : -((grid.n[i] - 1 - c[i]) / grid.n[i]);
            c[i] -= image[i] * grid.n[i];
        }
        return true;
    }

    void search(Index e, std::vector<PairKey>& found) {
        const std::size_t first = found.size();
        const Cell &home = balls[e].cell, &reach = grid.reach;
        for (Index z = -reach[2]; z <= reach[2]; ++z)
            for (Index y = -reach[1]; y <= reach[1]; ++y)
                for (Index x = -reach[0]; x <= reach[0]; ++x) {
                    Cell c{home[0] + x, home[1] + y, home[2] + z}, image{};
                    if (!wrap(c, image))
                        continue;
                    const std::int64_t k = grid.index(c);
                    for (Index item = grid.begin[k]; item < grid.begin[k + 1]; ++item)
                        test(e, grid.items[item], image, found);
                }
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
    std::vector<Ball> balls = bounding_balls(capsules, space);
    double widest = 0.0;
    for (const Ball& ball : balls)
        widest = std::fmax(widest, ball.radius);
    const Grid grid = fill_grid(balls, space, 2.0 * widest + space.margin);

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
