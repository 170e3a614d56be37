// SPDX-License-Identifier: Apache-2.0
#include "solver/report/thinned_knots.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

using Rows = std::vector<std::vector<double>>;

constexpr double floor_share = 1e-3; // of the largest value: below it the tolerance falls no more

/// Slopes from a kept point that pass all points after it within their tolerance.
struct Funnel {
    double low = -std::numeric_limits<double>::infinity();
    double high = std::numeric_limits<double>::infinity();
};

/// Whether a line from `from` to `to` passes all points between within their tolerance, for every
/// row; then the funnels close around `to`.
bool reach(std::vector<Funnel>& funnels,
           const std::vector<double>& x,
           const Rows& rows,
           const Rows& tolerance,
           std::size_t from,
           std::size_t to) {
    const double way = x[to] - x[from];
    bool reached = true;
    for (std::size_t k = 0; k < rows.size(); ++k) {
        const double slope = (rows[k][to] - rows[k][from]) / way;
        reached = reached && slope >= funnels[k].low && slope <= funnels[k].high;
        funnels[k].low = std::max(funnels[k].low, slope - tolerance[k][to] / way);
        funnels[k].high = std::min(funnels[k].high, slope + tolerance[k][to] / way);
    }
    return reached;
}

bool open(const std::vector<Funnel>& funnels) {
    return std::all_of(funnels.begin(), funnels.end(),
                       [](const Funnel& f) { return f.low <= f.high; });
}

/// Numbers of the points to keep: from each the farthest that a straight line reaches.
std::vector<std::size_t>
kept_points(const std::vector<double>& x, const Rows& rows, const Rows& tolerance) {
    std::vector<std::size_t> kept{0};
    while (kept.back() + 1 < x.size()) {
        const std::size_t from = kept.back();
        std::vector<Funnel> funnels(rows.size());
        std::size_t best = from + 1;
        for (std::size_t to = from + 1; to < x.size() && open(funnels); ++to)
            if (reach(funnels, x, rows, tolerance, from, to))
                best = to;
        kept.push_back(best);
    }
    return kept;
}

std::vector<double> picked(const std::vector<double>& all, const std::vector<std::size_t>& kept) {
    std::vector<double> out;
    for (const std::size_t i : kept)
        out.push_back(all[i]);
    return out;
}

Rows tolerances(const Rows& rows) {
    Rows out;
    for (const std::vector<double>& row : rows) {
        const double least = floor_share * *std::max_element(row.begin(), row.end());
        std::vector<double> each;
        for (const double value : row)
            each.push_back(thinned_share * std::max(std::abs(value), least));
        out.push_back(std::move(each));
    }
    return out;
}

} // namespace

GradeResponse::Knots thinned_knots(const GradeResponse::Knots& knots) {
    GradeResponse::Knots thin = knots;
    const std::vector<std::size_t> kept =
        kept_points(knots.strain, knots.stress_Pa, tolerances(knots.stress_Pa));
    thin.strain = picked(knots.strain, kept);
    for (std::size_t k = 0; k < knots.stress_Pa.size(); ++k)
        thin.stress_Pa[k] = picked(knots.stress_Pa[k], kept);
    for (std::size_t k = 0; k < knots.return_x.size(); ++k) {
        const Rows share{knots.return_share[k]};
        Rows tolerance{std::vector<double>(share[0].size(), thinned_share)};
        for (std::size_t i = 0; i < share[0].size(); ++i)
            if (share[0][i] == 0.0) // a pulse ends where the pad lets go: that place stays
                tolerance[0][i] = 0.0;
        const std::vector<std::size_t> places = kept_points(knots.return_x[k], share, tolerance);
        thin.return_x[k] = picked(knots.return_x[k], places);
        thin.return_share[k] = picked(knots.return_share[k], places);
    }
    for (std::size_t k = 0; k < knots.tail_strain.size(); ++k) { // drawn on from the last strain
        std::vector<double> strain{knots.strain.back()}, stress{knots.stress_Pa[k].back()};
        strain.insert(strain.end(), knots.tail_strain[k].begin(), knots.tail_strain[k].end());
        stress.insert(stress.end(), knots.tail_stress_Pa[k].begin(), knots.tail_stress_Pa[k].end());
        std::vector<std::size_t> places = kept_points(strain, {stress}, tolerances({stress}));
        places.erase(places.begin());
        thin.tail_strain[k] = picked(strain, places);
        thin.tail_stress_Pa[k] = picked(stress, places);
    }
    return thin;
}

} // namespace cellgrade
