// SPDX-License-Identifier: Apache-2.0
#include "solver/report/thinned_knots.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace cellgrade;

namespace {

double line_at(const std::vector<double>& x, const std::vector<double>& y, double at) {
    const auto above = std::upper_bound(x.begin() + 1, x.end() - 1, at);
    const auto i = static_cast<std::size_t>(above - x.begin()) - 1;
    return y[i] + (y[i + 1] - y[i]) * (at - x[i]) / (x[i + 1] - x[i]);
}

/// A plateau with ripples and a wall, at two rates, on 20,001 strains.
GradeResponse::Knots full_knots() {
    GradeResponse::Knots knots{.log_strain_rate = {0.0, 1.0}, .stress_Pa = {{}, {}}};
    for (int i = 0; i <= 20000; ++i) {
        const double e = 0.7 * i / 20000.0;
        knots.strain.push_back(e);
        const double stress = 1e5 * (1.0 - std::exp(-40.0 * e)) * (1.0 + 0.1 * std::sin(60.0 * e)) +
                              2e4 * e / (0.75 - e);
        knots.stress_Pa[0].push_back(stress);
        knots.stress_Pa[1].push_back(1.3 * stress + 1e3 * std::sin(200.0 * e) * e);
    }
    knots.return_x = {knots.strain};
    knots.return_share.emplace_back();
    for (const double e : knots.strain)
        knots.return_share[0].push_back(0.4 + 0.5 * e * e);
    return knots;
}

} // namespace

TEST_CASE("thinned knots: every point of every curve within the share that is promised") {
    const GradeResponse::Knots full = full_knots(), thin = thinned_knots(full);
    CHECK(thin.strain.size() < 1000);
    CHECK(thin.strain.front() == full.strain.front());
    CHECK(thin.strain.back() == full.strain.back());
    double worst = 0.0;
    for (std::size_t k = 0; k < 2; ++k) {
        const double largest =
            *std::max_element(full.stress_Pa[k].begin(), full.stress_Pa[k].end());
        for (std::size_t i = 0; i < full.strain.size(); ++i) {
            const double stress = full.stress_Pa[k][i];
            const double off =
                std::abs(line_at(thin.strain, thin.stress_Pa[k], full.strain[i]) - stress);
            worst = std::max(worst, off / std::max(stress, 1e-3 * largest));
        }
    }
    CHECK(worst < thinned_share * (1.0 + 1e-9));
    CHECK(worst > 0.1 * thinned_share); // not thinner than it may be
    double worst_return = 0.0;
    for (std::size_t i = 0; i < full.strain.size(); ++i)
        worst_return =
            std::max(worst_return,
                     std::abs(line_at(thin.return_x[0], thin.return_share[0], full.return_x[0][i]) -
                              full.return_share[0][i]));
    CHECK(worst_return < thinned_share * (1.0 + 1e-9));
}

TEST_CASE("thinned knots: a corner is kept where it is") {
    GradeResponse::Knots knots{.log_strain_rate = {0.0}, .stress_Pa = {{}}};
    for (int i = 0; i <= 100; ++i) {
        knots.strain.push_back(0.01 * i);
        knots.stress_Pa[0].push_back(i <= 37 ? 1.0 * i : 37.0);
    }
    const GradeResponse::Knots thin = thinned_knots(knots);
    CHECK(thin.strain.size() <= 4);
    CHECK(std::abs(line_at(thin.strain, thin.stress_Pa[0], 0.37) - 37.0) < 37.0 * thinned_share);
}

TEST_CASE("thinned knots: a tail goes on from the last strain to its own end") {
    GradeResponse::Knots knots{.log_strain_rate = {0.0}, .strain = {0.0, 0.5}};
    knots.stress_Pa = {{0.0, 5e4}};
    knots.tail_strain.emplace_back();
    knots.tail_stress_Pa.emplace_back();
    for (int i = 1; i <= 500; ++i) {
        const double e = 0.5 + 0.2 * i / 500.0;
        knots.tail_strain[0].push_back(e);
        knots.tail_stress_Pa[0].push_back(5e4 + 4e5 * (e - 0.5) * (e - 0.5) / (0.8 - e));
    }
    const GradeResponse::Knots thin = thinned_knots(knots);
    CHECK(thin.tail_strain[0].size() < 250);
    CHECK(thin.tail_strain[0].front() > 0.5);
    CHECK(thin.tail_strain[0].back() == knots.tail_strain[0].back());
    std::vector<double> x{0.5}, y{5e4};
    x.insert(x.end(), thin.tail_strain[0].begin(), thin.tail_strain[0].end());
    y.insert(y.end(), thin.tail_stress_Pa[0].begin(), thin.tail_stress_Pa[0].end());
    double worst = 0.0;
    for (std::size_t i = 0; i < knots.tail_strain[0].size(); ++i)
        worst = std::max(
            worst,
            std::abs(line_at(x, y, knots.tail_strain[0][i]) / knots.tail_stress_Pa[0][i] - 1.0));
    CHECK(worst < thinned_share * (1.0 + 1e-9));
}

TEST_CASE("thinned knots: where a pad lets go on the way back, it lets go there still") {
    GradeResponse::Knots knots{.log_strain_rate = {0.0}, .strain = {0.0, 0.5}};
    knots.stress_Pa = {{0.0, 5e4}};
    knots.return_x.emplace_back();
    knots.return_share.emplace_back();
    for (int i = 0; i <= 1000; ++i) { // leaves 0 at 0.317, flatly
        const double x = i / 1000.0, past = std::max(x - 0.317, 0.0);
        knots.return_x[0].push_back(x);
        knots.return_share[0].push_back(past * past);
    }
    const GradeResponse::Knots thin = thinned_knots(knots);
    CHECK(thin.return_x[0].size() < 100);
    CHECK(line_at(thin.return_x[0], thin.return_share[0], 0.317) == 0.0);
    CHECK(line_at(thin.return_x[0], thin.return_share[0], 0.318) > 0.0);
}
