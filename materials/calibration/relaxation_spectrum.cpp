// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/relaxation_spectrum.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace cellgrade {

namespace {

constexpr double least_ratio = 1e-6, most_ratio = 1e3; // of a branch to the long-term modulus

FitVariable ratio_variable() {
    return {.scale = FitVariable::Scale::Log, .low = least_ratio, .high = most_ratio};
}

} // namespace

void start_at(FitVariable& v, double value) {
    const double edge = 1e-6 * (v.high - v.low);
    v.start_low = v.start_high =
        v.scale == FitVariable::Scale::Log
            ? std::clamp(value, v.low * (1.0 + 1e-6), v.high * (1.0 - 1e-6))
            : std::clamp(value, v.low + edge, v.high - edge);
}

RelaxationSpectrum::RelaxationSpectrum(SpectrumKind kind, std::vector<double> times_s)
    : kind_(kind), times_s_(std::move(times_s)) {}

Eigen::Index RelaxationSpectrum::n_unknowns() const {
    const auto n = static_cast<Eigen::Index>(times_s_.size());
    return kind_ == SpectrumKind::Free ? n : std::min<Eigen::Index>(n, 2);
}

std::vector<std::string> RelaxationSpectrum::keys() const {
    if (kind_ == SpectrumKind::PowerLaw && times_s_.size() > 1)
        return {"relaxation.amount", "relaxation.power"};
    std::vector<std::string> keys;
    for (const double time : times_s_)
        keys.push_back(fmt::format("share_at_{:.3g}_s", time));
    return keys;
}

std::vector<FitVariable> RelaxationSpectrum::variables(const std::vector<double>& ratios) const {
    CELLGRADE_ASSERT(ratios.size() == times_s_.size());
    std::vector<FitVariable> variables;
    if (kind_ == SpectrumKind::PowerLaw && times_s_.size() > 1) {
        variables.push_back(ratio_variable());
        const double sum = std::accumulate(ratios.begin(), ratios.end(), 0.0);
        variables[0].start_low = std::clamp(0.5 * sum, 0.1, 10.0);
        variables[0].start_high = std::clamp(2.0 * sum, 0.2, 20.0);
        variables.push_back({.low = -1.0, .high = 2.0, .start_low = 0.0, .start_high = 0.5});
        return variables;
    }
    for (const double ratio : ratios) {
        variables.push_back(ratio_variable());
        start_at(variables.back(), ratio);
    }
    return variables;
}

Eigen::ArrayXd RelaxationSpectrum::ratios(const Eigen::VectorXd& unknowns) const {
    if (kind_ == SpectrumKind::Free || times_s_.size() < 2)
        return unknowns.array().exp();
    const auto n = static_cast<Eigen::Index>(times_s_.size());
    Eigen::ArrayXd w(n);
    for (Eigen::Index i = 0; i < n; ++i)
        w[i] = std::pow(times_s_[static_cast<std::size_t>(i)], -unknowns[1]);
    return std::exp(unknowns[0]) * w / w.sum();
}

std::vector<PronyTerm> RelaxationSpectrum::terms(const Eigen::VectorXd& unknowns) const {
    const Eigen::ArrayXd r = ratios(unknowns);
    std::vector<PronyTerm> terms;
    for (std::size_t i = 0; i < times_s_.size(); ++i)
        terms.push_back({r[static_cast<Eigen::Index>(i)] / (1.0 + r.sum()), times_s_[i]});
    return terms;
}

Eigen::MatrixXd RelaxationSpectrum::slopes(const Eigen::VectorXd& unknowns) const {
    const auto n = static_cast<Eigen::Index>(times_s_.size());
    if (kind_ == SpectrumKind::Free || n < 2)
        return Eigen::MatrixXd::Identity(n, n);
    const Eigen::ArrayXd r = ratios(unknowns), share = r / r.sum();
    Eigen::ArrayXd log_time(n);
    for (Eigen::Index i = 0; i < n; ++i)
        log_time[i] = std::log(times_s_[static_cast<std::size_t>(i)]);
    Eigen::MatrixXd slopes(n, 2);
    slopes.col(0).setOnes();
    slopes.col(1) = ((share * log_time).sum() - log_time).matrix();
    return slopes;
}

SpectrumKind spectrum_of(const RateRange& tested) {
    return tested.fast_per_s < 9.99 * tested.slow_per_s ? SpectrumKind::PowerLaw
                                                        : SpectrumKind::Free;
}

std::vector<double> power_law_times_s(const TimeWindow& window, int most_terms) {
    double low = std::ceil(std::log10(0.1 * window.shortest_s) - 1e-9);
    double high = std::floor(std::log10(10.0 * window.longest_s) + 1e-9);
    const double middle = 0.5 * std::log10(window.shortest_s * window.longest_s);
    while (high - low + 1.0 > most_terms)
        (high - middle > middle - low ? high : low) += high - middle > middle - low ? -1.0 : 1.0;
    std::vector<double> times;
    for (double k = low; k <= high; k += 1.0)
        times.push_back(std::pow(10.0, k));
    return times;
}

} // namespace cellgrade
