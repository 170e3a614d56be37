// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/prony_fit.hpp"

#include "materials/calibration/fit_intervals.hpp"
#include "materials/calibration/nnls.hpp"
#include "materials/calibration/prony_basis.hpp"
#include "materials/calibration/student_t.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace cellgrade {

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

/// All readings of all curves, each over its size.
struct Readings {
    std::span<const TimeCurve> curves;
    Eigen::VectorXd target; ///< reading / size
    Eigen::VectorXd factor; ///< weight / size
    std::vector<Eigen::Index> ends;

    explicit Readings(std::span<const TimeCurve> given) : curves(given) {
        Eigen::Index n = 0;
        for (const TimeCurve& c : curves)
            ends.push_back(n += reading_count(c));
        target.resize(n);
        factor.resize(n);
        for (std::size_t c = 0; c < curves.size(); ++c) {
            const Eigen::VectorXd size = reading_sizes(curves[c]);
            const Eigen::Index first = ends[c] - size.size();
            factor.segment(first, size.size()) = curves[c].weight * size.cwiseInverse();
            target.segment(first, size.size()) =
                readings_of(curves[c]).cwiseProduct(factor.segment(first, size.size()));
        }
    }
    /// Column of a branch, each curve times its scale.
    [[nodiscard]] Eigen::VectorXd column(double tau, const std::vector<double>& scales) const {
        Eigen::VectorXd column(target.size());
        for (std::size_t c = 0; c < curves.size(); ++c) {
            const Eigen::VectorXd answer = branch_answer(curves[c], tau);
            column.segment(ends[c] - answer.size(), answer.size()) = scales[c] * answer;
        }
        return column.cwiseProduct(factor);
    }
    [[nodiscard]] double smallest() const {
        double least = HUGE_VAL;
        for (std::size_t c = 0; c < curves.size(); ++c)
            for (const double E : curves[c].modulus_Pa)
                least = std::min(least, E);
        return least;
    }
};

/// A series in moduli; the first time is infinite (the long-term modulus).
struct Series {
    std::vector<double> times;
    Eigen::VectorXd moduli;
    Eigen::VectorXd residual;
    double sum_of_squares = HUGE_VAL;
    LeastSquares solution; ///< of the fitted logarithms; empty when times were not moved
    bool open_end = false; ///< the data show no plateau
};

Eigen::MatrixXd
columns_of(const Readings& r, const std::vector<double>& times, const std::vector<double>& scales) {
    Eigen::MatrixXd A(r.target.size(), static_cast<Eigen::Index>(times.size()));
    for (std::size_t k = 0; k < times.size(); ++k)
        A.col(static_cast<Eigen::Index>(k)) = r.column(times[k], scales);
    return A;
}

std::vector<double> log_spaced(double low, double high, int count) {
    std::vector<double> times{infinite};
    for (int i = 0; i < count; ++i) {
        const double share = count == 1 ? 0.5 : static_cast<double>(i) / (count - 1);
        times.push_back(low * std::pow(high / low, share));
    }
    return times;
}

/// What stands for a long-term modulus that the data do not show [Pa].
double least_long_term(const Readings& r) {
    return 1e-3 * r.smallest();
}

/// Non-negative moduli at given times; branches of no modulus are dropped.
Series
non_negative(const Readings& r, std::vector<double> times, const std::vector<double>& scales) {
    const double floor = least_long_term(r);
    const Eigen::MatrixXd A = columns_of(r, times, scales);
    Eigen::VectorXd moduli = non_negative_least_squares(A, r.target - floor * A.col(0));
    Series s;
    s.open_end = moduli[0] <= 0.0;
    moduli[0] += floor;
    std::vector<double> kept;
    for (std::size_t k = 0; k < times.size(); ++k)
        if (const double E = moduli[static_cast<Eigen::Index>(k)]; E > 0.0) {
            s.times.push_back(times[k]);
            kept.push_back(E);
        }
    s.moduli = Eigen::Map<Eigen::VectorXd>(kept.data(), static_cast<Eigen::Index>(kept.size()));
    s.residual = columns_of(r, s.times, scales) * s.moduli - r.target;
    s.sum_of_squares = s.residual.squaredNorm();
    return s;
}

