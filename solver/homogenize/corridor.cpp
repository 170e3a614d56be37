// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/corridor.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// The part of [0, 1] over which a line from `first` to `last` is not below zero.
StrainRange not_negative(double first, double last) {
    if (first >= 0.0 && last >= 0.0)
        return {0.0, 1.0};
    if (first < 0.0 && last < 0.0)
        return {0.0, 0.0};
    const double zero = first / (first - last);
    return first < 0.0 ? StrainRange{zero, 1.0} : StrainRange{0.0, zero};
}

} // namespace

Corridor corridor_of(std::span<const CurveBranch> repeats) {
    CELLGRADE_CHECK(!repeats.empty(), "a corridor needs at least one measured curve");
    StrainRange range{repeats.front().strain.front(), repeats.front().strain.back()};
    std::vector<const CurveBranch*> branches;
    for (const CurveBranch& repeat : repeats) {
        range.from = std::max(range.from, repeat.strain.front());
        range.to = std::min(range.to, repeat.strain.back());
        branches.push_back(&repeat);
    }
    CELLGRADE_CHECK(!range.empty(), "the measured curves have no strain in common");
    const auto n = static_cast<double>(repeats.size());
    Corridor corridor{.mean = {.strain = common_strains(branches, range), .stress_Pa = {}},
                      .deviation_Pa = {}};
    for (const double strain : corridor.mean.strain) {
        double sum = 0.0, squares = 0.0;
        for (const CurveBranch& repeat : repeats)
            sum += repeat.at(strain);
        for (const CurveBranch& repeat : repeats)
            squares += std::pow(repeat.at(strain) - sum / n, 2);
        corridor.mean.stress_Pa.push_back(sum / n);
        corridor.deviation_Pa.push_back(n > 1.0 ? std::sqrt(squares / (n - 1.0)) : unknown);
    }
    return corridor;
}

double share_inside(const Corridor& corridor,
                    const CurveBranch& branch,
                    const StrainRange& range,
                    double deviations) {
    if (std::isnan(corridor.deviation_Pa.front()))
        return unknown;
    const CurveBranch width{.strain = corridor.mean.strain, .stress_Pa = corridor.deviation_Pa};
    const std::vector<double> strains = common_strains({&corridor.mean, &branch}, range);
    const auto room = [&](double strain, double sign) {
        return deviations * width.at(strain) +
               sign * (branch.at(strain) - corridor.mean.at(strain));
    };
    double inside = 0.0;
    for (std::size_t i = 1; i < strains.size(); ++i) {
        const StrainRange above = not_negative(room(strains[i - 1], 1.0), room(strains[i], 1.0));
        const StrainRange below = not_negative(room(strains[i - 1], -1.0), room(strains[i], -1.0));
        const double share = std::min(above.to, below.to) - std::max(above.from, below.from);
        inside += std::max(share, 0.0) * (strains[i] - strains[i - 1]);
    }
    return inside / (range.to - range.from);
}

} // namespace cellgrade
