// SPDX-License-Identifier: Apache-2.0
#include "solver/results/impact_csv.hpp"

#include "solver/choice/oblique.hpp"
#include "solver/core/units.hpp"
#include "solver/results/csv_cell.hpp"

#include <fmt/format.h>

#include <cmath>

namespace cellgrade {

namespace {

constexpr std::size_t most_rows = 2000;

using csv::cell;

std::string rows_of(const ImpactCase& impact, const ImpactAnswer& answer, std::size_t number) {
    const HitAnswer& hit = answer.hits[number];
    const ImpactHistory& h = hit.run.history;
    const bool slants = impact.oblique.tangential_speed_m_per_s > 0.0;
    const ObliqueMotion turn =
        slants ? oblique_motion(h, impact.mass_kg, impact.oblique) : ObliqueMotion{};
    const std::string head = fmt::format("{},{},{},{:d}", cell(answer.impact),
                                         cell(answer.temperature_C), number + 1, hit.bottomed);
    const std::size_t stride = h.time_s.size() / most_rows + 1;
    std::string text;
    for (std::size_t i = 0; i < h.time_s.size(); ++i) {
        if (i % stride != 0 && i + 1 != h.time_s.size())
            continue;
        text += fmt::format("{},{},{},{},{},{},{}", head, cell(h.time_s[i]), cell(h.depth_m[i]),
                            cell(h.speed_m_per_s[i]), cell(h.force_N[i]),
                            cell(h.force_N[i] / impact.mass_kg / units::standard_gravity),
                            cell(h.strain_rate_per_s[i]));
        text += slants ? fmt::format(",{},{},{}\n", cell(turn.tangential_speed_m_per_s[i]),
                                     cell(turn.angular_speed_rad_per_s[i]),
                                     cell(turn.angular_acceleration_rad_per_s2[i]))
                       : ",,,\n";
    }
    return text;
}

} // namespace

std::string impact_csv(const std::vector<const ImpactCase*>& cases,
                       const std::vector<const ImpactAnswer*>& answers,
                       const std::vector<std::string>& comments) {
    std::string text = csv::comment_lines(comments);
    text += "impact,temperature_C,hit,bottomed,time_s,depth_m,speed_m_per_s,force_N,acceleration_g,"
            "strain_rate_per_s,tangential_speed_m_per_s,angular_speed_rad_per_s,"
            "angular_acceleration_rad_per_s2\n";
    for (std::size_t k = 0; k < answers.size(); ++k)
        for (std::size_t hit = 0; hit < answers[k]->hits.size(); ++hit)
            text += rows_of(*cases[k], *answers[k], hit);
    return text;
}

} // namespace cellgrade