/// Logarithms of the moduli, then of the finite times, as variables around a series.
std::vector<FitVariable> variables_around(const Series& s, bool times) {
    std::vector<FitVariable> variables;
    for (std::size_t k = s.open_end ? 1 : 0; k < s.times.size(); ++k) {
        const double E = s.moduli[static_cast<Eigen::Index>(k)];
        variables.push_back({.scale = FitVariable::Scale::Log,
                             .low = 1e-5 * E,
                             .high = 1e5 * E,
                             .start_low = E,
                             .start_high = E});
    }
    for (std::size_t k = 1; times && k < s.times.size(); ++k)
        variables.push_back({.scale = FitVariable::Scale::Log,
                             .low = 1e-2 * s.times[k],
                             .high = 1e2 * s.times[k],
                             .start_low = s.times[k],
                             .start_high = s.times[k]});
    return variables;
}

/// A series from its logarithms.
void put(Series& s, const Eigen::VectorXd& logs, bool times) {
    Eigen::Index at = 0;
    for (std::size_t k = s.open_end ? 1 : 0; k < s.times.size(); ++k)
        s.moduli[static_cast<Eigen::Index>(k)] = std::exp(logs[at++]);
    for (std::size_t k = 1; times && k < s.times.size(); ++k)
        s.times[k] = std::exp(logs[at++]);
}

/// Moves moduli (and times) to the least squares near the series, and keeps the solution for the
/// intervals.
Series
polished(const Series& start, const Readings& r, const std::vector<double>& scales, bool times) {
    Series s = start;
    const std::vector<FitVariable> variables = variables_around(s, times);
    if (static_cast<Eigen::Index>(variables.size()) >= r.target.size())
        return s;
    const Residuals residuals = [&](const Eigen::VectorXd& logs, Eigen::VectorXd& f) {
        Series at = start;
        put(at, logs, times);
        f = columns_of(r, at.times, scales) * at.moduli - r.target;
    };
    s.solution = least_squares(variables, residuals, r.target.size(), 1);
    put(s, s.solution.natural, times);
    s.residual = s.solution.residual;
    s.sum_of_squares = s.solution.sum_of_squares;
    return s;
}

double information(const Series& s, const Readings& r, bool times) {
    const auto n = static_cast<double>(r.target.size());
    const double branches = static_cast<double>(s.times.size()) - 1.0;
    const double k = branches * (times ? 2.0 : 1.0) + (s.open_end ? 1.0 : 2.0);
    // Relative residuals below 1e-6 are beyond any test machine: fewer terms then win.
    const double squares = std::max(s.sum_of_squares, 1e-12 * n);
    return n - k - 1.0 > 0.0 ? n * std::log(squares / n) + k * std::log(n) : HUGE_VAL;
}

/// Start times of a count of branches: to the ends of the data when they stay, else half a step
/// inside, where a branch is seen on both of its sides.
std::vector<double> start_times(double low, double high, int count, bool moved) {
    const double inset = moved ? std::pow(high / low, 0.5 / (count + 1)) : 1.0;
    return log_spaced(low * inset, high / inset, count);
}

Series best_series(const Readings& r,
                   const std::vector<double>& scales,
                   double low,
                   double high,
                   const PronyFitOptions& options) {
    Series best;
    double least = HUGE_VAL;
    const int first = options.choose_count ? 1 : options.most_terms;
    for (int count = first; count <= options.most_terms; ++count) {
        Series s = non_negative(r, start_times(low, high, count, options.fit_times), scales);
        s = polished(s, r, scales, options.fit_times);
        if (!s.open_end && s.moduli[0] < least_long_term(r)) {
            s.open_end = true;
            s.moduli[0] = least_long_term(r);
            s = polished(s, r, scales, options.fit_times);
        }
        if (const double now = information(s, r, options.fit_times);
            now < least || count == first) {
            least = now;
            best = std::move(s);
        }
    }
    return best;
}

/// Scale of each curve to the common series; the first curve's is 1.
std::vector<double>
curve_scales(const Readings& r, const Series& s, const std::vector<double>& before) {
    const Eigen::VectorXd model = s.residual + r.target;
    std::vector<double> scales = before;
    for (std::size_t c = 0; c < scales.size(); ++c) {
        const Eigen::Index n = reading_count(r.curves[c]), first = r.ends[c] - n;
        const auto m = model.segment(first, n), t = r.target.segment(first, n);
        scales[c] *= m.dot(t) / m.squaredNorm();
    }
    for (std::size_t c = scales.size(); c-- > 0;)
        scales[c] /= scales[0];
    return scales;
}

