// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/cushion_curve.hpp"

#include "solver/choice/impact_run.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace cellgrade {

namespace {

constexpr double area_m2 = 1e-2; // any: force and mass both go with it

} // namespace

std::string GradeCushion::label() const {
    return fmt::format("{} {:.3g}, {:.4g} mm, {:.4g} m", cell, relative_density,
                       curve.thickness_m / units::mm, curve.drop_height_m);
}

CushionCurve cushion_curve(const GradeResponse& grade,
                           double thickness_m,
                           double drop_height_m,
                           const std::vector<double>& static_stresses_Pa) {
    CELLGRADE_CHECK(drop_height_m > 0.0 && drop_height_m <= 100.0,
                    "drop height {:g} m is out of range; above 0 to 100 is allowed", drop_height_m);
    CushionCurve curve{.thickness_m = thickness_m, .drop_height_m = drop_height_m, .points = {}};
    const double g = units::standard_gravity;
    double before = 0.0;
    for (const double stress : static_stresses_Pa) {
        CELLGRADE_CHECK(stress > before,
                        "static stresses must be above 0 and rise: {:g} Pa after "
                        "{:g} Pa",
                        stress, before);
        before = stress;
        Foundation pad(grade, Striker::flat(), {.thickness_m = thickness_m, .area_m2 = area_m2});
        pad.begin_hit(0.0);
        const double mass = stress * area_m2 / g;
        const ImpactRun run =
            follow_impact(pad, {.mass_kg = mass,
                                .speed_m_per_s = std::sqrt(2.0 * g * drop_height_m),
                                .result_to_strain = grade.last_strain()});
        const std::vector<double>& force = run.history.force_N;
        curve.points.push_back(
            {.static_stress_Pa = stress,
             .peak_acceleration_g = *std::max_element(force.begin(), force.end()) / mass / g,
             .largest_strain = run.largest_strain,
             .bottomed = run.largest_strain > grade.last_strain()});
    }
    return curve;
}

std::vector<double> stress_ladder(double from_Pa, double to_Pa, Index count) {
    CELLGRADE_CHECK(from_Pa > 0.0 && to_Pa > from_Pa && count >= 2,
                    "a ladder needs 0 < from < to and two steps: {:g} to {:g} Pa, {}", from_Pa,
                    to_Pa, count);
    std::vector<double> stresses;
    for (Index i = 0; i < count; ++i)
        stresses.push_back(from_Pa * std::pow(to_Pa / from_Pa, double(i) / (count - 1)));
    return stresses;
}

std::vector<double>
useful_stresses(const GradeResponse& grade, double thickness_m, double drop_height_m, Index count) {
    constexpr int strips = 400;
    const double step = grade.last_strain() / strips, rate = grade.highest_rate_per_s();
    double energy = 0.0; // per volume, by the midpoint rule
    for (int i = 0; i < strips; ++i)
        energy += step * grade.stress_Pa((i + 0.5) * step, rate);
    const double most = energy * thickness_m / drop_height_m;
    return stress_ladder(0.02 * most, 1.2 * most, count);
}

std::vector<CushionPoint> held_points(const CushionCurve& curve) {
    std::vector<CushionPoint> held;
    std::copy_if(curve.points.begin(), curve.points.end(), std::back_inserter(held),
                 [](const CushionPoint& point) { return !point.bottomed; });
    return held;
}

const CushionPoint* best_point(const CushionCurve& curve) {
    const CushionPoint* best = nullptr;
    for (const CushionPoint& point : curve.points)
        if (!point.bottomed &&
            (best == nullptr || point.peak_acceleration_g < best->peak_acceleration_g))
            best = &point;
    return best;
}

} // namespace cellgrade
