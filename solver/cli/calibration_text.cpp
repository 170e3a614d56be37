// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/calibration_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/cli/print_fit_text.hpp"
#include "solver/results/json_number.hpp"
#include "solver/results/provenance.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

std::string interval_text(const FittedValue& v) {
    if (!v.fitted)
        return "given";
    if (!v.determined)
        return "not determined";
    return fmt::format("{:.4g} to {:.4g}", v.low / v.to_SI, v.high / v.to_SI);
}

std::string laws_text(const Calibration& c) {
    std::vector<std::vector<std::string>> lines;
    for (const RankedFit& r : c.fits) {
        double worst = 1.0;
        for (const CurveFit& curve : r.fit.curves)
            worst = std::min(worst, curve.r_squared);
        lines.push_back({r.fit.candidate.name(), fmt::format("{:.1f}", r.fit.aicc),
                         fmt::format("{:.4f}", worst),
                         fmt::format("{}/{}", r.fit.agreeing, r.fit.starts),
                         r.stable_over_tests ? "yes" : "no"});
    }
    return columns_text({"law ", "AICc", "lowest_R2", "starts_agreeing", "stable_in_tests "},
                        lines);
}

std::string values_text(const ElasticFit& fit) {
    std::vector<std::vector<std::string>> lines;
    for (const FittedValue& v : fit.values)
        lines.push_back({v.key, fmt::format("{:.5g}", v.value / v.to_SI), interval_text(v)});
    std::string text = columns_text({"value ", "fit", "interval_95 "}, lines);
    for (Eigen::Index i = 0; i < fit.correlation.rows(); ++i)
        for (Eigen::Index k = 0; k < i; ++k)
            if (std::abs(fit.correlation(i, k)) > 0.9)
                text +=
                    fmt::format("correlation of {} and {}: {:.3f}\n",
                                fit.free_keys[static_cast<std::size_t>(k)],
                                fit.free_keys[static_cast<std::size_t>(i)], fit.correlation(i, k));
    return text;
}

std::string curves_text(const Calibration& c) {
    std::vector<std::vector<std::string>> lines;
    const ElasticFit& fit = c.fits.front().fit;
    for (std::size_t i = 0; i < fit.curves.size(); ++i)
        lines.push_back({fit.curves[i].name, std::string(mode_name(c.coupons[i].mode)),
                         fmt::format("{}", c.coupons[i].stretch.size()),
                         fmt::format("{:.3g}", fit.curves[i].rms_Pa / 1e6),
                         fmt::format("{:.2f}", 100.0 * fit.curves[i].rms_share),
                         fmt::format("{:.4f}", fit.curves[i].r_squared)});
    return lines.empty()
               ? ""
               : columns_text(
                     {"curve ", "mode ", "rows", "rms_MPa", "rms_percent_of_largest", "R2"}, lines);
}

std::string prony_text(const Calibration& c) {
    if (!c.prony)
        return "";
    std::vector<std::vector<std::string>> lines;
    for (const FittedTerm& f : c.prony->terms)
        lines.push_back({fmt::format("{:.4g}", f.term.time_s),
                         fmt::format("{:.3g} to {:.3g}", f.time_low_s, f.time_high_s),
                         fmt::format("{:.4g}", f.term.share),
                         fmt::format("{:.3g} to {:.3g}", f.share_low, f.share_high)});
    std::string text =
        columns_text({"prony_time_s", "interval_95 ", "share", "interval_95 "}, lines);
    text +=
        fmt::format("relaxation: {:.2g} % root mean square; instantaneous modulus {:.4g} MPa, "
                    "long-term share {:.3g}; {:.3g} to {:.3g} s\n",
                    100.0 * c.prony->rms_share, c.prony->instantaneous_modulus_Pa / 1e6,
                    long_term_share(c.prony->prony()), c.prony->time_min_s, c.prony->time_max_s);
    return text;
}

std::string shift_text(const Calibration& c) {
    if (!c.master)
        return "";
    std::vector<std::vector<std::string>> lines;
    for (const IsothermShift& s : c.master->shifts)
        lines.push_back({fmt::format("{:.2f}", s.temperature_C),
                         fmt::format("{:.3f}", s.log10_shift),
                         fmt::format("{:.2f}", s.overlap_decades)});
    std::string text = columns_text({"temperature_C", "log10_shift", "overlap_decades"}, lines);
    if (c.master->wlf)
        text +=
            fmt::format("WLF from {:.4g} C: c1 = {:.4g}, c2 = {:.4g} K, misfit {:.2g} decades\n",
                        c.master->reference_C, c.master->wlf->c1, c.master->wlf->c2_K,
                        c.master->wlf->rms_decades);
    if (c.master->arrhenius)
        text += fmt::format("Arrhenius: {:.4g} kJ/mol, misfit {:.2g} decades\n",
                            c.master->arrhenius->activation_J_per_mol / 1e3,
                            c.master->arrhenius->rms_decades);
    return text;
}

std::string limit_text(double value, bool found) {
    return found ? fmt::format("{:.3f}", value) : fmt::format("{:.3g} or beyond", value);
}

std::string stable_text(const RankedFit& r) {
    std::vector<std::vector<std::string>> lines;
    for (const StableRange& s : r.stable)
        lines.push_back(
            {s.mode == CouponMode::UniaxialTension ? "uniaxial" : std::string(mode_name(s.mode)),
             limit_text(s.low, s.low_found), limit_text(s.high, s.high_found)});
    return columns_text({"stable_in ", "from_stretch", "to_stretch"}, lines);
}

