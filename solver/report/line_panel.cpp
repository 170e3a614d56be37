// SPDX-License-Identifier: Apache-2.0
#include "solver/report/line_panel.hpp"

#include "solver/core/error.hpp"
#include "solver/report/plot_axis.hpp"
#include "solver/report/plot_style.hpp"
#include "solver/results/provenance.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double key_size = 11.0, key_line = 17.0;
constexpr double far_above = 2.0; // a level over the highest line
constexpr double panel_width = 430.0, panel_height = 300.0, margin = 66.0, caution_size = 11.0;

struct Largest {
    double x = 0.0, y = 0.0;
};

Largest largest_of(const LinePanel& panel) {
    Largest largest;
    for (const PanelLine& line : panel.lines)
        for (std::size_t i = 0; i < std::min(line.x.size(), line.y.size()); ++i)
            if (std::isfinite(line.x[i]) && std::isfinite(line.y[i])) {
                largest.x = std::max(largest.x, line.x[i]);
                largest.y = std::max(largest.y, line.y[i]);
            }
    return largest;
}

Stroke stroke_of(const std::vector<PanelLine>& lines, std::size_t place) {
    Stroke stroke{.colour = curve_stroke({}, {}, place).colour, .width = 1.8};
    if (lines[place].doubtful) {
        stroke.dashes = untrusted_dashes;
        stroke.opacity = 0.6;
    }
    return stroke;
}

void draw_ticks(Svg& svg, Pixel corner, Pixel size, const PlotAxis& x, const PlotAxis& y) {
    const Stroke grid{.colour = grid_colour};
    for (const Tick& tick : axis_ticks(x, 5)) {
        const double at = corner.x + x.share(tick.value) * size.x;
        svg.line({at, corner.y}, {at, corner.y + size.y}, grid);
        svg.text({at, corner.y + size.y + 17.0}, tick.label,
                 {.size = 11.5, .anchor = Anchor::Middle, .colour = quiet_colour});
    }
    for (const Tick& tick : axis_ticks(y, 5)) {
        const double at = corner.y + (1.0 - y.share(tick.value)) * size.y;
        svg.line({corner.x, at}, {corner.x + size.x, at}, grid);
        svg.text({corner.x - 7.0, at + 4.0}, tick.label,
                 {.size = 11.5, .anchor = Anchor::End, .colour = quiet_colour});
    }
    const Stroke edge{.colour = edge_colour};
    svg.line(corner, {corner.x, corner.y + size.y}, edge);
    svg.line({corner.x, corner.y + size.y}, {corner.x + size.x, corner.y + size.y}, edge);
}

} // namespace

bool LinePanel::empty() const {
    const Largest largest = largest_of(*this);
    return !(largest.x > 0.0 && largest.y > 0.0);
}

std::vector<double> thinned(const std::vector<double>& values, double unit) {
    constexpr std::size_t most_points = 1000;
    const std::size_t stride = values.size() / most_points + 1;
    std::vector<double> kept;
    for (std::size_t i = 0; i < values.size(); i += stride)
        kept.push_back(values[i] / unit);
    if (!values.empty())
        kept.push_back(values.back() / unit);
    return kept;
}

void draw_line_panel(Svg& svg, Pixel corner, Pixel size, const LinePanel& panel) {
    Largest largest = largest_of(panel);
    const double highest_line = largest.y;
    for (const PanelLevel& level : panel.levels)
        if (level.y <= far_above * highest_line)
            largest.y = std::max(largest.y, level.y);
    const PlotAxis x = axis_from_zero(largest.x, 5), y = axis_from_zero(largest.y, 5);
    draw_ticks(svg, corner, size, x, y);
    svg.text({corner.x, corner.y - 10.0}, panel.name, {.size = 13.0, .bold = true});
    svg.text({corner.x + 0.5 * size.x, corner.y + size.y + 37.0}, panel.x_name,
             {.size = 12.5, .anchor = Anchor::Middle});
    svg.text({corner.x - 48.0, corner.y + 0.5 * size.y}, panel.y_name,
             {.size = 12.5, .anchor = Anchor::Middle, .upward = true});
    const auto at = [&](double px, double py) {
        return Pixel{corner.x + x.share(px) * size.x, corner.y + (1.0 - y.share(py)) * size.y};
    };
    for (const PanelLevel& level : panel.levels) {
        const bool inside = level.y <= y.high;
        const Pixel left = at(0.0, inside ? level.y : y.high);
        if (inside)
            svg.line(left, {corner.x + size.x, left.y}, {.colour = quiet_colour, .dashes = "3 3"});
        svg.text({corner.x + size.x - 4.0, left.y + (inside ? -4.0 : 13.0)},
                 level.label + (inside ? "" : ", above the picture"),
                 {.size = 11.0, .anchor = Anchor::End, .colour = quiet_colour, .halo = true});
    }
    svg.begin_clip(corner, size);
    for (std::size_t k = 0; k < panel.lines.size(); ++k) {
        const PanelLine& line = panel.lines[k];
        std::vector<Pixel> points;
        for (std::size_t i = 0; i < std::min(line.x.size(), line.y.size()); ++i)
            if (std::isfinite(line.x[i]) && std::isfinite(line.y[i]))
                points.push_back(at(line.x[i], line.y[i]));
        svg.polyline(points, stroke_of(panel.lines, k));
    }
    svg.end_clip();
}

double draw_line_key(Svg& svg, Pixel at, const std::vector<PanelLine>& lines) {
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const double y = at.y + key_line * double(k);
        svg.line({at.x, y}, {at.x + 22.0, y}, stroke_of(lines, k));
        svg.text({at.x + 30.0, y + 4.0}, lines[k].label, {.size = key_size});
    }
    return key_line * double(lines.size());
}

std::string line_panels_svg(const std::string& title,
                            const std::string& subtitle,
                            const std::vector<LinePanel>& panels) {
    std::vector<LinePanel> drawn;
    for (const LinePanel& panel : panels)
        if (!panel.empty())
            drawn.push_back(panel);
    CELLGRADE_CHECK(!drawn.empty(), "a picture needs a line of two points");
    const double width = margin + double(drawn.size()) * (panel_width + margin);
    const std::vector<std::string> caution = wrapped(caution_text(), width - 48.0, caution_size);
    const double below = 96.0 + panel_height + 60.0;
    const double foot = below + key_line * double(drawn.front().lines.size()) + 10.0;
    Svg svg(width, foot + 16.0 * double(caution.size()) + 12.0, title);
    svg.text({24.0, 30.0}, title, {.size = 17.0, .bold = true});
    svg.text({24.0, 52.0}, subtitle, {.size = 12.0, .colour = quiet_colour});
    for (std::size_t k = 0; k < drawn.size(); ++k)
        draw_line_panel(svg, {margin + double(k) * (panel_width + margin), 96.0},
                        {panel_width, panel_height}, drawn[k]);
    draw_line_key(svg, {margin, below}, drawn.front().lines);
    for (std::size_t i = 0; i < caution.size(); ++i)
        svg.text({24.0, foot + 16.0 * double(i) + 10.0}, caution[i],
                 {.size = caution_size, .colour = quiet_colour});
    return svg.finish();
}

} // namespace cellgrade
