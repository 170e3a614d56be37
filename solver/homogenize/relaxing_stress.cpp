// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/relaxing_stress.hpp"

#include "solver/core/error.hpp"

#include <cmath>

namespace cellgrade {

std::vector<double> instantaneous_stress(std::span<const PronyTerm> prony,
                                         std::span<const double> time_s,
                                         std::span<const double> stress) {
    CELLGRADE_CHECK(time_s.size() == stress.size(), "{} times but {} stresses", time_s.size(),
                    stress.size());
    std::vector<double> branch(prony.size(), 0.0), elastic(stress.size());
    double long_term = 1.0;
    for (const PronyTerm& term : prony)
        long_term -= term.share;
    double last = 0.0, time = 0.0;
    for (std::size_t n = 0; n < stress.size(); ++n) {
        const double dt = time_s[n] - time;
        CELLGRADE_CHECK(dt > 0.0 || (n == 0 && dt == 0.0), "time {} s of row {} does not rise",
                        time_s[n], n);
        double of_elastic = long_term, carried = 0.0;
        for (std::size_t i = 0; i < prony.size(); ++i) {
            const double x = dt / prony[i].time_s;
            const double gain = prony[i].share * (x > 0.0 ? -std::expm1(-x) / x : 1.0);
            branch[i] = std::exp(-x) * branch[i] - gain * last;
            carried += branch[i];
            of_elastic += gain;
        }
        elastic[n] = (stress[n] - carried) / of_elastic;
        for (std::size_t i = 0; i < prony.size(); ++i) {
            const double x = dt / prony[i].time_s;
            branch[i] += prony[i].share * (x > 0.0 ? -std::expm1(-x) / x : 1.0) * elastic[n];
        }
        last = elastic[n];
        time = time_s[n];
    }
    return elastic;
}

} // namespace cellgrade
