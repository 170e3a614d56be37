// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

namespace cellgrade {

/// A ball around something that may touch something else.
struct Ball {
    Vec3 middle = Vec3::Zero(); ///< [m]
    double radius = 0.0;        ///< [m]
};

/// Uniform grid over the middles of balls, periodic along some axes, to find balls near a ball.
///
/// Middles are wrapped into the box along periodic axes and sorted into cells by counting, so items
/// come in ascending order from each cell. Cells are no narrower than asked for, and wider where
/// the balls are thin in their box, so that clearing the cells never costs more than a few times
/// the balls. Building is linear in the balls and serial; asking is free of side effects.
class BallGrid {
public:
    /// @param box  periods [m], read along periodic axes only
    /// @param width  least width of a cell [m], > 0
    BallGrid(std::span<const Ball> balls,
             const Vec3& box,
             const std::array<bool, 3>& periodic,
             double width);

    /// Calls f(item, shift, overlaps) for all items, moved by `shift` boxes, whose cell is within
    /// reach of a ball; `overlaps` where |middle - middle| < radius + radius + margin.
    template <class F>
    void for_each_near(const Ball& ball, double margin, F&& f) const {
        if (items_.empty())
            return;
        const double reach = ball.radius + widest_ + margin;
        std::array<Range, 3> range;
        for (int i = 0; i < 3; ++i)
            range[i] = cells(i, ball.middle[i] - reach, ball.middle[i] + reach);
        for (Index z = range[2].first; z <= range[2].last; ++z)
            for (Index y = range[1].first; y <= range[1].last; ++y)
                for (Index x = range[0].first; x <= range[0].last; ++x)
                    in_cell({x, y, z}, ball, margin, f);
    }

private:
    using Cell = std::array<Index, 3>;
    struct Item {    // stored cell by cell
        Vec3 middle; // wrapped into the box
        double radius;
        Index ball;
        Cell wraps; // middle + wraps * box is where the ball was
    };
    struct Range {
        Index first = 0, last = 0;
    };

    void shape(std::span<const Item> items, double width);
    void fill(std::span<const Item> items);
    [[nodiscard]] Range cells(int axis, double low, double high) const;
    [[nodiscard]] std::int64_t index(const Cell& c) const {
        return (std::int64_t{c[2]} * n_[1] + c[1]) * n_[0] + c[0];
    }

    template <class F>
    void in_cell(Cell c, const Ball& ball, double margin, F&& f) const {
        Cell image{};
        Vec3 from = ball.middle; // the ball, moved to the image of the box that is in the grid
        for (int i = 0; i < 3; ++i) {
            image[i] = c[i] >= 0 ? c[i] / n_[i] : -((n_[i] - 1 - c[i]) / n_[i]);
            c[i] -= image[i] * n_[i];
            from[i] -= image[i] != 0 ? image[i] * box_[i] : 0.0;
        }
        const std::int64_t k = index(c);
        for (Index at = begin_[k]; at < begin_[k + 1]; ++at) {
            const Item& item = items_[at];
            const double range = ball.radius + item.radius + margin;
            f(item.ball,
              Cell{image[0] - item.wraps[0], image[1] - item.wraps[1], image[2] - item.wraps[2]},
              (item.middle - from).squaredNorm() < range * range);
        }
    }

    Vec3 box_;
    std::array<bool, 3> periodic_;
    double widest_ = 0.0;
    Vec3 origin_ = Vec3::Zero(), width_ = Vec3::Ones();
    Cell n_{1, 1, 1};
    std::vector<Index> begin_; ///< of each cell in items_
    std::vector<Item> items_;
};

} // namespace cellgrade
