// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/print_fit.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

namespace cellgrade {

namespace {

constexpr double least_porosity = -0.02; ///< of one coupon: what a balance and a calliper may miss

/// Says which reading is an outlier, if one is; it stays.
template <class Reading>
void note_outlier(PrintFit& fit,
                  const std::vector<double>& values,
                  const std::vector<Reading>& readings,
                  const std::string& file,
                  const std::string& what) {
    if (const auto i = outlier(values))
        fit.notes.push_back(fmt::format("{}:{}: {} is an outlier (Grubbs's test at 5 %); it is "
                                        "kept: if it is a slip of the hand, take it out",
                                        file, readings[*i].line, what));
}

void find_growth(PrintFit& fit,
                 const std::vector<double>& drawn,
                 const std::vector<double>& offset) {
    const auto [least, most] = std::minmax_element(drawn.begin(), drawn.end());
    const std::optional<SlopeInterval> slope = slope_interval(drawn, offset);
    if (!slope) {
        fit.findings.push_back(fmt::format("callipers: one drawn size, {:.4g} mm, or two readings: "
                                           "whether the offset grows with the size is not known",
                                           *least / units::mm));
        return;
    }
    if (slope->low <= 0.0 && slope->high >= 0.0)
        return;
    fit.findings.push_back(fmt::format(
        "callipers: the offset is no constant, it changes by {:.2g} mm a mm of drawn size (95 % "
        "interval {:.2g} to {:.2g}), {:+.3g} mm from {:.3g} to {:.3g} mm; the card has the mean, "
        "which serves sizes about {:.3g} mm",
        slope->slope, slope->low, slope->high, slope->slope * (*most - *least) / units::mm,
        *least / units::mm, *most / units::mm, reading_statistics(drawn).mean / units::mm));
}

void find_direction(PrintFit& fit,
                    const std::vector<CalliperReading>& readings,
                    const std::vector<double>& offset) {
    std::vector<double> along, across;
    for (std::size_t i = 0; i < readings.size(); ++i)
        if (readings[i].direction != PrintDirection::Unsaid)
            (readings[i].direction == PrintDirection::Along ? along : across).push_back(offset[i]);
    if (along.size() < 2 || across.size() < 2)
        return;
    const ReadingStatistics a = reading_statistics(along), b = reading_statistics(across);
    if (std::abs(welch_ratio(a, b)) > 1.0)
        fit.findings.push_back(fmt::format(
            "callipers: the offset is {:.3g} mm along the build direction and {:.3g} mm across it, "
            "more apart than chance (Welch's test at 5 %); the card has the mean of all readings",
            a.mean / units::mm, b.mean / units::mm));
}

std::vector<std::vector<double>> by_part(const std::vector<CalliperReading>& readings,
                                         const std::vector<double>& offset) {
    std::map<std::string, std::vector<double>> parts;
    for (std::size_t i = 0; i < offset.size(); ++i)
        parts[readings[i].part].push_back(offset[i]);
    std::vector<std::vector<double>> groups;
    for (const auto& [name, values] : parts)
        groups.push_back(values);
    return groups;
}

void fit_calliper(PrintFit& fit, const PrintReadings& r) {
    std::vector<double> drawn, measured, offset;
    for (const CalliperReading& one : r.calliper) {
        drawn.push_back(one.drawn);
        measured.push_back(one.measured);
        offset.push_back(one.measured - one.drawn);
    }
    fit.offset = reading_statistics(offset);
    if (r.calliper.front().part.empty()) {
        fit.findings.emplace_back(
            "callipers: no column part, so scatter from strut to strut is not told from scatter "
            "from print to print; a scatter_seed moves all struts of a print by it alike");
    } else {
        const GroupStatistics prints = group_statistics(by_part(r.calliper, offset));
        fit.offset = prints.groups;
        fit.strut_sd = prints.sd_within;
        fit.notes.push_back(fmt::format(
            "{}: struts of one print scatter by {:.3g} mm around its offset, {:.2g} of their mean "
            "diameter: diameter_scatter_share of a study",
            r.calliper_name, prints.sd_within / units::mm,
            prints.sd_within / reading_statistics(measured).mean));
    }
    note_outlier(fit, offset, r.calliper, r.calliper_name, "the offset of this reading");
    find_growth(fit, drawn, offset);
    find_direction(fit, r.calliper, offset);
}

void fit_weighed(PrintFit& fit, const PrintReadings& r, double solid_density) {
    std::vector<double> density, porosity;
    for (const WeighedCoupon& one : r.weighed) {
        density.push_back(one.mass / one.volume);
        porosity.push_back(1.0 - density.back() / solid_density);
        if (porosity.back() < least_porosity)
            throw Error(Fault::Input,
                        fmt::format("porosity {:.4g} is below 0: {:.5g} kg/m3 weighed, and the "
                                    "solid polymer has {:.5g}; check the mass, the sizes and "
                                    "solid_density_kg_per_m3",
                                    porosity.back(), density.back(), solid_density),
                        {.file = r.weighed_name, .line = one.line, .column = 1});
    }
    fit.density = reading_statistics(density);
    fit.porosity = reading_statistics(porosity);
    const ReadingStatistics& p = *fit.porosity;
    if (p.mean < 0.0)
        throw Error(Fault::Input,
                    fmt::format("mean porosity {:.4g} is below 0: the coupons weigh {:.5g} kg/m3, "
                                "and the solid polymer {:.5g}; check solid_density_kg_per_m3",
                                p.mean, fit.density->mean, solid_density),
                    {.file = r.weighed_name});
    if (Scatter{p.sd, p.n}.sd_of_next() > std::numbers::sqrt2 * p.mean)
        throw Error(Fault::Input,
                    fmt::format("porosity {:.3g} with a standard deviation of {:.3g} cannot be "
                                "told from 0; weigh more or larger coupons, or give void_fraction "
                                "and leave weighed_file out",
                                p.mean, p.sd),
                    {.file = r.weighed_name});
    note_outlier(fit, porosity, r.weighed, r.weighed_name, "the porosity of this coupon");
}

void fit_direction(PrintFit& fit, const PrintReadings& r) {
    for (const PrintDirection side : {PrintDirection::Along, PrintDirection::Across}) {
        std::vector<double> value;
        std::vector<DirectionReading> rows;
        for (const DirectionReading& one : r.direction)
            if (one.direction == side) {
                value.push_back(one.value);
                rows.push_back(one);
            }
        note_outlier(fit, value, rows, r.direction_name, "this coupon");
    }
    std::vector<double> along, across;
    for (const DirectionReading& one : r.direction)
        (one.direction == PrintDirection::Along ? along : across).push_back(one.value);
    fit.factor = ratio_statistics(reading_statistics(along), reading_statistics(across));
    fit.factor_readings = static_cast<int>(std::min(along.size(), across.size()));
    if (fit.factor->low <= 1.0 && fit.factor->high >= 1.0)
        fit.findings.push_back(fmt::format("build direction: a factor of {:.3g} (95 % interval "
                                           "{:.3g} to {:.3g}) cannot be told from 1",
                                           fit.factor->ratio, fit.factor->low, fit.factor->high));
}

std::string name_of(const std::optional<std::filesystem::path>& file) {
    return file ? file->filename().string() : "";
}

std::string interval_text(const ReadingStatistics& s, double unit, const char* unit_name) {
    return fmt::format("95 % interval of the mean {:.4g} to {:.4g}{}", s.low / unit, s.high / unit,
                       unit_name);
}

} // namespace

PrintReadings read_print_readings(const PrintStudy& study) {
    PrintReadings r{.calliper = {},
                    .weighed = {},
                    .direction = {},
                    .calliper_name = name_of(study.calliper_file),
                    .weighed_name = name_of(study.weighed_file),
                    .direction_name = name_of(study.direction_file)};
    if (const auto& file = study.calliper_file)
        r.calliper = parse_calliper_csv(read_text_file(*file), file->string());
    if (const auto& file = study.weighed_file)
        r.weighed = parse_weighed_csv(read_text_file(*file), file->string());
    if (const auto& file = study.direction_file)
        r.direction = parse_direction_csv(read_text_file(*file), file->string());
    return r;
}

PrintFit fit_print(const PrintReadings& r, double solid_density) {
    PrintFit fit;
    if (!r.calliper.empty())
        fit_calliper(fit, r);
    if (!r.weighed.empty())
        fit_weighed(fit, r, solid_density);
    if (!r.direction.empty())
        fit_direction(fit, r);
    return fit;
}

void put_weighed(CalibrationStudy& s, PrintFit& fit, const PrintReadings& r) {
    if (!fit.porosity)
        return;
    const std::string coupons =
        fmt::format("{} weighed coupons of {}", fit.porosity->n, r.weighed_name);
    if (const auto given = s.fixed.values.find("void_fraction"); given != s.fixed.values.end()) {
        fit.notes.push_back(fmt::format("void_fraction {:.4g} of [fixed] is used, not the {:.4g} "
                                        "that was weighed: what the study gives wins",
                                        given->second, fit.porosity->mean));
    } else {
        s.fixed.values["void_fraction"] = fit.porosity->mean;
        s.sources["void_fraction"] = fmt::format("{} against {:.5g} kg/m3 ({}); {}", coupons,
                                                 *s.print.solid_density_kg_per_m3,
                                                 s.sources.find("solid_density_kg_per_m3")->second,
                                                 interval_text(*fit.porosity, 1.0, ""));
    }
    if (s.density_kg_per_m3 > 0.0) {
        fit.notes.push_back(fmt::format("density_kg_per_m3 {:.5g} of the study is used, not the "
                                        "{:.5g} that was weighed: what the study gives wins",
                                        s.density_kg_per_m3, fit.density->mean));
    } else {
        s.density_kg_per_m3 = fit.density->mean;
        s.sources["density_kg_per_m3"] =
            coupons + "; " + interval_text(*fit.density, 1.0, " kg/m3");
    }
}

void put_print(PolymerCard& card,
               const PrintFit& fit,
               const CalibrationStudy& study,
               const PrintReadings& r) {
    PrintEffects print;
    if (const auto& p = fit.porosity) {
        print.void_fraction = Scatter{p->sd, p->n};
        card.sources["void_fraction_sd"] =
            fmt::format("{} weighed coupons of {}", p->n, r.weighed_name);
    }
    if (const auto& o = fit.offset) {
        print.diameter_offset = ScatteredValue{o->mean, Scatter{o->sd, o->n}};
        const std::string prints = fit.strut_sd ? fmt::format(" on {} prints", o->n) : "";
        const std::string source =
            fmt::format("{} calliper readings{} of {}", r.calliper.size(), prints, r.calliper_name);
        card.sources["diameter_offset_mm"] = source + "; " + interval_text(*o, units::mm, " mm");
        card.sources["diameter_offset_sd_mm"] =
            source + (fit.strut_sd ? "; between prints" : "; of single readings");
    }
    if (const auto& f = fit.factor) {
        print.build_direction_factor =
            ScatteredValue{f->ratio, Scatter{f->sd, fit.factor_readings}};
        const std::string source = fmt::format("coupons of {}", r.direction_name);
        card.sources["build_direction_factor"] =
            fmt::format("{}; 95 % interval {:.4g} to {:.4g}", source, f->low, f->high);
        card.sources["build_direction_factor_sd"] = source;
    } else if (study.print.factor) {
        print.build_direction_factor = study.print.factor;
        for (const char* key : {"build_direction_factor", "build_direction_factor_sd"})
            if (const auto given = study.sources.find(key); given != study.sources.end())
                card.sources[key] = "given: " + given->second;
    }
    if (print != PrintEffects{})
        card.print = print;
}

} // namespace cellgrade