/// Intervals of the shares and times from the covariance of their logarithms.
void put_intervals(PronyFit& fit, const Series& s, const Readings& r, bool times, double level) {
    const auto p = s.solution.natural.size();
    if (p == 0 || p >= r.target.size())
        return;
    std::vector<std::string> keys;
    for (Eigen::Index k = 0; k < p; ++k)
        keys.push_back(fmt::format("prony value {}", k + 1));
    const std::vector<FitVariable> variables = variables_around(s, times);
    const FitIntervals intervals = fit_intervals(variables, keys, s.solution, r.ends, level);
    const double t = student_t_factor(level, static_cast<double>(r.target.size() - p));
    const double total = s.moduli.sum();
    const Eigen::Index first = s.open_end ? 1 : 0, moduli = s.moduli.size() - first;
    Eigen::VectorXd whole = Eigen::VectorXd::Zero(p); // d ln(total) / d logs
    for (Eigen::Index k = 0; k < moduli; ++k)
        whole[k] = s.moduli[k + first] / total;
    const auto half = [&](const Eigen::VectorXd& gradient) {
        return t * std::sqrt(std::max(0.0, gradient.dot(intervals.covariance * gradient)));
    };
    fit.instantaneous_low_Pa = total * std::exp(-half(whole));
    fit.instantaneous_high_Pa = total * std::exp(half(whole));
    for (std::size_t i = 0; i < fit.terms.size(); ++i) {
        Eigen::VectorXd share = -whole;
        const auto k = static_cast<Eigen::Index>(i);
        share[k + 1 - first] += 1.0;
        FittedTerm& f = fit.terms[i];
        f.share_low = f.term.share * std::exp(-half(share));
        f.share_high = std::min(1.0, f.term.share * std::exp(half(share)));
        f.time_low_s = f.time_high_s = f.term.time_s;
        if (!times)
            continue;
        const double spread = half(Eigen::VectorXd::Unit(p, moduli + k));
        f.time_low_s = f.term.time_s * std::exp(-spread);
        f.time_high_s = f.term.time_s * std::exp(spread);
    }
}

void sort_terms(PronyFit& fit) {
    std::sort(fit.terms.begin(), fit.terms.end(), [](const FittedTerm& a, const FittedTerm& b) {
        return a.term.time_s < b.term.time_s;
    });
}

} // namespace

std::vector<PronyTerm> PronyFit::prony() const {
    std::vector<PronyTerm> list;
    for (const FittedTerm& f : terms)
        list.push_back(f.term);
    return list;
}

PronyFit fit_prony(std::span<const TimeCurve> curves, const PronyFitOptions& options) {
    const Readings r(curves);
    CELLGRADE_CHECK(r.target.size() >= 4, "{} readings of relaxation; at least four are needed",
                    r.target.size());
    PronyFit fit{.time_min_s = HUGE_VAL};
    for (const TimeCurve& c : curves) {
        fit.time_min_s =
            std::min(fit.time_min_s, *std::min_element(c.time_s.begin(), c.time_s.end()));
        fit.time_max_s =
            std::max(fit.time_max_s, *std::max_element(c.time_s.begin(), c.time_s.end()));
    }
    fit.scales.assign(curves.size(), 1.0);
    Series s = best_series(r, fit.scales, fit.time_min_s, fit.time_max_s, options);
    for (int n = 0; n < 10 && curves.size() > 1; ++n) {
        fit.scales = curve_scales(r, s, fit.scales);
        s = best_series(r, fit.scales, fit.time_min_s, fit.time_max_s, options);
    }
    const double total = s.moduli.sum();
    fit.instantaneous_modulus_Pa = total;
    for (std::size_t k = 1; k < s.times.size(); ++k)
        fit.terms.push_back({.term = {s.moduli[static_cast<Eigen::Index>(k)] / total, s.times[k]}});
    put_intervals(fit, s, r, options.fit_times, options.level);
    sort_terms(fit);
    fit.rms_share = std::sqrt(s.sum_of_squares / static_cast<double>(r.target.size()));
    fit.largest_share = s.residual.cwiseAbs().maxCoeff();
    if (s.open_end)
        fit.notes.emplace_back("the relaxation data show no plateau: the long-term modulus is not "
                               "determined and held at 0.1 % of the smallest reading");
    return fit;
}

std::vector<double> prony_modulus_Pa(const PronyFit& fit, const TimeCurve& curve) {
    double rest = 1.0;
    Eigen::VectorXd answer = Eigen::VectorXd::Zero(reading_count(curve));
    for (const FittedTerm& f : fit.terms) {
        answer += f.term.share * branch_answer(curve, f.term.time_s);
        rest -= f.term.share;
    }
    answer += rest * branch_answer(curve, infinite);
    answer *= fit.instantaneous_modulus_Pa;
    return {answer.begin(), answer.begin() + static_cast<std::ptrdiff_t>(curve.time_s.size())};
}

} // namespace cellgrade
