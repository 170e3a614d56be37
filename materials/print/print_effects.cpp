// SPDX-License-Identifier: Apache-2.0
#include "materials/print/print_effects.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <cmath>
#include <numbers>
#include <string_view>

namespace cellgrade {

namespace {

constexpr double least_factor = 0.05, most_factor = 5.0;

void check_scatter(const std::optional<Scatter>& scatter, std::string_view key, double unit) {
    if (!scatter)
        return;
    CELLGRADE_CHECK(std::isfinite(scatter->sd) && scatter->sd >= 0.0,
                    "print.{} = {:.9g} is not allowed; 0 or a number above is needed", key,
                    scatter->sd / unit);
    CELLGRADE_CHECK(!scatter->readings || *scatter->readings >= 2,
                    "print: {} readings give no {}; at least 2 are needed", *scatter->readings,
                    key);
}

/// (a + b z)^2 of a normal z has this as its widest scatter: sampled_print().
void check_positive_quantity(const std::optional<Scatter>& scatter,
                             double mean,
                             std::string_view key) {
    CELLGRADE_CHECK(
        !scatter || scatter->sd == 0.0 || scatter->sd_of_next() <= std::numbers::sqrt2 * mean,
        "print.{} = {:.6g} is too wide for a mean of {:.6g}: with it every fourth "
        "print would lie below 0; at most {:.6g} is possible",
        key, scatter->sd, mean, std::numbers::sqrt2 * mean * scatter->sd / scatter->sd_of_next());
}

} // namespace

double Scatter::sd_of_next() const {
    return readings ? sd * std::sqrt(1.0 + 1.0 / static_cast<double>(*readings)) : sd;
}

void PrintEffects::check(double mean_void_fraction) const {
    check_scatter(void_fraction, "void_fraction_sd", 1.0);
    check_positive_quantity(void_fraction, mean_void_fraction, "void_fraction_sd");
    if (diameter_offset) {
        CELLGRADE_CHECK(std::isfinite(diameter_offset->mean),
                        "print.diameter_offset_mm is not a finite number");
        check_scatter(diameter_offset->scatter, "diameter_offset_sd_mm", units::mm);
    }
    if (build_direction_factor) {
        const double f = build_direction_factor->mean;
        CELLGRADE_CHECK(f >= least_factor && f <= most_factor,
                        "print.build_direction_factor = {:.9g} is not allowed; {} to {} is "
                        "(along the build direction over in the layer plane)",
                        f, least_factor, most_factor);
        check_scatter(build_direction_factor->scatter, "build_direction_factor_sd", 1.0);
        check_positive_quantity(build_direction_factor->scatter, f, "build_direction_factor_sd");
    }
}

std::vector<std::string> print_value_keys(const std::optional<PrintEffects>& print) {
    std::vector<std::string> keys;
    if (!print)
        return keys;
    if (print->void_fraction)
        keys.emplace_back("void_fraction_sd");
    if (print->diameter_offset)
        keys.emplace_back("diameter_offset_mm");
    if (print->diameter_offset && print->diameter_offset->scatter)
        keys.emplace_back("diameter_offset_sd_mm");
    if (print->build_direction_factor)
        keys.emplace_back("build_direction_factor");
    if (print->build_direction_factor && print->build_direction_factor->scatter)
        keys.emplace_back("build_direction_factor_sd");
    return keys;
}

std::vector<std::string> print_notes(const std::optional<PrintEffects>& print) {
    std::vector<std::string> notes;
    if (print && print->diameter_offset && std::abs(print->diameter_offset->mean) > 0.5e-3)
        notes.push_back(fmt::format("a diameter offset of {:.3g} mm is outside -0.5 to 0.5 mm, "
                                    "what printers of lattices show",
                                    print->diameter_offset->mean / units::mm));
    if (print && print->build_direction_factor) {
        const double f = print->build_direction_factor->mean;
        if (!(f >= 0.3 && f <= 1.5))
            notes.push_back(fmt::format("a build-direction factor of {:.3g} is outside 0.3 to 1.5, "
                                        "what printed elastomers show",
                                        f));
    }
    return notes;
}

double factor_at_angle(double factor, double cosine) {
    const double c2 = cosine * cosine;
    return 1.0 / (c2 / factor + (1.0 - c2));
}

} // namespace cellgrade
