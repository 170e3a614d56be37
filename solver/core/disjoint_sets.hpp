// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <vector>

namespace cellgrade {

/// Sets of numbers 0 .. n - 1 that are joined; the lowest number stands for its set.
class DisjointSets {
public:
    explicit DisjointSets(std::size_t n) : parent_(n) {
        std::iota(parent_.begin(), parent_.end(), 0);
    }
    [[nodiscard]] Index find(Index i) {
        while (parent_[i] != i)
            i = parent_[i] = parent_[parent_[i]];
        return i;
    }
    void join(Index a, Index b) {
        a = find(a);
        b = find(b);
        parent_[std::max(a, b)] = std::min(a, b);
    }

private:
    std::vector<Index> parent_;
};

} // namespace cellgrade
