// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/injury.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <deque>

namespace cellgrade {

namespace {

constexpr double bound_share = 1e-9;   // nothing above this over the best found is missed
constexpr double window_slack = 1e-12; // a window of the cap's length to rounding is allowed

void check_pulse(const AccelerationPulse& pulse) {
    const std::size_t n = pulse.time_s.size();
    CELLGRADE_CHECK(n == pulse.acceleration_g.size(), "a pulse has {} times but {} accelerations",
                    n, pulse.acceleration_g.size());
    for (std::size_t i = 0; i < n; ++i) {
        CELLGRADE_CHECK(std::isfinite(pulse.time_s[i]) && std::isfinite(pulse.acceleration_g[i]),
                        "sample {} of a pulse is not finite", i + 1);
        CELLGRADE_CHECK(i == 0 || pulse.time_s[i] >= pulse.time_s[i - 1],
                        "time of a pulse falls at sample {}: {:g} s after {:g} s", i + 1,
                        pulse.time_s[i], pulse.time_s[i - 1]);
    }
}

/// Places where windows may begin or end, with the integral of the acceleration up to them.
struct Places {
    std::vector<double> time, integral;
};

Places places_of(const AccelerationPulse& pulse, double window) {
    const std::vector<double>& t = pulse.time_s;
    const std::vector<double>& a = pulse.acceleration_g;
    Places at;
    for (const double shift : {-window, 0.0, window})
        for (const double time : t)
            if (time + shift >= t.front() && time + shift <= t.back())
                at.time.push_back(time + shift);
    std::sort(at.time.begin(), at.time.end());
    at.time.erase(std::unique(at.time.begin(), at.time.end()), at.time.end());
    std::size_t i = 0;
    double before = 0.0; // integral up to sample i
    for (const double time : at.time) {
        while (i + 1 < t.size() && t[i + 1] <= time) {
            before += 0.5 * (a[i] + a[i + 1]) * (t[i + 1] - t[i]);
            ++i;
        }
        const double part = time - t[i];
        const double slope = i + 1 < t.size() ? (a[i + 1] - a[i]) / (t[i + 1] - t[i]) : 0.0;
        at.integral.push_back(before + part * (a[i] + (part > 0.0 ? 0.5 * slope * part : 0.0)));
    }
    return at;
}

/// A window by its ends, and the integral of (a - c) over it.
struct Window {
    std::size_t from = 0, to = 0;
    double gain = 0.0;
};

/// M(c): the best window for one level c. The running minimum is kept for the last `window` only.
Window best_window(const Places& at, double level, double window) {
    const auto height = [&](std::size_t k) { return at.integral[k] - level * at.time[k]; };
    Window best;
    std::deque<std::size_t> lowest; // candidates, their heights rise
    for (std::size_t k = 0; k < at.time.size(); ++k) {
        while (!lowest.empty() &&
               at.time[k] - at.time[lowest.front()] > window * (1.0 + window_slack))
            lowest.pop_front();
        if (!lowest.empty())
            if (const double gain = height(k) - height(lowest.front()); gain > best.gain)
                best = {lowest.front(), k, gain};
        while (!lowest.empty() && height(lowest.back()) >= height(k))
            lowest.pop_back();
        lowest.push_back(k);
    }
    return best;
}

/// The search over the mean acceleration u of the best window.
class MeanSearch {
public:
    MeanSearch(const Places& at, double window) : at_(at), window_(window) {}

    /// @param largest no window has a higher mean
    HeadInjury run(double largest) {
        std::vector<Interval> open{{{0.0, gain(0.0)}, {largest, gain(largest)}}};
        while (!open.empty()) {
            const Interval each = open.back();
            open.pop_back();
            if (bound(each) <= best_.value * (1.0 + bound_share))
                continue;
            const double middle = 0.5 * (each.low.u + each.high.u);
            if (middle <= each.low.u || middle >= each.high.u)
                continue;
            const End halfway{middle, gain(middle)};
            open.push_back({each.low, halfway});
            open.push_back({halfway, each.high});
        }
        return best_;
    }

private:
    struct End {
        double u, gain; ///< M(0.6 u)
    };
    struct Interval {
        End low, high;
    };

    double gain(double u) {
        const Window found = best_window(at_, 0.6 * u, window_);
        const double dt = at_.time[found.to] - at_.time[found.from];
        const double dv = at_.integral[found.to] - at_.integral[found.from];
        if (dt > 0.0 && dv > 0.0)
            if (const double value = dv * std::pow(dv / dt, 1.5); value > best_.value)
                best_ = {value, at_.time[found.from], at_.time[found.to]};
        return found.gain;
    }

    /// Largest 2.5 u^1.5 (p - q u) on the interval, p - q u being the chord of M.
    static double bound(const Interval& i) {
        const double q = (i.low.gain - i.high.gain) / (i.high.u - i.low.u);
        const double p = i.low.gain + q * i.low.u;
        const double top = q > 0.0 ? 0.6 * p / q : i.high.u;
        const double u = std::clamp(top, i.low.u, i.high.u);
        return 2.5 * std::pow(u, 1.5) * (p - q * u);
    }

    const Places& at_;
    double window_;
    HeadInjury best_;
};

} // namespace

HeadInjury head_injury_criterion(const AccelerationPulse& pulse, double longest_window_s) {
    check_pulse(pulse);
    CELLGRADE_CHECK(longest_window_s > 0.0, "longest window {:g} s must be above 0",
                    longest_window_s);
    if (pulse.time_s.size() < 2)
        return {};
    const double largest =
        *std::max_element(pulse.acceleration_g.begin(), pulse.acceleration_g.end());
    if (!(largest > 0.0))
        return {};
    const Places at = places_of(pulse, longest_window_s);
    return MeanSearch(at, longest_window_s).run(largest);
}

double severity_index(const AccelerationPulse& pulse) {
    check_pulse(pulse);
    double sum = 0.0;
    for (std::size_t i = 1; i < pulse.time_s.size(); ++i) {
        const double dt = pulse.time_s[i] - pulse.time_s[i - 1];
        double low = pulse.acceleration_g[i - 1], high = pulse.acceleration_g[i];
        if (low > high)
            std::swap(low, high);
        if (dt <= 0.0 || high <= 0.0)
            continue;
        const double share = low < 0.0 ? high / (high - low) : 1.0; // of the step above 0
        low = std::max(low, 0.0);
        // Close together the quotient below loses its digits; the middle is then right to 1e-7.
        const double mean = high - low < 1e-3 * high
                                ? std::pow(0.5 * (low + high), 2.5)
                                : (std::pow(high, 3.5) - std::pow(low, 3.5)) / (3.5 * (high - low));
        sum += share * dt * mean;
    }
    return sum;
}

} // namespace cellgrade
