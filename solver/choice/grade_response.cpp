// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/grade_response.hpp"

#include "solver/core/error.hpp"
#include "solver/homogenize/crush_traits.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr int rates_between = 3; // so that the cubic over rates is followed
constexpr double slope_strain = 0.02;
constexpr double no_stress = 1e-9;    // share of the largest: nothing can be told of a quotient
constexpr double straight_from = 0.9; // y of the continuation

std::vector<double> sampled_rates(const std::vector<double>& of_table) {
    std::vector<double> rates{of_table.front()};
    for (std::size_t i = 1; i < of_table.size(); ++i) {
        for (int k = 1; k <= rates_between; ++k)
            rates.push_back(of_table[i - 1] * std::pow(of_table[i] / of_table[i - 1],
                                                       double(k) / (rates_between + 1)));
        rates.push_back(of_table[i]);
    }
    return rates;
}

/// Stress on the way back of a curve whose way back begins at its last strain.
double back_stress(const GradeCurve& curve, double strain) {
    if (strain <= curve.unloading_strain.front())
        return curve.unloading_stress_at(strain);
    const double from = curve.unloading_strain.front(), to = curve.last_strain();
    const double t = (strain - from) / (to - from);
    return (1.0 - t) * curve.unloading_stress_Pa.front() + t * curve.nominal_stress_Pa.back();
}

double densification_of(const GradeCurve& curve) {
    return crush_traits({.nominal_strain = curve.nominal_strain,
                         .nominal_stress_Pa = curve.nominal_stress_Pa,
                         .turn = static_cast<Index>(curve.nominal_strain.size())},
                        {})
        .densification_strain;
}

} // namespace

GradeResponse::ReturnShares GradeResponse::return_shares(const GradeCurve& curve) {
    const double turn = curve.last_strain();
    std::vector<double> strains{0.0, turn};
    for (const std::vector<double>* branch : {&curve.nominal_strain, &curve.unloading_strain})
        for (const double strain : *branch)
            if (strain > 0.0 && strain < turn)
                strains.push_back(strain);
    std::sort(strains.begin(), strains.end());
    strains.erase(std::unique(strains.begin(), strains.end()), strains.end());
    const double largest =
        *std::max_element(curve.nominal_stress_Pa.begin(), curve.nominal_stress_Pa.end());
    ReturnShares found;
    found.share.assign(strains.size(), 1.0);
    for (const double strain : strains)
        found.x.push_back(strain / turn);
    found.finder = KnotFinder(found.x);
    for (std::size_t k = strains.size() - 1; k-- > 0;) { // 0 / 0 at the start: as just above
        const double loading = curve.stress_at(strains[k]);
        found.share[k] = loading <= no_stress * largest
                             ? found.share[k + 1]
                             : std::clamp(back_stress(curve, strains[k]) / loading, 0.0, 1.0);
    }
    return found;
}

double GradeResponse::ReturnShares::at(double relative_strain) const {
    const double at = std::clamp(relative_strain, 0.0, 1.0);
    const std::size_t i = finder.piece(x, at);
    const double t = (at - x[i]) / (x[i + 1] - x[i]);
    return (1.0 - t) * share[i] + t * share[i + 1];
}

std::vector<GradeCurve>
rated_curves(const GradeCurves& curves, double relative_density, double temperature_C) {
    std::vector<GradeCurve> rated;
    for (const double rate : sampled_rates(curves.strain_rates()))
        rated.push_back(curves.curve_at({.relative_density = relative_density,
                                         .strain_rate_per_s = rate,
                                         .temperature_C = temperature_C}));
    return rated;
}

GradeResponse::GradeResponse(const GradeCurves& curves,
                             double relative_density,
                             double temperature_C)
    : GradeResponse(rated_curves(curves, relative_density, temperature_C)) {}

