// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/drop_traits.hpp"

#include "solver/core/units.hpp"
#include "solver/crush/channel_filter.hpp"
#include "solver/crush/quasi_static.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr double pulse_share = 0.01; // of the peak force: where a pulse begins and ends

std::size_t largest_row(const std::vector<double>& column) {
    return static_cast<std::size_t>(std::max_element(column.begin(), column.end()) -
                                    column.begin());
}

double largest_size(const std::vector<double>& column) {
    double largest = 0.0;
    for (const double value : column)
        largest = std::max(largest, std::abs(value));
    return largest;
}

/// Value between rows; before and behind them that of the end. Walks on from `row`.
double
between(const std::vector<double>& x, const std::vector<double>& y, double at, std::size_t& row) {
    if (at <= x.front())
        return y.front();
    while (row + 1 < x.size() && x[row + 1] < at)
        ++row;
    if (row + 1 >= x.size())
        return y.back();
    const double share = (at - x[row]) / (x[row + 1] - x[row]);
    return y[row] + share * (y[row + 1] - y[row]);
}

/// Work of the striker on the pad up to each row: what it lost, and what its weight put in.
std::vector<double> work_on_pad(const DropHistory& h, const DropStriker& striker) {
    const double weight = striker.with_weight ? striker.mass_kg * units::standard_gravity : 0.0;
    std::vector<double> work(h.time_s.size());
    for (std::size_t i = 0; i < work.size(); ++i)
        work[i] = h.striker_energy_J.front() - h.striker_energy_J[i] +
                  weight * (h.height_m.front() - h.height_m[i]);
    return work;
}

/// Work over the largest force so far, a row each on the way in [m].
std::vector<double> efficient_way(const DropHistory& h, double mass, std::size_t deepest) {
    std::vector<double> way(deepest + 1, 0.0);
    double work = 0.0, largest = 0.0;
    for (std::size_t i = 1; i <= deepest; ++i) {
        const double force = mass * h.filtered_acceleration_m_per_s2[i];
        work += 0.5 * (force + mass * h.filtered_acceleration_m_per_s2[i - 1]) *
                (h.depth_m[i] - h.depth_m[i - 1]);
        largest = std::max(largest, force);
        way[i] = largest > 0.0 ? work / largest : 0.0;
    }
    return way;
}

} // namespace

void filter_acceleration(DropHistory& h, double interval_s, double channel_class_Hz) {
    h.filtered_acceleration_m_per_s2 = h.acceleration_m_per_s2;
    if (channel_class_Hz == 0.0 || h.time_s.size() < 3)
        return;
    std::vector<double> impulse(h.time_s.size(), 0.0); // over mass, to each row
    for (std::size_t i = 1; i < impulse.size(); ++i)
        impulse[i] = impulse[i - 1] + h.acceleration_m_per_s2[i] * (h.time_s[i] - h.time_s[i - 1]);
    const auto n = static_cast<std::size_t>(std::floor(h.time_s.back() / interval_s)) + 1;
    std::vector<double> time(n), even(n);
    std::size_t low_row = 0, high_row = 0;
    for (std::size_t j = 0; j < n; ++j) {
        time[j] = static_cast<double>(j) * interval_s;
        even[j] = (between(h.time_s, impulse, time[j] + 0.5 * interval_s, high_row) -
                   between(h.time_s, impulse, time[j] - 0.5 * interval_s, low_row)) /
                  interval_s;
    }
    const std::vector<double> filtered = channel_filtered(even, interval_s, channel_class_Hz);
    std::size_t row = 0;
    for (std::size_t i = 0; i < h.time_s.size(); ++i)
        h.filtered_acceleration_m_per_s2[i] = between(time, filtered, h.time_s[i], row);
}

DropTraits
drop_traits(const DropHistory& h, const DropStriker& striker, double pad_height, bool left) {
    const double g = units::standard_gravity;
    DropTraits t;
    const std::size_t peak = largest_row(h.filtered_acceleration_m_per_s2);
    const std::size_t deepest = largest_row(h.depth_m);
    t.peak_acceleration_g = h.filtered_acceleration_m_per_s2[peak] / g;
    t.peak_unfiltered_acceleration_g =
        h.acceleration_m_per_s2[largest_row(h.acceleration_m_per_s2)] / g;
    t.peak_force_N = striker.mass_kg * h.filtered_acceleration_m_per_s2[peak];
    t.time_of_peak_s = h.time_s[peak];
    t.largest_depth_m = h.depth_m[deepest];
    t.largest_strain = t.largest_depth_m / pad_height;
    t.time_of_largest_depth_s = h.time_s[deepest];
    t.efficient_depth_m = h.depth_m[largest_row(efficient_way(h, striker.mass_kg, deepest))];
    const double limit = pulse_share * h.contact_force_N[largest_row(h.contact_force_N)];
    const auto above = [&](double force) { return force > limit; };
    const auto first = std::find_if(h.contact_force_N.begin(), h.contact_force_N.end(), above);
    const auto last = std::find_if(h.contact_force_N.rbegin(), h.contact_force_N.rend(), above);
    t.pulse_s = first == h.contact_force_N.end() ? 0.0
                                                 : h.time_s[h.contact_force_N.rend() - last - 1] -
                                                       h.time_s[first - h.contact_force_N.begin()];

    const std::vector<double> work = work_on_pad(h, striker);
    t.impact_energy_J = h.striker_energy_J.front();
    t.absorbed_energy_J = work[largest_row(work)];
    t.rebound_speed_m_per_s = left ? -h.speed_m_per_s.back() : unknown;
    t.restitution = t.rebound_speed_m_per_s / h.speed_m_per_s.front();
    t.returned_energy_J = left ? t.absorbed_energy_J - work.back() : unknown;
    t.returned_share = t.returned_energy_J / t.absorbed_energy_J;

    t.peak_side_force_N = largest_size(h.side_force_N);
    t.slide_speed_change_m_per_s = h.slide_speed_m_per_s.back() - h.slide_speed_m_per_s.front();
    t.peak_angular_acceleration_rad_per_s2 = largest_size(h.turn_acceleration_rad_per_s2);
    t.angular_speed_change_rad_per_s = h.turn_rate_rad_per_s.back() - h.turn_rate_rad_per_s.front();
    return t;
}

bool past_densification(const DropHistory& h,
                        const DropTraits& traits,
                        double mass_kg,
                        double pad_height) {
    constexpr double fall = 0.9;
    const std::vector<double> way = efficient_way(h, mass_kg, largest_row(h.depth_m));
    return traits.largest_depth_m - traits.efficient_depth_m > inertia_window_strain * pad_height &&
           way.back() < fall * way[largest_row(way)];
}

} // namespace cellgrade
