// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/ball_grid.hpp"

namespace cellgrade {

BallGrid::BallGrid(std::span<const Ball> balls,
                   const Vec3& box,
                   const std::array<bool, 3>& periodic,
                   double width)
    : box_(box), periodic_(periodic) {
    std::vector<Item> items(balls.size());
    for (std::size_t b = 0; b < balls.size(); ++b) {
        Item& item = items[b];
        item = {balls[b].middle, balls[b].radius, static_cast<Index>(b), {}};
        widest_ = std::fmax(widest_, item.radius);
        for (int i = 0; i < 3; ++i) {
            if (!periodic_[i])
                continue;
            const double wraps = std::floor(item.middle[i] / box_[i]);
            item.wraps[i] = static_cast<Index>(wraps);
            item.middle[i] -= wraps * box_[i];
        }
    }
    if (items.empty())
        return;
    shape(items, width);
    fill(items);
}

void BallGrid::shape(std::span<const Item> items, double width) {
    Vec3 low = items[0].middle, high = low;
    for (const Item& item : items) {
        low = low.cwiseMin(item.middle);
        high = high.cwiseMax(item.middle);
    }
    const double most_cells = 8.0 * static_cast<double>(items.size()) + 64.0;
    for (;; width *= 1.26) {
        double n_cells = 1.0;
        for (int i = 0; i < 3; ++i) {
            const double extent = periodic_[i] ? box_[i] : high[i] - low[i];
            const double n = std::fmax(1.0, std::floor(std::fmin(extent / width, 1e6)));
            n_[i] = static_cast<Index>(n);
            origin_[i] = periodic_[i] ? 0.0 : low[i];
            width_[i] = periodic_[i] ? extent / n : std::fmax(extent / n, width);
            n_cells *= n;
        }
        if (n_cells <= most_cells)
            return;
    }
}

void BallGrid::fill(std::span<const Item> items) {
    std::vector<std::int64_t> cell_of(items.size());
    begin_.assign(static_cast<std::size_t>(std::int64_t{n_[0]} * n_[1] * n_[2]) + 1, 0);
    for (std::size_t b = 0; b < items.size(); ++b) {
        Cell cell{};
        for (int i = 0; i < 3; ++i) {
            const double c = std::floor((items[b].middle[i] - origin_[i]) / width_[i]);
            cell[i] = std::clamp(static_cast<Index>(c), Index{0}, n_[i] - 1);
        }
        cell_of[b] = index(cell);
        ++begin_[cell_of[b] + 1];
    }
    for (std::size_t c = 1; c < begin_.size(); ++c)
        begin_[c] += begin_[c - 1];
    items_.resize(items.size());
    std::vector<Index> next(begin_.begin(), begin_.end() - 1);
    for (std::size_t b = 0; b < items.size(); ++b)
        items_[next[cell_of[b]]++] = items[b];
}

BallGrid::Range BallGrid::cells(int axis, double low, double high) const {
    // A middle within rounding of a cell's side may have been sorted across it: look a hair wider.
    constexpr double hair = 1e-9;
    const double first = std::floor((low - origin_[axis]) / width_[axis] - hair);
    const double last = std::floor((high - origin_[axis]) / width_[axis] + hair);
    if (periodic_[axis])
        return {static_cast<Index>(first), static_cast<Index>(last)};
    const double end = n_[axis] - 1;
    return {static_cast<Index>(std::clamp(first, 0.0, end)),
            static_cast<Index>(std::clamp(last, 0.0, end))};
}

} // namespace cellgrade
