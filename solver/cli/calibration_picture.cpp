// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/calibration_picture.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

constexpr int fit_points = 200;

/// 1 or -1: tension, or compression where the strain goes further that way than round-off.
double direction_of(const Coupon& c) {
    double tension = 0.0, compression = 0.0;
    for (const double l : c.stretch) {
        tension = std::max(tension, l - rest_stretch(c.mode));
        compression = std::max(compression, rest_stretch(c.mode) - l);
    }
    return compression > 1.01 * tension ? -1.0 : 1.0;
}

PlotCurve plot_curve(const Coupon& c, const std::vector<double>& stress, std::string label) {
    const double rest = rest_stretch(c.mode), direction = direction_of(c);
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    PlotCurve curve{.panel = std::string(mode_name(c.mode)),
                    .label = std::move(label),
                    .relative_density = none,
                    .speed_m_per_s = none,
                    .strain_rate_per_s = none,
                    .densification_strain = none};
    curve.curve.nominal_strain.push_back(0.0);
    curve.curve.nominal_stress_Pa.push_back(0.0);
    for (std::size_t i = 0; i < stress.size(); ++i) {
        curve.curve.nominal_strain.push_back(direction * (c.stretch[i] - rest));
        curve.curve.nominal_stress_Pa.push_back(direction * stress[i]);
    }
    // what comes after the largest strain is drawn thin, and the label stands there
    const std::vector<double>& strain = curve.curve.nominal_strain;
    const auto furthest = std::max_element(strain.begin(), strain.end());
    curve.curve.turn = static_cast<Index>(furthest - strain.begin()) + 1;
    return curve;
}

/// log10 a_T of an isotherm; 0 where nothing was shifted.
double shift_of(const Calibration& c, const TimeCurve& curve) {
    if (!c.master || !curve.temperature_C)
        return 0.0;
    const auto nearest =
        std::min_element(c.master->shifts.begin(), c.master->shifts.end(),
                         [&](const IsothermShift& a, const IsothermShift& b) {
                             return std::abs(a.temperature_C - *curve.temperature_C) <
                                    std::abs(b.temperature_C - *curve.temperature_C);
                         });
    return nearest->log10_shift;
}

RelaxationReadings readings_of(const Calibration& c, std::size_t k) {
    const TimeCurve& curve = c.time_curves[k];
    const bool own_scale = !c.master && k < c.prony->scales.size();
    const double scale = own_scale ? c.prony->scales[k] : 1.0;
    const double shift = std::pow(10.0, shift_of(c, curve));
    RelaxationReadings r{.label = curve.name,
                         .time_s = curve.time_s,
                         .modulus_Pa = curve.modulus_Pa,
                         .loss_Pa = curve.loss_Pa};
    if (c.master && curve.temperature_C)
        r.label = fmt::format("{:.3g} C", *curve.temperature_C);
    for (double& t : r.time_s)
        t /= shift;
    for (std::vector<double>* values : {&r.modulus_Pa, &r.loss_Pa})
        for (double& v : *values)
            v /= scale;
    return r;
}

/// The series over the span of the readings, with the ramp of the first test.
void put_fit(RelaxationPanel& panel, const PronyFit& fit, const TimeCurve& first) {
    double low = std::numeric_limits<double>::infinity(), high = 0.0;
    for (const RelaxationReadings& r : panel.readings)
        for (const double t : r.time_s) {
            low = std::min(low, t);
            high = std::max(high, t);
        }
    TimeCurve line{.name = "fit", .kind = first.kind, .ramp_time_s = first.ramp_time_s};
    for (int i = 0; i < fit_points; ++i)
        line.time_s.push_back(low * std::pow(high / low, i / (fit_points - 1.0)));
    line.modulus_Pa.assign(line.time_s.size(), 0.0);
    if (first.kind == TimeCurve::Kind::Dynamic) {
        line.loss_Pa.assign(line.time_s.size(), 0.0);
        const std::vector<PronyTerm> terms = fit.prony();
        for (const double t : line.time_s)
            panel.fit_loss_Pa.push_back(fit.instantaneous_modulus_Pa *
                                        dynamic_share(terms, 1.0 / t).loss);
    }
    panel.fit_time_s = line.time_s;
    panel.fit_modulus_Pa = prony_modulus_Pa(fit, line);
}

RelaxationPanel relaxation_panel(const Calibration& c) {
    RelaxationPanel panel;
    if (c.time_curves.empty() || !c.prony)
        return panel;
    const bool dynamic = c.time_curves.front().kind == TimeCurve::Kind::Dynamic;
    panel.name = c.master  ? fmt::format("master curve at {:.3g} C", c.master->reference_C)
                 : dynamic ? "dynamic"
                           : "relaxation";
    panel.time_name = dynamic ? "1 / angular frequency" : "time";
    panel.time_name += c.master ? " / a_T [s]" : " [s]";
    for (std::size_t k = 0; k < c.time_curves.size(); ++k)
        if (c.time_curves[k].kind ==
            c.time_curves.front().kind) // a modulus of time or of frequency
            panel.readings.push_back(readings_of(c, k));
    put_fit(panel, *c.prony, c.time_curves.front());
    return panel;
}

} // namespace

CurvePlot
calibration_plot(const Calibration& c, const std::string& title, const std::string& about) {
    CurvePlot plot{.title = title, .subtitle = about};
    const ElasticFit& fit = c.fits.front().fit;
    for (std::size_t i = 0; i < c.coupons.size(); ++i) {
        const Coupon& coupon = c.coupons[i];
        if (coupon.mode == CouponMode::Volumetric)
            continue; // its stress would press the others flat
        plot.curves.push_back(plot_curve(coupon, coupon.stress_Pa, coupon.name));
        plot.curves.push_back(plot_curve(coupon, fit.curves[i].stress_Pa,
                                         fmt::format("fit, {}", fit.candidate.name())));
        plot.curves.back().trusted = c.fits.front().stable_over_tests;
    }
    plot.relaxation = relaxation_panel(c);
    return plot;
}

} // namespace cellgrade
