// SPDX-License-Identifier: Apache-2.0
#include "solver/core/suggest.hpp"

#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <utility>

namespace cellgrade {

int edit_distance(std::string_view a, std::string_view b) {
    const std::size_t n = b.size() + 1;
    std::vector<int> before(n), last(n), now(n);
    for (std::size_t j = 0; j < n; ++j)
        last[j] = static_cast<int>(j);
    for (std::size_t i = 1; i <= a.size(); ++i) {
        now[0] = static_cast<int>(i);
        for (std::size_t j = 1; j < n; ++j) {
            const int swap_cost = a[i - 1] == b[j - 1] ? 0 : 1;
            now[j] = std::min({last[j] + 1, now[j - 1] + 1, last[j - 1] + swap_cost});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = std::min(now[j], before[j - 2] + 1);
        }
        std::swap(before, last);
        std::swap(last, now);
    }
    return last[n - 1];
}

std::vector<std::string> nearest_names(std::string_view name, std::span<const std::string> known) {
    const int limit = std::max(2, static_cast<int>(name.size()) / 3);
    std::vector<std::pair<int, std::string>> near;
    for (const std::string& candidate : known)
        if (const int d = edit_distance(name, candidate); d <= limit)
            near.emplace_back(d, candidate);
    std::sort(near.begin(), near.end());
    std::vector<std::string> names;
    for (std::size_t i = 0; i < near.size() && i < 3; ++i)
        names.push_back(near[i].second);
    return names;
}

std::string did_you_mean(std::string_view name, std::span<const std::string> known) {
    const std::vector<std::string> near = nearest_names(name, known);
    std::string text;
    if (!near.empty())
        text = fmt::format("; did you mean {}?", fmt::join(near, " or "));
    if (near.empty() || known.size() <= 20)
        text += fmt::format(" (known: {})", fmt::join(known, ", "));
    return text;
}

} // namespace cellgrade
