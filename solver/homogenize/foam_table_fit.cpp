// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/foam_table_fit.hpp"

#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/nnls.hpp"
#include "solver/core/error.hpp"
#include "solver/homogenize/relaxing_stress.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr int n_knots = TabulatedFoam::most_knots;
constexpr std::size_t n_rows = 240;
constexpr double past_weight = 0.3;      // of rows past the strain that counts
constexpr double past_end = 0.1;         // of the strain that counts, before the closure takes over
constexpr double stability_margin = 1.2; // of the slope at which a column buckles inside
constexpr double least_rise = 0.02;      // of the mean stress, per unit of strain
constexpr double least_closing = 0.1;    // modulus of the closure over the mean stress
constexpr double least_fall = 0.05;      // of the mean stress, to speak of a curve that falls
constexpr double least_felt = 1e-3;      // of y^n at the end of the curve, else n is not tried

double ramp(double x, double h) {
    const double t = std::clamp(x + 0.5 * h, 0.0, h);
    return t * t / (2.0 * h) + std::max(0.0, x - 0.5 * h);
}

/// What one unit of slope between knots k and k + 1 adds to the table's stress.
double slope_column(double e, int k, double h) {
    const double from = k == 0 ? e : ramp(e - k * h, h);
    return k + 1 < n_knots ? from - ramp(e - (k + 1) * h, h) : from;
}

/// One pass: lateral stretches and least slopes held.
struct Pass {
    Eigen::VectorXd slopes; ///< above the least ones come first
    double closing = 0.0;
    double squares = 0.0;
};

struct Held {
    std::vector<double> lateral;
    std::vector<double> least_slope;
    double side = 0.0, exponent = 2.0, h = 0.0;
};

double closure_column(double strain, double lateral, const FoamTable& table, double exponent) {
    const double J = (1.0 - strain) * lateral * lateral;
    const double y = std::clamp((1.0 - J) / table.void_fraction, 0.0, 0.999);
    return lateral * lateral * std::pow(y, exponent) / (1.0 - y);
}

Pass solve(const FoamTable& table, const Held& held) {
    const auto n = static_cast<Eigen::Index>(table.strain.size());
    Eigen::MatrixXd A(n, n_knots + 1);
    Eigen::VectorXd b(n);
    const double least_D = least_closing * table.mean_stress_Pa;
    for (Eigen::Index i = 0; i < n; ++i) {
        const auto row = static_cast<std::size_t>(i);
        const double e = table.strain[row], t = held.lateral[row], w = table.weight[row];
        double base = -held.side * ((1.0 - e) * t * t - 1.0) * t * t;
        for (int k = 0; k < n_knots; ++k) {
            A(i, k) = w * slope_column(e, k, held.h);
            base += held.least_slope[static_cast<std::size_t>(k)] * slope_column(e, k, held.h);
        }
        const double closing = closure_column(e, t, table, held.exponent);
        A(i, n_knots) = w * closing;
        b[i] = w * (table.stress_Pa[row] - base - least_D * closing);
    }
    const Eigen::VectorXd x = non_negative_least_squares(A, b);
    Pass pass{.slopes = x.head(n_knots), .closing = least_D + x[n_knots]};
    for (int k = 0; k < n_knots; ++k)
        pass.slopes[k] += held.least_slope[static_cast<std::size_t>(k)];
    pass.squares = (A * x - b).squaredNorm();
    return pass;
}

TabulatedFoam law_of(const FoamTable& table, const Held& held, const Pass& pass) {
    TabulatedFoam law{};
    law.spacing = held.h;
    double stress = 0.0;
    for (int k = 0; k < n_knots; ++k) {
        stress += pass.slopes[k] * held.h;
        law.set_stress(k, stress);
    }
    law.side = held.side;
    law.closing = pass.closing;
    law.closing_exponent = held.exponent;
    law.void_fraction = table.void_fraction;
    return law;
}

/// What of the held values follows from the law of the last pass.
void update(const FoamTable& table, const TabulatedFoam& law, double nu, Held& held) {
    const double first = law.stress_01 / law.spacing;
    held.side = nu * first / (1.0 - 2.0 * nu);
    TabulatedFoam next = law;
    next.side = held.side;
    for (std::size_t i = 0; i < table.strain.size(); ++i) {
        const double t =
            free_stretch(AnyLaw(next), CouponMode::UniaxialCompression, 1.0 - table.strain[i]);
        if (std::isfinite(t))
            held.lateral[i] = t;
    }
    for (int k = 0; k < n_knots; ++k) {
        const double e = (k + 0.5) * held.h, p = law.table_stress(e);
        const double buckling = std::pow(p / (2.0 - e), 2.0) / first;
        held.least_slope[static_cast<std::size_t>(k)] =
            std::max(least_rise * table.mean_stress_Pa, stability_margin * buckling);
    }
}

