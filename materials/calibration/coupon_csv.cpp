// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/coupon_csv.hpp"

#include "materials/calibration/csv_columns.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>

namespace cellgrade {

namespace {

/// The one of several quantities that the file has; empty when none.
std::string_view first_present(const CsvColumns& columns,
                               std::initializer_list<std::string_view> quantities) {
    for (const std::string_view q : quantities)
        if (columns.has(q))
            return q;
    return {};
}

StressMeasure said(const CsvColumns& columns, std::string_view quantity, StressMeasure measure) {
    if (measure == StressMeasure::Unsaid)
        throw columns.error(fmt::format(
            "column '{}' does not say whether it is nominal or true; rename it nominal_{} or "
            "true_{}, or give measure = \"nominal\" or \"true\" in the study",
            columns.header(quantity), quantity, quantity));
    return measure;
}

bool is_compression(CouponMode mode) {
    return mode == CouponMode::UniaxialCompression || mode == CouponMode::Volumetric;
}

double furthest(const std::vector<double>& values) {
    double most = 0.0;
    for (const double v : values)
        if (std::abs(v) > std::abs(most))
            most = v;
    return most;
}

/// Test machines may count compression positive; strain away from rest has the sign of the mode.
void settle_sign(std::vector<double>& values,
                 const char* what,
                 CouponMode mode,
                 const CsvColumns& columns,
                 std::vector<std::string>& notes) {
    if (mode == CouponMode::UniaxialCycle)
        return; // both signs occur
    const double sign = is_compression(mode) ? -1.0 : 1.0;
    if (sign * furthest(values) >= 0.0)
        return;
    if (!is_compression(mode))
        throw columns.error(fmt::format("the {} is below 0 in a test of mode {}; is it a "
                                        "uniaxial_compression, or the sign wrong?",
                                        what, mode_name(mode)));
    for (double& v : values)
        v = -v;
    notes.push_back(fmt::format("{} counts compression positive: sign turned", what));
}

/// Strain, stretch or volume ratio; `stretch` is left as it is found.
void read_stretch(Coupon& c, const CsvColumns& columns, const CouponRequest& request) {
    if (request.mode == CouponMode::SimpleShear) {
        c.stretch = columns.values("shear_strain", UnitKind::Strain);
        settle_sign(c.stretch, "shear strain", c.mode, columns, c.notes);
        return;
    }
    const std::string_view q =
        request.mode == CouponMode::Volumetric
            ? std::string_view("volume_ratio")
            : first_present(columns, {"stretch", "nominal_strain", "engineering_strain",
                                      "true_strain", "strain"});
    if (q.empty())
        throw columns.error("no column of stretch or strain; stretch, nominal_strain or "
                            "true_strain is needed" +
                            columns.present());
    c.stretch = columns.values(q, UnitKind::Strain);
    if (q == "stretch" || q == "volume_ratio") {
        std::vector<double> strain = c.stretch;
        for (double& l : strain)
            l -= 1.0;
        if (c.mode != CouponMode::UniaxialCycle &&
            (is_compression(c.mode) ? -1.0 : 1.0) * furthest(strain) < 0.0)
            throw columns.error(
                fmt::format("column '{}' goes {} 1 in a test of mode {}", columns.header(q),
                            is_compression(c.mode) ? "above" : "below", mode_name(c.mode)));
        return;
    }
    settle_sign(c.stretch, "strain", c.mode, columns, c.notes);
    const bool is_true =
        q == "true_strain" ||
        (q == "strain" && said(columns, q, request.measure) == StressMeasure::True);
    for (double& v : c.stretch)
        v = is_true ? std::exp(v) : 1.0 + v;
}

void read_stress(Coupon& c, const CsvColumns& columns, const CouponRequest& request) {
    if (request.mode == CouponMode::SimpleShear) {
        c.stress_Pa = columns.values("shear_stress", UnitKind::Stress);
        return;
    }
    if (request.mode == CouponMode::Volumetric) {
        c.stress_Pa = columns.values("pressure", UnitKind::Stress);
        for (double& p : c.stress_Pa)
            p = -p; // pressure counts compression positive, stress counts it negative
        return;
    }
    const std::string_view q =
        first_present(columns, {"nominal_stress", "engineering_stress", "true_stress", "stress"});
    if (q.empty())
        throw columns.error("no column of stress; nominal_stress_MPa or true_stress_MPa is needed" +
                            columns.present());
    c.stress_Pa = columns.values(q, UnitKind::Stress);
}

/// After the signs are settled, since it needs the stretch.
void make_nominal(Coupon& c, const CsvColumns& columns, const CouponRequest& request) {
    if (request.mode == CouponMode::SimpleShear || request.mode == CouponMode::Volumetric)
        return;
    const bool plain = !columns.has("nominal_stress") && !columns.has("engineering_stress");
    const bool is_true = plain && (columns.has("true_stress") ||
                                   said(columns, "stress", request.measure) == StressMeasure::True);
    if (!is_true)
        return;
    for (std::size_t i = 0; i < c.stress_Pa.size(); ++i)
        c.stress_Pa[i] /= c.stretch[i];
    c.notes.emplace_back("true stress turned into nominal stress with constant volume");
}

void refuse_impossible_stretch(const Coupon& c, const CsvColumns& columns) {
    if (c.mode == CouponMode::SimpleShear)
        return;
    for (std::size_t i = 0; i < c.stretch.size(); ++i) {
        const double l = c.stretch[i];
        if (columns.has("stretch") && l < 0.05)
            throw columns.error_at(i, fmt::format("a stretch of {} is not possible (1 is at rest); "
                                                  "is it a strain, or are columns swapped?",
                                                  l));
        if (!(l > 0.0 && l < 15.0))
            throw columns.error_at(i, fmt::format("a stretch of {:.6g} is not possible; is the "
                                                  "strain in per cent (write _percent), or are "
                                                  "columns swapped?",
                                                  l));
    }
}

/// Means over at most `bins` steps of log time.
void thin(TimeCurve& curve, std::size_t bins) {
    const std::size_t n = curve.time_s.size();
    if (n <= 300)
        return;
    const double low = std::log(curve.time_s.front());
    const double step = (std::log(curve.time_s.back()) - low) / static_cast<double>(bins);
    TimeCurve means = curve;
    means.time_s.clear();
    means.modulus_Pa.clear();
    means.loss_Pa.clear();
    for (std::size_t i = 0; i < n;) {
        double t = 0.0, m = 0.0, l = 0.0;
        int count = 0;
        const double bin = std::floor((std::log(curve.time_s[i]) - low) / step);
        for (; i < n && std::floor((std::log(curve.time_s[i]) - low) / step) <= bin; ++i) {
            t += std::log(curve.time_s[i]);
            m += curve.modulus_Pa[i];
            l += curve.loss_Pa.empty() ? 0.0 : curve.loss_Pa[i];
            ++count;
        }
        means.time_s.push_back(std::exp(t / count));
        means.modulus_Pa.push_back(m / count);
        if (!curve.loss_Pa.empty())
            means.loss_Pa.push_back(l / count);
    }
    means.notes.push_back(
        fmt::format("{} rows averaged into {} steps of log time", n, means.time_s.size()));
    curve = std::move(means);
}

struct TimeRows {
    std::vector<double> time_s, modulus_Pa, loss_Pa, temperature_C, set;
};

TimeRows read_time_rows(const CsvColumns& columns, const TimeCurveRequest& request) {
    TimeRows rows;
    if (request.kind == TimeCurve::Kind::Dynamic) {
        const bool angular = columns.has("angular_frequency");
        rows.time_s = angular ? columns.values("angular_frequency", UnitKind::AngularFrequency)
                              : columns.values("frequency", UnitKind::Frequency);
        for (std::size_t i = 0; i < rows.time_s.size(); ++i) {
            if (!(rows.time_s[i] > 0.0))
                throw columns.error_at(i, "a frequency above 0 is needed");
            rows.time_s[i] = 1.0 / rows.time_s[i];
        }
        rows.modulus_Pa = columns.values("storage_modulus", UnitKind::Stress);
        rows.loss_Pa = columns.values("loss_modulus", UnitKind::Stress);
    } else {
        rows.time_s = columns.values("time", UnitKind::Time);
        const std::string_view q =
            first_present(columns, {"relaxation_modulus", "modulus", "nominal_stress",
                                    "engineering_stress", "stress", "shear_stress"});
        if (q.empty())
            throw columns.error("no column of relaxation_modulus_MPa or nominal_stress_MPa" +
                                columns.present());
        rows.modulus_Pa = columns.values(q, UnitKind::Stress);
        if (q.find("modulus") == std::string_view::npos) {
            if (!request.held_strain)
                throw columns.error(fmt::format("column '{}' is a stress: give held_strain in the "
                                                "study, or a column relaxation_modulus_MPa",
                                                columns.header(q)));
            for (double& E : rows.modulus_Pa)
                E /= *request.held_strain;
        }
    }
    for (std::size_t i = 0; i < rows.modulus_Pa.size(); ++i)
        if (!(rows.modulus_Pa[i] > 0.0) || (!rows.loss_Pa.empty() && rows.loss_Pa[i] < 0.0))
            throw columns.error_at(i, "a modulus above 0 is needed");
    if (columns.has("temperature"))
        rows.temperature_C = columns.values("temperature", UnitKind::Temperature);
    if (columns.has("set"))
        rows.set = columns.values("set", UnitKind::Number);
    return rows;
}

/// Rows of each curve, in the order in which curves begin.
std::vector<std::vector<std::size_t>> grouped(const TimeRows& rows) {
    std::vector<std::vector<std::size_t>> groups;
    for (std::size_t i = 0; i < rows.time_s.size(); ++i) {
        const auto same = [&](const std::vector<std::size_t>& group) {
            if (!rows.set.empty())
                return rows.set[group.front()] == rows.set[i];
            return rows.temperature_C.empty() ||
                   std::abs(rows.temperature_C[group.front()] - rows.temperature_C[i]) < 1.0;
        };
        const auto found = std::find_if(groups.begin(), groups.end(), same);
        if (found == groups.end())
            groups.push_back({i});
        else
            found->push_back(i);
    }
    return groups;
}

TimeCurve curve_of(const TimeRows& rows,
                   std::vector<std::size_t> places,
                   const std::string& file,
                   const TimeCurveRequest& request) {
    TimeCurve c{.name = file,
                .kind = request.kind,
                .ramp_time_s = request.ramp_time_s,
                .temperature_C = request.temperature_C,
                .weight = request.weight};
    std::stable_sort(places.begin(), places.end(),
                     [&](std::size_t a, std::size_t b) { return rows.time_s[a] < rows.time_s[b]; });
    double temperature = 0.0;
    std::size_t early = 0;
    for (const std::size_t i : places) {
        temperature += rows.temperature_C.empty() ? 0.0 : rows.temperature_C[i];
        if (rows.time_s[i] <= 0.0) {
            ++early;
            continue;
        }
        c.time_s.push_back(rows.time_s[i]);
        c.modulus_Pa.push_back(rows.modulus_Pa[i]);
        if (!rows.loss_Pa.empty())
            c.loss_Pa.push_back(rows.loss_Pa[i]);
    }
    if (!rows.temperature_C.empty())
        c.temperature_C = temperature / static_cast<double>(places.size());
    if (early > 0)
        c.notes.push_back(fmt::format("{} rows at or before time 0 left out", early));
    thin(c, 120);
    return c;
}

} // namespace

Coupon
parse_coupon_csv(const std::string& text, const std::string& file, const CouponRequest& request) {
    const TextTable table = read_text_table(text, file);
    const CsvColumns columns(table, file);
    if (table.names.empty())
        throw Error(Fault::Input, "no header row; a row of column names with units is needed first",
                    {.file = file, .line = table.rows.front().line, .column = 1});
    Coupon c{.name = file,
             .mode = request.mode,
             .weight = request.weight,
             .rate_per_s = request.rate_per_s,
             .temperature_C = request.temperature_C};
    read_stretch(c, columns, request);
    refuse_impossible_stretch(c, columns);
    read_stress(c, columns, request);
    settle_sign(c.stress_Pa, "stress", c.mode, columns, c.notes);
    if (columns.has("time"))
        c.time_s = columns.values("time", UnitKind::Time);
    make_nominal(c, columns, request);
    return c;
}

std::vector<TimeCurve> parse_time_curves_csv(const std::string& text,
                                             const std::string& file,
                                             const TimeCurveRequest& request) {
    const TextTable table = read_text_table(text, file);
    const CsvColumns columns(table, file);
    if (table.names.empty())
        throw Error(Fault::Input, "no header row; a row of column names with units is needed first",
                    {.file = file, .line = table.rows.front().line, .column = 1});
    const TimeRows rows = read_time_rows(columns, request);
    std::vector<TimeCurve> curves;
    for (const auto& group : grouped(rows)) {
        curves.push_back(curve_of(rows, group, file, request));
        if (curves.back().time_s.size() < 3)
            throw columns.error_at(group.front(), "a curve of fewer than three rows above time 0; "
                                                  "nothing can be fitted to it");
    }
    return curves;
}

} // namespace cellgrade
