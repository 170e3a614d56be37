// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/beam_validity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

BeamDifference between(const BeamDifference& a, const BeamDifference& b, double density) {
    const double t = (density - a.relative_density) / (b.relative_density - a.relative_density);
    const auto mix = [&](double BeamDifference::*member) {
        return (1.0 - t) * (a.*member) + t * (b.*member);
    };
    return {a.cell,
            density,
            mix(&BeamDifference::slenderness),
            mix(&BeamDifference::stiffness),
            mix(&BeamDifference::collapse),
            mix(&BeamDifference::plateau),
            mix(&BeamDifference::sea)};
}

std::string clause(const char* name, double difference) {
    return std::isnan(difference) ? "" : fmt::format(", {} {:+.0f} %", name, 100.0 * difference);
}

} // namespace

double BeamDoubt::worst() const {
    double worst = std::numeric_limits<double>::quiet_NaN();
    for (const double each :
         {difference.stiffness, difference.collapse, difference.plateau, difference.sea})
        worst = std::fmax(worst, std::abs(each));
    return worst;
}

std::optional<BeamDoubt>
beam_doubt(std::string_view cell, double relative_density, double slenderness) {
    if (std::isnan(relative_density) || std::isnan(slenderness))
        return std::nullopt;
    const std::span<const BeamDifference> map = beam_differences();
    for (std::size_t i = 0; i + 1 < map.size(); ++i)
        if (map[i].cell == cell && map[i + 1].cell == cell &&
            relative_density >= map[i].relative_density &&
            relative_density <= map[i + 1].relative_density)
            return BeamDoubt{between(map[i], map[i + 1], relative_density), true};
    const auto nearer = [&](const BeamDifference& a, const BeamDifference& b) {
        return std::abs(a.slenderness - slenderness) < std::abs(b.slenderness - slenderness);
    };
    return BeamDoubt{*std::min_element(map.begin(), map.end(), nearer), false};
}

std::string doubt_text(const BeamDoubt& doubt) {
    const BeamDifference& d = doubt.difference;
    const std::string numbers =
        clause("stiffness", d.stiffness) + clause("collapse stress", d.collapse) +
        clause("plateau stress", d.plateau) + clause("energy per mass", d.sea);
    if (doubt.same_cell)
        return fmt::format("beams against tetrahedra of this cell at this density: {}",
                           numbers.substr(2));
    return fmt::format(
        "this grade was not compared with tetrahedra; the nearest that was, {} at relative density "
        "{:.2g}, strut length over diameter {:.2g}, by beams: {}",
        d.cell, d.relative_density, d.slenderness, numbers.substr(2));
}

} // namespace cellgrade