bool falls(const FoamTable& table) {
    double largest = 0.0;
    for (std::size_t i = 0; i < table.strain.size() && table.strain[i] <= table.to_strain; ++i) {
        largest = std::max(largest, table.stress_Pa[i]);
        if (largest - table.stress_Pa[i] > least_fall * table.mean_stress_Pa)
            return true;
    }
    return false;
}

} // namespace

FoamTable foam_table(const LoadingBranch& loading,
                     std::span<const PronyTerm> prony,
                     double strain_rate_per_s,
                     double void_fraction,
                     double to_strain) {
    std::vector<double> time, along;
    for (std::size_t i = 1; i < loading.strain().size(); ++i) {
        time.push_back(loading.strain()[i] / strain_rate_per_s);
        along.push_back(loading.stress()[i] / (1.0 - loading.strain()[i]));
    }
    std::vector<double> elastic = instantaneous_stress(prony, time, along);
    CrushCurve instantaneous{.nominal_strain = {0.0}, .nominal_stress_Pa = {0.0}};
    for (std::size_t i = 0; i < elastic.size(); ++i) {
        const double e = loading.strain()[i + 1];
        instantaneous.nominal_strain.push_back(e);
        instantaneous.nominal_stress_Pa.push_back(elastic[i] * (1.0 - e));
    }
    instantaneous.turn = static_cast<Index>(instantaneous.nominal_strain.size());
    const LoadingBranch branch(instantaneous);
    FoamTable table{.void_fraction = void_fraction,
                    .to_strain = std::min(to_strain, branch.last_strain())};
    table.mean_stress_Pa = branch.energy_to(table.to_strain) / table.to_strain;
    CELLGRADE_CHECK(table.mean_stress_Pa > 0.0,
                    "the mean stress to a strain of {:.3g} is {:.3g} Pa; a law needs one above 0",
                    table.to_strain, table.mean_stress_Pa);
    table.knots_to = std::min(branch.last_strain(), (1.0 + past_end) * table.to_strain);
    for (std::size_t i = 1; i <= n_rows; ++i) {
        const double e =
            branch.last_strain() * static_cast<double>(i) / static_cast<double>(n_rows);
        // past the closure nothing of the law is left to fit
        if (e > 0.97 * void_fraction)
            break;
        table.strain.push_back(e);
        table.stress_Pa.push_back(branch.stress_at(std::min(e, branch.last_strain())));
        table.weight.push_back((e > table.to_strain ? past_weight : 1.0) /
                               std::max(table.stress_Pa.back(), table.mean_stress_Pa));
    }
    // a higher exponent would put a wall where the curve has nothing to say
    const double closed = std::min(branch.last_strain() / void_fraction, 1.0);
    for (const double exponent : {2.0, 3.0, 4.0, 6.0, 8.0, 11.0, 15.0, 20.0})
        if (exponent == 2.0 || std::pow(closed, exponent) >= least_felt)
            table.exponents.push_back(exponent);
    return table;
}

FoamTableFit fit_foam_table(const FoamTable& table, double poissons_ratio) {
    constexpr int passes = 4;
    FoamTableFit best;
    double least = HUGE_VAL;
    for (const double exponent : table.exponents) {
        Held held{.lateral = std::vector<double>(table.strain.size(), 1.0),
                  .least_slope = std::vector<double>(n_knots, least_rise * table.mean_stress_Pa),
                  .exponent = exponent,
                  .h = table.knots_to / n_knots};
        Pass pass = solve(table, held);
        for (int n = 0; n < passes; ++n) {
            update(table, law_of(table, held, pass), poissons_ratio, held);
            pass = solve(table, held);
        }
        if (pass.squares < least) {
            least = pass.squares;
            best.law = law_of(table, held, pass);
        }
    }
    best.misfit = std::sqrt(least / static_cast<double>(table.strain.size()));
    best.falls = falls(table);
    return best;
}

} // namespace cellgrade
