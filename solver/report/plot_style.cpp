// SPDX-License-Identifier: Apache-2.0
#include "solver/report/plot_style.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace cellgrade {

namespace {

using Rgb = std::array<double, 3>;

// Four points of the viridis map (public domain, CC0; from memory), its pale end left out: light
// lines on white paper are hard to see. Even in lightness, so it also works in grey.
constexpr std::array<Rgb, 4> ramp{
    {{68.0, 1.0, 84.0}, {59.0, 82.0, 139.0}, {33.0, 145.0, 140.0}, {94.0, 190.0, 90.0}}};

// Okabe & Ito (2008), Color Universal Design; without the yellow, too pale on white.
constexpr std::array<const char*, 7> categories{"#0072b2", "#d55e00", "#009e73", "#cc79a7",
                                                "#e69f00", "#56b4e9", "#000000"};

constexpr std::array<const char*, 4> dash_lists{"", "10 3 2 3", "2 3", "14 3 2 3 2 3"};

std::string hex_colour(const Rgb& colour) {
    return fmt::format("#{:02x}{:02x}{:02x}", static_cast<int>(std::lround(colour[0])),
                       static_cast<int>(std::lround(colour[1])),
                       static_cast<int>(std::lround(colour[2])));
}

std::string ramp_colour(double share) {
    const double at = std::clamp(share, 0.0, 1.0) * (ramp.size() - 1);
    const std::size_t below = std::min(static_cast<std::size_t>(at), ramp.size() - 2);
    const double t = at - static_cast<double>(below);
    Rgb mixed{};
    for (std::size_t i = 0; i < 3; ++i)
        mixed[i] = (1.0 - t) * ramp[below][i] + t * ramp[below + 1][i];
    return hex_colour(mixed);
}

double speed_order(const PlotCurve& curve) {
    const double speed =
        std::isfinite(curve.speed_m_per_s) ? curve.speed_m_per_s : curve.strain_rate_per_s;
    return std::isfinite(speed) ? speed : -1.0;
}

double largest_stress(const CurvePlot& plot) {
    double largest = 0.0;
    for (const PlotCurve& curve : plot.curves)
        for (const double stress : curve.curve.nominal_stress_Pa)
            if (std::isfinite(stress))
                largest = std::max(largest, stress);
    return largest;
}

} // namespace

std::string speed_label(const PlotCurve& curve) {
    if (std::isfinite(curve.speed_m_per_s))
        return fmt::format("{:.4g} m/s", curve.speed_m_per_s);
    if (std::isfinite(curve.strain_rate_per_s))
        return fmt::format("{:.4g} 1/s", curve.strain_rate_per_s);
    return "";
}

PlotStyle plot_style(const CurvePlot& plot) {
    PlotStyle style;
    const bool dense = std::all_of(plot.curves.begin(), plot.curves.end(), [](const auto& c) {
        return std::isfinite(c.relative_density) && c.relative_density > 0.0;
    });
    std::vector<const PlotCurve*> by_speed;
    for (const PlotCurve& curve : plot.curves) {
        by_speed.push_back(&curve);
        if (dense)
            style.densities.push_back(curve.relative_density);
    }
    std::sort(style.densities.begin(), style.densities.end());
    style.densities.erase(std::unique(style.densities.begin(), style.densities.end()),
                          style.densities.end());
    std::stable_sort(by_speed.begin(), by_speed.end(), [](const auto* a, const auto* b) {
        return speed_order(*a) < speed_order(*b);
    });
    for (const PlotCurve* curve : by_speed)
        if (const std::string label = speed_label(*curve);
            std::find(style.speeds.begin(), style.speeds.end(), label) == style.speeds.end())
            style.speeds.push_back(label);
    const bool small = largest_stress(plot) < 0.2e6;
    style.stress_unit_Pa = small ? 1e3 : 1e6;
    style.stress_unit = small ? "kPa" : "MPa";
    return style;
}

std::size_t speed_place(const PlotStyle& style, const PlotCurve& curve) {
    const auto found = std::find(style.speeds.begin(), style.speeds.end(), speed_label(curve));
    return static_cast<std::size_t>(found - style.speeds.begin());
}

std::string density_colour(const PlotStyle& style, double density) {
    const auto found = std::find(style.densities.begin(), style.densities.end(), density);
    if (style.densities.size() < 2 || found == style.densities.end())
        return ramp_colour(1.0 / 3.0);
    // By rank and not by value: neighbours stay apart however the densities are spread.
    const double rank = static_cast<double>(found - style.densities.begin());
    return ramp_colour(1.0 - rank / static_cast<double>(style.densities.size() - 1));
}

std::string speed_dashes(std::size_t place) {
    return dash_lists[place % dash_lists.size()];
}

Stroke curve_stroke(const PlotStyle& style, const PlotCurve& curve, std::size_t place) {
    Stroke stroke{.colour = style.densities.empty() ? categories[place % categories.size()]
                                                    : density_colour(style, curve.relative_density),
                  .width = 2.0,
                  .dashes = speed_dashes(speed_place(style, curve))};
    if (curve.is_repeat) {
        stroke.colour = "#666666";
        stroke.width = 1.2;
    }
    if (!curve.trusted) {
        stroke.dashes = untrusted_dashes;
        stroke.width = 1.4;
        stroke.opacity = 0.75;
    }
    return stroke;
}

void draw_marker(Svg& svg, Pixel at, std::size_t place, const std::string& colour) {
    const Stroke edge{.colour = "#ffffff", .width = 0.8};
    constexpr double r = 3.8;
    if (place % 4 == 0)
        svg.circle(at, r, colour, edge);
    else if (place % 4 == 1)
        svg.rect({at.x - r, at.y - r}, {2 * r, 2 * r}, colour, edge);
    else if (place % 4 == 2)
        svg.polygon(
            {{at.x, at.y - 1.3 * r}, {at.x + 1.2 * r, at.y + r}, {at.x - 1.2 * r, at.y + r}},
            colour, edge);
    else
        svg.polygon({{at.x, at.y - 1.4 * r},
                     {at.x + 1.4 * r, at.y},
                     {at.x, at.y + 1.4 * r},
                     {at.x - 1.4 * r, at.y}},
                    colour, edge);
}

void draw_densification(Svg& svg, Pixel at, const std::string& colour) {
    svg.circle(at, 4.6, "#ffffff", {.colour = colour, .width = 2.0});
    svg.circle(at, 1.4, colour, {.colour = colour, .width = 0.0});
}

} // namespace cellgrade
