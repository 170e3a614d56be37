// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/least_squares.hpp"

#include <unsupported/Eigen/LevenbergMarquardt>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <utility>

namespace cellgrade {

namespace {

constexpr double large_misfit = 1e3; // residuals are relative to the data: this is no fit at all
constexpr std::array<int, 16> primes{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53};

double halton(int index, int base) {
    double value = 0.0, part = 1.0;
    for (int i = index; i > 0; i /= base) {
        part /= base;
        value += part * (i % base);
    }
    return value;
}

void tame(Eigen::VectorXd& residual) {
    for (double& r : residual)
        if (!std::isfinite(r) || std::abs(r) > large_misfit)
            r = std::isfinite(r) && r < 0.0 ? -large_misfit : large_misfit;
}

/// Free variables u for bound ones on the natural scale.
struct Bounds {
    Eigen::VectorXd low, width;

    explicit Bounds(const std::vector<FitVariable>& variables)
        : low(variables.size()), width(variables.size()) {
        for (std::size_t i = 0; i < variables.size(); ++i) {
            const auto k = static_cast<Eigen::Index>(i);
            low[k] = variables[i].natural(variables[i].low);
            width[k] = variables[i].natural(variables[i].high) - low[k];
        }
    }
    [[nodiscard]] Eigen::VectorXd natural(const Eigen::VectorXd& u) const {
        return low.array() + width.array() / (1.0 + (-u.array()).exp());
    }
    [[nodiscard]] Eigen::VectorXd free(const Eigen::VectorXd& natural) const {
        const Eigen::ArrayXd share =
            ((natural - low).array() / width.array()).max(1e-9).min(1.0 - 1e-9);
        return (share / (1.0 - share)).log();
    }
};

struct Search : Eigen::DenseFunctor<double> {
    const Residuals& residuals;
    const Bounds& bounds;

    Search(const Residuals& r, const Bounds& b, int inputs, int values)
        : DenseFunctor<double>(inputs, values), residuals(r), bounds(b) {}

    void evaluate(const Eigen::VectorXd& u, Eigen::VectorXd& f) const {
        residuals(bounds.natural(u), f);
        tame(f);
    }
    int operator()(const Eigen::VectorXd& u, Eigen::VectorXd& f) const {
        evaluate(u, f);
        return 0;
    }
    int df(const Eigen::VectorXd& u, Eigen::MatrixXd& jacobian) const {
        Eigen::VectorXd ahead(values()), behind(values()), at = u;
        for (Eigen::Index k = 0; k < u.size(); ++k) {
            const double d = 1e-6 * std::max(1.0, std::abs(u[k]));
            at[k] = u[k] + d;
            evaluate(at, ahead);
            at[k] = u[k] - d;
            evaluate(at, behind);
            at[k] = u[k];
            jacobian.col(k) = (ahead - behind) / (2.0 * d);
        }
        return 0;
    }
};

using Start = std::pair<double, Eigen::VectorXd>;

/// First guesses, best first.
std::vector<Start> first_guesses(const std::vector<FitVariable>& variables,
                                 const Search& search,
                                 const Bounds& bounds,
                                 int starts) {
    std::vector<Start> guesses;
    Eigen::VectorXd f(search.values());
    const int n = starts == 1 ? 1 : 20 * starts;
    for (int s = 1; s <= n; ++s) { // the first point of the sequence is the middle in base 2
        Eigen::VectorXd natural(variables.size());
        for (std::size_t i = 0; i < variables.size(); ++i) {
            const FitVariable& v = variables[i];
            const double share = s == 1 ? 0.5 : halton(s, primes[i % primes.size()]);
            const double low = v.natural(v.start_low), high = v.natural(v.start_high);
            natural[static_cast<Eigen::Index>(i)] = low + share * (high - low);
        }
        const Eigen::VectorXd u = bounds.free(natural);
        search.evaluate(u, f);
        guesses.emplace_back(f.squaredNorm(), u);
    }
    std::stable_sort(guesses.begin(), guesses.end(),
                     [](const Start& a, const Start& b) { return a.first < b.first; });
    guesses.resize(static_cast<std::size_t>(starts));
    return guesses;
}

/// Where a search from u ends.
Start searched(Search& search, Eigen::VectorXd u, double tolerance, int evaluations) {
    Eigen::LevenbergMarquardt<Search> lm(search);
    lm.setXtol(tolerance);
    lm.setFtol(tolerance);
    lm.setMaxfev(evaluations);
    (void)lm.minimize(u); // however it ends, the sum of squares decides
    Eigen::VectorXd f(search.values());
    search.evaluate(u, f);
    return {f.squaredNorm(), u};
}

} // namespace

double FitVariable::natural(double value) const {
    return scale == Scale::Log ? std::log(value) : value / unit;
}

double FitVariable::value(double natural) const {
    return scale == Scale::Log ? std::exp(natural) : natural * unit;
}

Eigen::MatrixXd
difference_jacobian(const Residuals& residuals, const Eigen::VectorXd& point, Eigen::Index n) {
    Eigen::MatrixXd jacobian(n, point.size());
    Eigen::VectorXd ahead(n), behind(n), at = point;
    for (Eigen::Index k = 0; k < point.size(); ++k) {
        const double d = 1e-5 * std::max(0.1, std::abs(point[k]));
        at[k] = point[k] + d;
        residuals(at, ahead);
        at[k] = point[k] - d;
        residuals(at, behind);
        at[k] = point[k];
        jacobian.col(k) = (ahead - behind) / (2.0 * d);
    }
    return jacobian;
}

LeastSquares least_squares(const std::vector<FitVariable>& variables,
                           const Residuals& residuals,
                           Eigen::Index n_residuals,
                           int starts) {
    const Bounds bounds(variables);
    const auto inputs = static_cast<int>(variables.size());
    Search search(residuals, bounds, inputs, static_cast<int>(n_residuals));
    // Coarse searches from every guess, then the three that got furthest to the end.
    std::vector<Start> ends;
    for (const Start& start : first_guesses(variables, search, bounds, starts))
        ends.push_back(searched(search, start.second, 1e-7, 60));
    std::stable_sort(ends.begin(), ends.end(),
                     [](const Start& a, const Start& b) { return a.first < b.first; });
    LeastSquares best{.sum_of_squares = HUGE_VAL, .starts = starts};
    for (std::size_t i = 0; i < std::min<std::size_t>(3, ends.size()); ++i) {
        const Start end = searched(search, ends[i].second, 1e-14, 400);
        if (end.first >= best.sum_of_squares)
            continue;
        best.sum_of_squares = end.first;
        best.natural = bounds.natural(end.second);
        best.residual.resize(n_residuals);
        search.evaluate(end.second, best.residual);
    }
    best.agreeing = static_cast<int>(std::count_if(ends.begin(), ends.end(), [&](const Start& e) {
        return e.first <= 1.01 * best.sum_of_squares + 1e-12;
    }));
    best.jacobian = difference_jacobian(residuals, best.natural, n_residuals);
    return best;
}

} // namespace cellgrade
