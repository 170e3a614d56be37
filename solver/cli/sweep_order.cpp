// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/sweep_order.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>

namespace cellgrade {

namespace {

/// Rank of each of n places along an axis: 0 both ends, 1 the middle, 2 the middles between ...
std::vector<int> place_ranks(std::size_t n) {
    std::vector<int> ranks(n, 0);
    const std::function<void(std::size_t, std::size_t, int)> split = [&](std::size_t from,
                                                                         std::size_t to, int rank) {
        if (to - from < 2)
            return;
        const std::size_t middle = from + (to - from) / 2;
        ranks[middle] = rank;
        split(from, middle, rank + 1);
        split(middle, to, rank + 1);
    };
    if (n > 2)
        split(0, n - 1, 1);
    return ranks;
}

/// Ranks of the cases by one of their numbers; NaN is a value like any other, the least.
std::vector<int> ranks_by(std::span<const GradeCase> cases,
                          const std::function<double(const GradeCase&)>& value) {
    const auto number = [&](const GradeCase& g) {
        const double v = value(g);
        return std::isnan(v) ? -1e300 : v;
    };
    std::vector<double> places;
    for (const GradeCase& g : cases)
        places.push_back(number(g));
    std::sort(places.begin(), places.end());
    places.erase(std::unique(places.begin(), places.end()), places.end());
    const std::vector<int> ranks = place_ranks(places.size());
    std::vector<int> out;
    for (const GradeCase& g : cases)
        out.push_back(ranks[static_cast<std::size_t>(
            std::lower_bound(places.begin(), places.end(), number(g)) - places.begin())]);
    return out;
}

} // namespace

std::vector<std::size_t> telling_order(std::span<const GradeCase> cases) {
    std::vector<int> rank(cases.size(), 0);
    const auto add = [&](const std::vector<int>& more) {
        for (std::size_t i = 0; i < rank.size(); ++i)
            rank[i] += more[i];
    };
    add(ranks_by(cases, [](const GradeCase& g) { return g.relative_density; }));
    add(ranks_by(cases, [](const GradeCase& g) { return g.temperature_C; }));
    add(ranks_by(cases, [](const GradeCase& g) { return g.strain_rate_per_s; }));
    add(ranks_by(cases, [](const GradeCase& g) { return g.precompression; }));
    for (std::size_t i = 0; i < cases.size(); ++i) {
        rank[i] += cases[i].load != CaseLoad::Compression ? 1 : 0;
        rank[i] += cases[i].direction != cases.front().direction ? 1 : 0;
    }
    std::vector<std::size_t> order(cases.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return rank[a] < rank[b]; });
    return order;
}

} // namespace cellgrade