GradeResponse::GradeResponse(std::vector<GradeCurve> curves, double layers_known_to_Pa)
    : curves_(std::move(curves)), layers_known_to_(layers_known_to_Pa) {
    double last = 1.0;
    for (const GradeCurve& curve : curves_) {
        log_rate_.push_back(std::log(curve.strain_rate_per_s));
        last = std::min(last, curve.last_strain());
        unloads_ = unloads_ && !curve.unloading_strain.empty();
        const double doubt =
            std::fmax(curve.stress_uncertainty_share, curve.energy_uncertainty_share);
        doubt_ = std::isnan(doubt) ? doubt : std::max(doubt_, doubt);
        densification_.push_back(densification_of(curve));
    }
    strain_ = {0.0, last};
    for (const GradeCurve& curve : curves_)
        for (const double strain : curve.nominal_strain)
            if (strain > 0.0 && strain < last)
                strain_.push_back(strain);
    std::sort(strain_.begin(), strain_.end());
    strain_.erase(std::unique(strain_.begin(), strain_.end()), strain_.end());
    strain_finder_ = KnotFinder(strain_);
    for (const GradeCurve& curve : curves_) {
        std::vector<double> stress;
        for (const double strain : strain_)
            stress.push_back(std::max(curve.stress_at(strain), 0.0)); // a pad only pushes
        for (std::size_t i = 1; i < stress.size(); ++i)
            steepest_ =
                std::max(steepest_, (stress[i] - stress[i - 1]) / (strain_[i] - strain_[i - 1]));
        const double before = std::max(last - slope_strain, 0.0);
        last_slope_.push_back(
            std::max({(stress.back() - std::max(curve.stress_at(before), 0.0)) / (last - before),
                      stress.back() / std::max(1.0 - last, 1e-3)}));
        stress_.push_back(std::move(stress));
        if (unloads_)
            return_.push_back(return_shares(curve));
    }
}

GradeResponse::Between GradeResponse::place_of_rate(double rate_per_s) const {
    const double at = std::log(std::max(rate_per_s, 1e-300));
    if (log_rate_.size() == 1 || at <= log_rate_.front())
        return {};
    if (at >= log_rate_.back())
        return {log_rate_.size() - 2, 1.0};
    const auto above = std::upper_bound(log_rate_.begin(), log_rate_.end(), at);
    const auto i = static_cast<std::size_t>(above - log_rate_.begin()) - 1;
    return {i, (at - log_rate_[i]) / (log_rate_[i + 1] - log_rate_[i])};
}

double GradeResponse::beyond(double strain, const Between& rate) const {
    const double w = std::max(1.0 - last_strain(), 1e-3);
    const double y = (strain - last_strain()) / w;
    const double bent = std::min(y, straight_from), left = 1.0 - bent;
    const double rise = bent / left + (y - bent) / (left * left);
    const auto of_curve = [&](std::size_t k) {
        return stress_[k].back() + last_slope_[k] * w * rise;
    };
    return rate.share > 0.0
               ? (1.0 - rate.share) * of_curve(rate.low) + rate.share * of_curve(rate.low + 1)
               : of_curve(rate.low);
}

double GradeResponse::stress_Pa(double strain, double rate_per_s) const {
    const Between rate = place_of_rate(rate_per_s);
    if (strain > last_strain())
        return beyond(strain, rate);
    if (strain < 0.0)
        return 0.0;
    const std::size_t i = strain_finder_.piece(strain_, strain);
    const double t = (strain - strain_[i]) / (strain_[i + 1] - strain_[i]);
    const auto of_curve = [&](std::size_t k) {
        return (1.0 - t) * stress_[k][i] + t * stress_[k][i + 1];
    };
    return rate.share > 0.0
               ? (1.0 - rate.share) * of_curve(rate.low) + rate.share * of_curve(rate.low + 1)
               : of_curve(rate.low);
}

double GradeResponse::return_share(double relative_strain, double rate_per_s) const {
    if (return_.empty())
        return 1.0;
    const Between rate = place_of_rate(rate_per_s);
    const double low = return_[rate.low].at(relative_strain);
    return rate.share > 0.0
               ? (1.0 - rate.share) * low + rate.share * return_[rate.low + 1].at(relative_strain)
               : low;
}

GradeResponse::Knots GradeResponse::knots() const {
    Knots knots{.log_strain_rate = log_rate_,
                .strain = strain_,
                .stress_Pa = stress_,
                .last_slope_Pa = last_slope_,
                .densification_strain = densification_};
    for (const ReturnShares& back : return_) {
        knots.return_x.push_back(back.x);
        knots.return_share.push_back(back.share);
    }
    for (const GradeCurve& curve : curves_) {
        std::vector<double> strain, stress;
        for (std::size_t i = 0; i < curve.nominal_strain.size(); ++i)
            if (curve.nominal_strain[i] > last_strain()) {
                strain.push_back(curve.nominal_strain[i]);
                stress.push_back(std::max(curve.nominal_stress_Pa[i], 0.0));
            }
        knots.tail_strain.push_back(std::move(strain));
        knots.tail_stress_Pa.push_back(std::move(stress));
        knots.turn_strain.push_back(curve.last_strain());
    }
    return knots;
}

double GradeResponse::densification_strain(double rate_per_s) const {
    const Between rate = place_of_rate(rate_per_s);
    return densification_[rate.share > 0.5 ? rate.low + 1 : rate.low];
}

} // namespace cellgrade
