// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/prony.hpp"

#include "solver/core/error.hpp"

#include <cmath>

namespace cellgrade {

void check_prony(std::span<const PronyTerm> terms) {
    double sum = 0.0;
    for (std::size_t i = 0; i < terms.size(); ++i) {
        const PronyTerm& t = terms[i];
        CELLGRADE_CHECK(t.share > 0.0 && t.share < 1.0,
                        "prony[{}].share = {:.9g} is not allowed; a number between 0 and 1 is "
                        "needed",
                        i, t.share);
        CELLGRADE_CHECK(t.time_s > 0.0 && std::isfinite(t.time_s),
                        "prony[{}].time_s = {:.9g} is not allowed; a number above 0 is needed", i,
                        t.time_s);
        sum += t.share;
    }
    CELLGRADE_CHECK(sum < 1.0,
                    "prony: the shares add up to {:.9g}; less than 1 is needed, the rest is the "
                    "long-term stiffness",
                    sum);
}

double long_term_share(std::span<const PronyTerm> terms) {
    double rest = 1.0;
    for (const PronyTerm& t : terms)
        rest -= t.share;
    return rest;
}

double relaxation(std::span<const PronyTerm> terms, double time_s) {
    double g = long_term_share(terms);
    for (const PronyTerm& t : terms)
        g += t.share * std::exp(-time_s / t.time_s);
    return g;
}

DynamicShare dynamic_share(std::span<const PronyTerm> terms, double rad_per_s) {
    DynamicShare d{.storage = long_term_share(terms), .loss = 0.0};
    for (const PronyTerm& t : terms) {
        const double x = rad_per_s * t.time_s;
        d.storage += t.share * x * x / (1.0 + x * x);
        d.loss += t.share * x / (1.0 + x * x);
    }
    return d;
}

} // namespace cellgrade
