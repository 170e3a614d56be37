// SPDX-License-Identifier: Apache-2.0
#include "solver/report/relaxation_panel.hpp"

#include "solver/report/plot_axis.hpp"
#include "solver/report/plot_style.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double key_size = 11.0, key_line = 17.0;
const Stroke fit_stroke{.colour = "#222222", .width = 1.6};

bool has_logarithm(double value) {
    return std::isfinite(value) && value > 0.0;
}

/// Grows to hold every pair that can be drawn.
struct Range {
    double time_low = HUGE_VAL, time_high = 0.0, low = HUGE_VAL, high = 0.0;

    void hold(const std::vector<double>& time, const std::vector<double>& value) {
        for (std::size_t i = 0; i < std::min(time.size(), value.size()); ++i) {
            if (!has_logarithm(time[i]) || !has_logarithm(value[i]))
                continue;
            time_low = std::min(time_low, time[i]);
            time_high = std::max(time_high, time[i]);
            low = std::min(low, value[i]);
            high = std::max(high, value[i]);
        }
    }
};

struct Frame {
    Pixel corner, size;
    PlotAxis time, modulus;
    double unit_Pa;
};

std::vector<Pixel>
points(const Frame& f, const std::vector<double>& time, const std::vector<double>& value) {
    std::vector<Pixel> out;
    for (std::size_t i = 0; i < std::min(time.size(), value.size()); ++i)
        if (has_logarithm(time[i]) && has_logarithm(value[i]))
            out.push_back({f.corner.x + f.time.share(time[i]) * f.size.x,
                           f.corner.y + (1.0 - f.modulus.share(value[i] / f.unit_Pa)) * f.size.y});
    return out;
}

void draw_axes(Svg& svg, const Frame& f, const RelaxationPanel& panel) {
    const Stroke grid{.colour = grid_colour};
    for (const Tick& tick : axis_ticks(f.time, 5)) {
        const double x = f.corner.x + f.time.share(tick.value) * f.size.x;
        svg.line({x, f.corner.y}, {x, f.corner.y + f.size.y}, grid);
        svg.text({x, f.corner.y + f.size.y + 17.0}, tick.label,
                 {.size = 11.5, .anchor = Anchor::Middle, .colour = quiet_colour});
    }
    for (const Tick& tick : axis_ticks(f.modulus, 5)) {
        const double y = f.corner.y + (1.0 - f.modulus.share(tick.value)) * f.size.y;
        svg.line({f.corner.x, y}, {f.corner.x + f.size.x, y}, grid);
        svg.text({f.corner.x - 7.0, y + 4.0}, tick.label,
                 {.size = 11.5, .anchor = Anchor::End, .colour = quiet_colour});
    }
    const Stroke edge{.colour = edge_colour};
    svg.line(f.corner, {f.corner.x, f.corner.y + f.size.y}, edge);
    svg.line({f.corner.x, f.corner.y + f.size.y}, {f.corner.x + f.size.x, f.corner.y + f.size.y},
             edge);
    svg.text({f.corner.x, f.corner.y - 10.0}, panel.name, {.size = 13.0, .bold = true});
    svg.text({f.corner.x + 0.5 * f.size.x, f.corner.y + f.size.y + 37.0}, panel.time_name,
             {.size = 12.5, .anchor = Anchor::Middle});
    svg.text({f.corner.x - 48.0, f.corner.y + 0.5 * f.size.y},
             fmt::format("modulus [{}]", f.unit_Pa < 1e6 ? "kPa" : "MPa"),
             {.size = 12.5, .anchor = Anchor::Middle, .upward = true});
}

/// Within a decade a log axis would waste the panel.
PlotAxis modulus_axis(double low, double high) {
    return high < 10.0 * low ? axis_from_zero(high, 5) : log_axis(low, high * 1.0001);
}

std::string colour_of(std::size_t place) {
    return curve_stroke({}, {}, place).colour;
}

bool any_loss(const RelaxationPanel& panel) {
    return std::any_of(panel.readings.begin(), panel.readings.end(),
                       [](const RelaxationReadings& r) { return !r.loss_Pa.empty(); });
}

double key_width(const RelaxationPanel& panel) {
    double width = text_width("fitted series, loss", key_size);
    for (const RelaxationReadings& r : panel.readings)
        width = std::max(width, text_width(r.label, key_size));
    return width + 44.0;
}

void draw_key(Svg& svg, Pixel at, const RelaxationPanel& panel) {
    const auto words = [&](const std::string& text) {
        svg.text({at.x + 30.0, at.y + 4.0}, text, {.size = key_size});
        at.y += key_line;
    };
    svg.line(at, {at.x + 22.0, at.y}, fit_stroke);
    words("fitted series");
    const bool loss = any_loss(panel);
    if (loss) {
        Stroke dashed = fit_stroke;
        dashed.dashes = "5 3";
        svg.line(at, {at.x + 22.0, at.y}, dashed);
        words("fitted series, loss");
    }
    for (std::size_t k = 0; k < panel.readings.size(); ++k) {
        if (panel.readings[k].label.empty())
            continue;
        svg.circle({at.x + 11.0, at.y}, 2.6, colour_of(k), {.colour = colour_of(k), .width = 0.0});
        words(panel.readings[k].label);
    }
    if (loss) {
        svg.circle({at.x + 11.0, at.y}, 2.6, "none", {.colour = quiet_colour, .width = 1.2});
        words("rings: loss");
    }
}

} // namespace

bool RelaxationPanel::empty() const {
    Range range;
    for (const RelaxationReadings& r : readings)
        range.hold(r.time_s, r.modulus_Pa);
    return range.high == 0.0;
}

void draw_relaxation(Svg& svg, Pixel corner, Pixel size, const RelaxationPanel& panel) {
    Range range;
    for (const RelaxationReadings& r : panel.readings) {
        range.hold(r.time_s, r.modulus_Pa);
        range.hold(r.time_s, r.loss_Pa);
    }
    const double key = key_width(panel);
    const double unit = range.high < 0.2e6 ? 1e3 : 1e6;
    const Frame f{.corner = corner,
                  .size = {size.x - key, size.y},
                  .time = log_axis(range.time_low, range.time_high * 1.0001),
                  .modulus = modulus_axis(range.low / unit, range.high / unit),
                  .unit_Pa = unit};
    draw_axes(svg, f, panel);
    svg.begin_clip(f.corner, f.size);
    for (std::size_t k = 0; k < panel.readings.size(); ++k) {
        const RelaxationReadings& r = panel.readings[k];
        for (const Pixel& p : points(f, r.time_s, r.modulus_Pa))
            svg.circle(p, 2.6, colour_of(k), {.colour = colour_of(k), .width = 0.0});
        for (const Pixel& p : points(f, r.time_s, r.loss_Pa))
            svg.circle(p, 2.6, "none", {.colour = colour_of(k), .width = 1.2});
    }
    svg.polyline(points(f, panel.fit_time_s, panel.fit_modulus_Pa), fit_stroke);
    Stroke dashed = fit_stroke;
    dashed.dashes = "5 3";
    svg.polyline(points(f, panel.fit_time_s, panel.fit_loss_Pa), dashed);
    svg.end_clip();
    draw_key(svg, {corner.x + f.size.x + 14.0, corner.y + 10.0}, panel);
}

} // namespace cellgrade
