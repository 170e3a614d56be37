// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace cellgrade {

/// Finds the piece of a rising row of knots that a number lies in, without a search: even buckets
/// know their first piece.
class KnotFinder {
public:
    KnotFinder() = default;
    /// @param knots two or more, each above the one before
    explicit KnotFinder(const std::vector<double>& knots)
        : from_(knots.front()),
          per_unit_(double(2 * knots.size()) / (knots.back() - knots.front())),
          piece_(2 * knots.size() + 1) {
        std::size_t piece = 0;
        for (std::size_t bucket = 0; bucket < piece_.size(); ++bucket) {
            const double start = from_ + double(bucket) / per_unit_;
            while (piece + 2 < knots.size() && knots[piece + 1] <= start)
                ++piece;
            piece_[bucket] = piece;
        }
    }

    /// i with knots[i] <= x < knots[i + 1]; the first or last piece outside.
    [[nodiscard]] std::size_t piece(const std::vector<double>& knots, double x) const {
        const double bucket = std::max((x - from_) * per_unit_, 0.0);
        std::size_t i = piece_[std::min(static_cast<std::size_t>(bucket), piece_.size() - 1)];
        while (i > 0 && x < knots[i]) // rounding at the edge of a bucket
            --i;
        while (i + 2 < knots.size() && x >= knots[i + 1])
            ++i;
        return i;
    }

private:
    double from_ = 0.0, per_unit_ = 0.0;
    std::vector<std::size_t> piece_;
};

} // namespace cellgrade