Json values_json(const ElasticFit& fit) {
    Json list = Json::array();
    for (const FittedValue& v : fit.values)
        list.push_back({{"key", v.key},
                        {"value", json_number(v.value / v.to_SI)},
                        {"low", json_number(v.low / v.to_SI)},
                        {"high", json_number(v.high / v.to_SI)},
                        {"fitted", v.fitted},
                        {"determined", v.determined}});
    return list;
}

Json fit_json(const RankedFit& r) {
    Json curves = Json::array(), stable = Json::array(), correlation = Json::array();
    for (const CurveFit& c : r.fit.curves)
        curves.push_back({{"name", c.name},
                          {"rms_MPa", json_number(c.rms_Pa / 1e6)},
                          {"rms_share_of_largest", json_number(c.rms_share)},
                          {"r_squared", json_number(c.r_squared)}});
    for (const StableRange& s : r.stable)
        stable.push_back(
            {{"mode", s.mode == CouponMode::UniaxialTension ? "uniaxial" : mode_name(s.mode)},
             {"low", s.low},
             {"low_is_limit", s.low_found},
             {"high", s.high},
             {"high_is_limit", s.high_found}});
    for (Eigen::Index i = 0; i < r.fit.correlation.rows(); ++i) {
        Json row = Json::array();
        for (Eigen::Index k = 0; k < r.fit.correlation.cols(); ++k)
            row.push_back(json_number(r.fit.correlation(i, k)));
        correlation.push_back(row);
    }
    return {{"law", r.fit.candidate.name()},
            {"aicc", json_number(r.fit.aicc)},
            {"starts", r.fit.starts},
            {"starts_agreeing", r.fit.agreeing},
            {"stable_over_tests", r.stable_over_tests},
            {"values", values_json(r.fit)},
            {"correlation_of", r.fit.free_keys},
            {"correlation", correlation},
            {"curves", curves},
            {"stable_stretches", stable}};
}

Json prony_json(const PronyFit& p) {
    Json terms = Json::array();
    for (const FittedTerm& f : p.terms)
        terms.push_back({{"share", f.term.share},
                         {"share_low", json_number(f.share_low)},
                         {"share_high", json_number(f.share_high)},
                         {"time_s", f.term.time_s},
                         {"time_low_s", json_number(f.time_low_s)},
                         {"time_high_s", json_number(f.time_high_s)}});
    return {{"instantaneous_modulus_MPa", p.instantaneous_modulus_Pa / 1e6},
            {"terms", terms},
            {"rms_share", p.rms_share},
            {"time_min_s", p.time_min_s},
            {"time_max_s", p.time_max_s}};
}

Json master_json(const MasterCurve& m) {
    Json shifts = Json::array();
    for (const IsothermShift& s : m.shifts)
        shifts.push_back({{"temperature_C", s.temperature_C},
                          {"log10_shift", s.log10_shift},
                          {"overlap_decades", s.overlap_decades}});
    Json json{{"reference_temperature_C", m.reference_C}, {"shifts", shifts}};
    if (m.wlf)
        json["wlf"] = {
            {"c1", m.wlf->c1}, {"c2_K", m.wlf->c2_K}, {"misfit_decades", m.wlf->rms_decades}};
    if (m.arrhenius)
        json["arrhenius"] = {{"activation_kJ_per_mol", m.arrhenius->activation_J_per_mol / 1e3},
                             {"misfit_decades", m.arrhenius->rms_decades}};
    return json;
}

Json print_json(const PrintFit& fit) {
    Json rows = Json::array();
    for (const PrintFitRow& r : print_fit_rows(fit))
        rows.push_back({{"key", r.key},
                        {"readings", r.readings},
                        {"mean", json_number(r.mean)},
                        {"standard_deviation", json_number(r.sd)},
                        {"low", json_number(r.low)},
                        {"high", json_number(r.high)}});
    return rows;
}

} // namespace

std::string calibration_text(const Calibration& c) {
    std::string text = laws_text(c) + "\n" + values_text(c.fits.front().fit) + "\n" +
                       curves_text(c) + prony_text(c) + shift_text(c) + "\n" +
                       stable_text(c.fits.front()) + "\n";
    if (c.print)
        text += print_fit_text(*c.print);
    for (const std::string& reason : c.distrust)
        text += "not to be trusted: " + reason + "\n";
    for (const std::string& finding : c.findings)
        text += "not known: " + finding + "\n";
    for (const std::string& note : plausibility_notes(c.card))
        text += "unusual: " + note + "\n";
    return text + caution_text() + "\n";
}

std::string calibration_json(const Calibration& c) {
    Json fits = Json::array();
    for (const RankedFit& r : c.fits)
        fits.push_back(fit_json(r));
    Json json{{"schema", "cellgrade/calibration"}, {"caution", caution_text()}, {"fits", fits}};
    if (c.prony)
        json["prony"] = prony_json(*c.prony);
    if (c.master)
        json["master_curve"] = master_json(*c.master);
    if (c.guess)
        json["guess"] = {{"youngs_modulus_MPa", c.guess->youngs_modulus_Pa / 1e6},
                         {"low_MPa", c.guess->low_Pa / 1e6},
                         {"high_MPa", c.guess->high_Pa / 1e6}};
    if (c.print)
        json["print"] = print_json(*c.print);
    json["not_to_be_trusted"] = c.distrust;
    json["not_known"] = c.findings;
    json["unusual"] = plausibility_notes(c.card);
    json["done_to_data"] = c.notes;
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

} // namespace cellgrade
