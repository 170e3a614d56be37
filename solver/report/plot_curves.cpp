// SPDX-License-Identifier: Apache-2.0
#include "solver/report/plot_curves.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

namespace cellgrade {

namespace {

std::size_t loading_rows(const CrushCurve& curve) {
    const std::size_t n = curve.nominal_strain.size();
    return std::min(n, static_cast<std::size_t>(std::max<Index>(curve.turn, 0)));
}

} // namespace

std::optional<double> loading_stress(const CrushCurve& curve, double strain) {
    for (std::size_t i = 1; i < loading_rows(curve); ++i) {
        const double a = curve.nominal_strain[i - 1], b = curve.nominal_strain[i];
        if (!(a <= strain && strain <= b) || a == b)
            continue;
        const double t = (strain - a) / (b - a);
        return (1.0 - t) * curve.nominal_stress_Pa[i - 1] + t * curve.nominal_stress_Pa[i];
    }
    return std::nullopt;
}

std::string end_words(const PlotStyle& style, const PlotCurve& curve) {
    std::string words =
        style.densities.empty() ? curve.label : fmt::format("{:.3g}", curve.relative_density);
    if (!curve.trusted)
        words.append(words.empty() ? "untrusted" : " untrusted");
    return words;
}

namespace {

constexpr double label_size = 11.0;
constexpr double label_distance = 13.0; // between lines of labels
const Stroke leader{.colour = "#888888", .width = 0.6};

struct EndLabel {
    Pixel end; ///< of the curve, or where it leaves through the top
    bool through_top;
    double at; ///< middle of the label: x above the panel, y at its right
    std::string words;
};

/// Place of a point of the curve; nothing for a value that the axes cannot show.
std::optional<Pixel>
pixel_of(const PlotFrame& frame, const PlotStyle& style, double strain, double stress_Pa) {
    const double stress = stress_Pa / style.stress_unit_Pa;
    if (!std::isfinite(strain) || !std::isfinite(stress))
        return std::nullopt;
    if (frame.stress.scale == AxisScale::Log && stress <= 0.0)
        return std::nullopt;
    // Far outside is cut anyway; keep the numbers small.
    const double up = std::clamp(frame.stress.share(stress), -0.2, 1.2);
    return Pixel{frame.corner.x + frame.strain.share(strain) * frame.size.x,
                 frame.corner.y + (1.0 - up) * frame.size.y};
}

/// Points at least half a pixel apart: a picture needs no more, however fine the curve is.
std::vector<Pixel> visible_points(const PlotFrame& frame,
                                  const PlotStyle& style,
                                  const CrushCurve& curve,
                                  std::size_t first,
                                  std::size_t end) {
    std::vector<Pixel> points;
    for (std::size_t i = first; i < end; ++i) {
        const auto p = pixel_of(frame, style, curve.nominal_strain[i], curve.nominal_stress_Pa[i]);
        if (!p)
            continue;
        if (!points.empty() && i + 1 < end &&
            std::hypot(p->x - points.back().x, p->y - points.back().y) < 0.5)
            continue;
        points.push_back(*p);
    }
    return points;
}

bool inside(const PlotFrame& frame, const Pixel& p) {
    return p.x >= frame.corner.x - 1e-6 && p.x <= frame.corner.x + frame.size.x + 1e-6 &&
           p.y >= frame.corner.y - 1e-6 && p.y <= frame.corner.y + frame.size.y + 1e-6;
}

void draw_speed_markers(Svg& svg,
                        const PlotFrame& frame,
                        const PlotStyle& style,
                        const PlotCurve& curve,
                        const std::string& colour) {
    if (style.speeds.size() < 2)
        return;
    const std::size_t place = speed_place(style, curve);
    // Shifted from speed to speed, so that markers of near curves do not lie on each other.
    for (int k = 0; k < 4; ++k) {
        const double strain = 0.10 + 0.13 * k + 0.03 * static_cast<double>(place);
        const auto stress = loading_stress(curve.curve, strain);
        const auto at = stress ? pixel_of(frame, style, strain, *stress) : std::nullopt;
        if (at && inside(frame, *at))
            draw_marker(svg, *at, place, colour);
    }
}

/// Notes where the loading line ends inside the panel; words that are there already are not
/// repeated.
void add_label(const PlotFrame& frame,
               const std::vector<Pixel>& up,
               const std::string& words,
               std::vector<EndLabel>& labels) {
    if (up.empty() || words.empty() ||
        std::any_of(labels.begin(), labels.end(), [&](const auto& l) { return l.words == words; }))
        return;
    for (std::size_t i = 1; i < up.size(); ++i) {
        if (up[i].y >= frame.corner.y || up[i - 1].y < frame.corner.y)
            continue;
        const double t = (up[i - 1].y - frame.corner.y) / (up[i - 1].y - up[i].y);
        const double x = up[i - 1].x + t * (up[i].x - up[i - 1].x);
        labels.push_back({{x, frame.corner.y}, true, x, words});
        return;
    }
    labels.push_back({up.back(), false, up.back().y, words});
}

void draw_one(Svg& svg,
              const PlotFrame& frame,
              const PlotStyle& style,
              const NumberedCurve& numbered,
              std::vector<EndLabel>& labels) {
    const PlotCurve& curve = *numbered.curve;
    const Stroke stroke = curve_stroke(style, curve, numbered.place);
    const std::size_t turn = loading_rows(curve.curve), n = curve.curve.nominal_strain.size();
    const std::vector<Pixel> up = visible_points(frame, style, curve.curve, 0, turn);
    Stroke thin = stroke;
    thin.width *= 0.5;
    svg.polyline(visible_points(frame, style, curve.curve, turn > 0 ? turn - 1 : 0, n), thin);
    svg.polyline(up, stroke);
    add_label(frame, up, end_words(style, curve), labels);
}

/// Moves labels apart along their line, keeping their order and, if they fit, the two ends.
void spread(std::vector<EndLabel>& labels,
            double first,
            double last,
            const std::function<double(const EndLabel&)>& half_length) {
    std::stable_sort(labels.begin(), labels.end(),
                     [](const EndLabel& a, const EndLabel& b) { return a.at < b.at; });
    double free = first;
    for (EndLabel& label : labels) {
        label.at = std::max(label.at, free + half_length(label));
        free = label.at + half_length(label);
    }
    double limit = last;
    for (auto label = labels.rbegin(); label != labels.rend(); ++label) {
        label->at = std::min(label->at, limit - half_length(*label));
        limit = label->at - half_length(*label);
    }
}

void draw_right_labels(Svg& svg, const PlotFrame& frame, std::vector<EndLabel> labels) {
    spread(labels, frame.corner.y, frame.corner.y + frame.size.y,
           [](const EndLabel&) { return 0.5 * label_distance; });
    double x = 0.0;
    for (const EndLabel& label : labels)
        x = std::max(x, label.end.x + 9.0);
    for (const EndLabel& label : labels) {
        svg.line({label.end.x + 2.0, label.end.y}, {x - 2.0, label.at}, leader);
        svg.text({x, label.at + 0.36 * label_size}, label.words,
                 {.size = label_size, .halo = true});
    }
}

void draw_top_labels(Svg& svg, const PlotFrame& frame, std::vector<EndLabel> labels) {
    spread(labels, frame.corner.x, frame.corner.x + frame.size.x + 60.0,
           [](const EndLabel& label) { return 0.5 * text_width(label.words, label_size) + 3.0; });
    for (const EndLabel& label : labels) {
        svg.line(label.end, {label.at, frame.corner.y - 5.0}, leader);
        svg.text({label.at, frame.corner.y - 7.0}, label.words,
                 {.size = label_size, .anchor = Anchor::Middle});
    }
}

void draw_labels(Svg& svg, const PlotFrame& frame, const std::vector<EndLabel>& labels) {
    std::vector<EndLabel> top, side;
    for (const EndLabel& label : labels)
        (label.through_top ? top : side).push_back(label);
    draw_top_labels(svg, frame, top);
    draw_right_labels(svg, frame, side);
}

} // namespace

void draw_band(Svg& svg, const PlotFrame& frame, const PlotStyle& style, const PlotBand& band) {
    std::vector<Pixel> outline, back;
    for (std::size_t i = 0; i < band.strain.size(); ++i) {
        const auto high = pixel_of(frame, style, band.strain[i], band.high_Pa[i]);
        const auto low = pixel_of(frame, style, band.strain[i], band.low_Pa[i]);
        const bool last = i + 1 == band.strain.size();
        if (!high || !low || (!last && !outline.empty() && high->x - outline.back().x < 0.5))
            continue;
        outline.push_back(*high);
        back.push_back(*low);
    }
    if (outline.empty())
        return;
    outline.insert(outline.end(), back.rbegin(), back.rend());
    svg.begin_clip(frame.corner, frame.size);
    svg.polygon(outline, band_colour, {.colour = band_colour, .width = 0.5});
    svg.end_clip();
}

void draw_curves(Svg& svg,
                 const PlotFrame& frame,
                 const PlotStyle& style,
                 const std::vector<NumberedCurve>& curves) {
    std::vector<EndLabel> labels;
    svg.begin_clip(frame.corner, frame.size);
    for (const NumberedCurve& numbered : curves)
        draw_one(svg, frame, style, numbered, labels);
    for (const NumberedCurve& numbered : curves) {
        const PlotCurve& curve = *numbered.curve;
        const std::string colour = curve_stroke(style, curve, numbered.place).colour;
        draw_speed_markers(svg, frame, style, curve, colour);
        const auto stress = loading_stress(curve.curve, curve.densification_strain);
        const auto at =
            stress ? pixel_of(frame, style, curve.densification_strain, *stress) : std::nullopt;
        if (at)
            draw_densification(svg, *at, colour);
    }
    svg.end_clip();
    draw_labels(svg, frame, labels);
}

} // namespace cellgrade
