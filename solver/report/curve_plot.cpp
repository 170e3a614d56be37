// SPDX-License-Identifier: Apache-2.0
#include "solver/report/curve_plot.hpp"

#include "solver/core/error.hpp"
#include "solver/report/plot_curves.hpp"
#include "solver/report/plot_style.hpp"
#include "solver/report/svg.hpp"
#include "solver/results/provenance.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace cellgrade {

namespace {

constexpr double left = 66.0, right = 18.0; // room for the stress axis; outer edge
constexpr double gap = 16.0;                // between panels
constexpr double panel_head = 42.0;         // room for the name of a panel and labels under it
constexpr double key_column = 118.0;        // room for what a line of the legend is about
constexpr double foot = 46.0;               // room for the strain axis
constexpr double relaxation_height = 260.0;

struct Panel {
    std::string name;
    std::vector<NumberedCurve> curves;
};

/// What stands in the legend: a sample of `width` px, drawn at its left middle, and words.
struct Key {
    enum class Kind { Density, Speed, Densification, Untrusted, Unloading, Band } kind;
    std::size_t place;
    std::string words;
};

std::vector<Panel> sorted_panels(const CurvePlot& plot) {
    std::vector<Panel> panels;
    for (std::size_t i = 0; i < plot.curves.size(); ++i) {
        const PlotCurve& curve = plot.curves[i];
        auto found = std::find_if(panels.begin(), panels.end(),
                                  [&](const Panel& p) { return p.name == curve.panel; });
        if (found == panels.end())
            found = panels.insert(panels.end(), {curve.panel, {}});
        found->curves.push_back({&curve, i});
    }
    return panels;
}

std::size_t column_count(std::size_t panels) {
    if (panels <= 3)
        return panels;
    return panels == 4 ? 2 : 3;
}

PlotAxis strain_axis(const CurvePlot& plot) {
    double largest = 0.0, smallest = 0.0;
    for (const PlotCurve& curve : plot.curves)
        for (const double strain : curve.curve.nominal_strain)
            if (std::isfinite(strain)) {
                largest = std::max(largest, strain);
                smallest = std::min(smallest, strain);
            }
    const double low = smallest > -0.02 * largest ? 0.0 : smallest;
    return {.low = 0.05 * std::floor(low / 0.05 + 1e-9),
            .high = std::max(0.05 * std::ceil(largest / 0.05 - 1e-9), 0.05)};
}

/// Past densification a curve runs up without end and would press the plateaus flat: the linear
/// axis stops at 2.5 times the largest densification stress [Pa]. Infinite when no curve gets
/// there.
double densification_top(const CurvePlot& plot) {
    double largest = 0.0;
    for (const PlotCurve& curve : plot.curves)
        if (const auto stress = loading_stress(curve.curve, curve.densification_strain))
            largest = std::max(largest, *stress);
    return largest > 0.0 ? 2.5 * largest : std::numeric_limits<double>::infinity();
}

/// Log axes start at the lowest stress past 2 % strain: the rise from zero has no logarithm.
PlotAxis stress_axis(const CurvePlot& plot, const PlotStyle& style) {
    double largest = 0.0, smallest = std::numeric_limits<double>::infinity(), below = 0.0;
    for (const PlotCurve& curve : plot.curves)
        for (std::size_t i = 0; i < curve.curve.nominal_strain.size(); ++i) {
            const double stress = curve.curve.nominal_stress_Pa[i] / style.stress_unit_Pa;
            if (!std::isfinite(stress))
                continue;
            largest = std::max(largest, stress);
            below = std::min(below, stress);
            if (stress > 0.0 && curve.curve.nominal_strain[i] >= 0.02 &&
                static_cast<Index>(i) < curve.curve.turn)
                smallest = std::min(smallest, stress);
        }
    for (const PlotBand& band : plot.bands)
        for (std::size_t i = 0; i < band.strain.size(); ++i) {
            largest = std::max(largest, band.high_Pa[i] / style.stress_unit_Pa);
            below = std::min(below, band.low_Pa[i] / style.stress_unit_Pa);
        }
    CELLGRADE_CHECK(largest > 0.0, "no curve has a stress above 0; nothing to draw");
    if (plot.stress_scale == AxisScale::Linear)
        return axis_about_zero(
            below, std::min(largest, densification_top(plot) / style.stress_unit_Pa), 5);
    return log_axis(std::clamp(smallest, 1e-5 * largest, 0.5 * largest), largest);
}

/// Says how far the curves go that leave through the top; nothing when none does.
std::string cut_note(const CurvePlot& plot, const PlotStyle& style) {
    double largest = 0.0;
    for (const PlotCurve& curve : plot.curves)
        for (const double stress : curve.curve.nominal_stress_Pa)
            if (std::isfinite(stress))
                largest = std::max(largest, stress / style.stress_unit_Pa);
    if (plot.stress_scale == AxisScale::Log || largest <= stress_axis(plot, style).high)
        return "";
    return fmt::format("Curves that leave through the top go on, the furthest to {:.3g} {}.",
                       largest, style.stress_unit);
}

std::vector<Key> legend_keys(const CurvePlot& plot, const PlotStyle& style) {
    std::vector<Key> keys;
    for (std::size_t i = 0; i < style.densities.size(); ++i)
        keys.push_back({Key::Kind::Density, i, fmt::format("{:.3g}", style.densities[i])});
    if (style.speeds.size() > 1)
        for (std::size_t i = 0; i < style.speeds.size(); ++i)
            keys.push_back(
                {Key::Kind::Speed, i, style.speeds[i].empty() ? "speed unknown" : style.speeds[i]});
    bool densification = false, untrusted = false, unloading = false;
    for (const PlotCurve& curve : plot.curves) {
        densification = densification || std::isfinite(curve.densification_strain);
        untrusted = untrusted || !curve.trusted;
        unloading =
            unloading || curve.curve.turn < static_cast<Index>(curve.curve.nominal_strain.size());
    }
    if (densification)
        keys.push_back({Key::Kind::Densification, 0, "densification"});
    if (unloading)
        keys.push_back({Key::Kind::Unloading, 0, "unloading"});
    for (const PlotBand& band : plot.bands)
        if (std::none_of(keys.begin(), keys.end(),
                         [&](const Key& key) { return key.words == band.label; }))
            keys.push_back({Key::Kind::Band, 0, band.label});
    if (untrusted)
        keys.push_back({Key::Kind::Untrusted, 0, "untrusted: a limit was not met"});
    return keys;
}

void draw_key(Svg& svg, const PlotStyle& style, const Key& key, Pixel at) {
    Stroke stroke{.colour = "#444444", .width = 2.0};
    if (key.kind == Key::Kind::Density)
        stroke.colour = density_colour(style, style.densities[key.place]);
    if (key.kind == Key::Kind::Density)
        stroke.width = 4.0;
    if (key.kind == Key::Kind::Speed)
        stroke.dashes = speed_dashes(key.place);
    if (key.kind == Key::Kind::Untrusted)
        stroke = {.colour = "#444444", .width = 1.4, .dashes = untrusted_dashes, .opacity = 0.75};
    if (key.kind == Key::Kind::Unloading)
        stroke.width = 1.0;
    if (key.kind == Key::Kind::Band)
        stroke = {.colour = band_colour, .width = 10.0};
    if (key.kind != Key::Kind::Densification)
        svg.line(at, {at.x + 30.0, at.y}, stroke);
    if (key.kind == Key::Kind::Speed)
        draw_marker(svg, {at.x + 15.0, at.y}, key.place, "#444444");
    if (key.kind == Key::Kind::Densification)
        draw_densification(svg, {at.x + 22.0, at.y}, "#444444");
    svg.text({at.x + 36.0, at.y + 4.2}, key.words, {.size = 12.0});
}

/// One line of the legend is about one thing.
std::string_view key_head(const Key& key) {
    if (key.kind == Key::Kind::Density)
        return "relative density";
    return key.kind == Key::Kind::Speed ? "speed" : "marks";
}

/// Lays the legend out in lines; draws it when `svg` is given. @return its height
double legend(Svg* svg, const CurvePlot& plot, const PlotStyle& style, double top) {
    const std::vector<Key> keys = legend_keys(plot, style);
    if (keys.empty())
        return 0.0;
    Pixel at{left + key_column, top + 9.0};
    for (std::size_t i = 0; i < keys.size(); ++i) {
        const double width = 36.0 + text_width(keys[i].words, 12.0) + 18.0;
        const bool new_head = i == 0 || key_head(keys[i]) != key_head(keys[i - 1]);
        if (i > 0 && (new_head || at.x + width > plot.width_px - right))
            at = {left + key_column, at.y + 21.0};
        if (svg != nullptr && new_head)
            svg->text({left, at.y + 4.2}, key_head(keys[i]),
                      {.size = 12.0, .colour = quiet_colour});
        if (svg != nullptr)
            draw_key(*svg, style, keys[i], at);
        at.x += width;
    }
    return at.y - top + 16.0;
}

struct Neighbours {
    bool first_column, lowest;
};

void draw_frame(Svg& svg, const PlotFrame& frame, const std::string& name, Neighbours where) {
    const Pixel corner = frame.corner, size = frame.size;
    if (!name.empty())
        svg.text({corner.x, corner.y - 24.0}, name, {.size = 13.0, .bold = true});
    const Stroke grid{.colour = grid_colour};
    for (const Tick& tick : axis_ticks(frame.strain, 5)) {
        const double x = corner.x + frame.strain.share(tick.value) * size.x;
        svg.line({x, corner.y}, {x, corner.y + size.y}, grid);
        if (where.lowest)
            svg.text({x, corner.y + size.y + 17.0}, tick.label,
                     {.size = 11.5, .anchor = Anchor::Middle, .colour = quiet_colour});
    }
    for (const Tick& tick : axis_ticks(frame.stress, 5)) {
        const double y = corner.y + (1.0 - frame.stress.share(tick.value)) * size.y;
        svg.line({corner.x, y}, {corner.x + size.x, y}, grid);
        if (where.first_column)
            svg.text({corner.x - 7.0, y + 4.0}, tick.label,
                     {.size = 11.5, .anchor = Anchor::End, .colour = quiet_colour});
    }
    const auto rest = [&](double share) { return share > 0.0 && share < 1.0; };
    if (const double zero = frame.strain.share(0.0); rest(zero))
        svg.line({corner.x + zero * size.x, corner.y},
                 {corner.x + zero * size.x, corner.y + size.y}, {.colour = edge_colour});
    if (const double zero = frame.stress.scale == AxisScale::Linear ? frame.stress.share(0.0) : 0.0;
        rest(zero))
        svg.line({corner.x, corner.y + (1.0 - zero) * size.y},
                 {corner.x + size.x, corner.y + (1.0 - zero) * size.y}, {.colour = edge_colour});
    svg.line({corner.x, corner.y}, {corner.x, corner.y + size.y}, {.colour = edge_colour});
    svg.line({corner.x, corner.y + size.y}, {corner.x + size.x, corner.y + size.y},
             {.colour = edge_colour});
}

void draw_axis_names(Svg& svg,
                     const CurvePlot& plot,
                     const PlotFrame& frame,
                     const PlotStyle& style,
                     Neighbours where) {
    const Pixel middle{frame.corner.x + 0.5 * frame.size.x, frame.corner.y + 0.5 * frame.size.y};
    if (where.lowest)
        svg.text({middle.x, frame.corner.y + frame.size.y + 37.0}, plot.strain_name + " [-]",
                 {.size = 12.5, .anchor = Anchor::Middle});
    if (where.first_column)
        svg.text({frame.corner.x - 48.0, middle.y},
                 fmt::format("{} [{}]", plot.stress_name, style.stress_unit),
                 {.size = 12.5, .anchor = Anchor::Middle, .upward = true});
}

/// Longest end label, for which every panel keeps room at its right.
double label_room(const CurvePlot& plot, const PlotStyle& style) {
    double room = 0.0;
    for (const PlotCurve& curve : plot.curves)
        room = std::max(room, text_width(end_words(style, curve), 11.0));
    return std::min(room + 14.0, 0.25 * plot.width_px);
}

struct Layout {
    std::size_t columns, rows;
    Pixel panel;           ///< size of one
    double top;            ///< of the first panel
    double room;           ///< for labels at the right of each
    double relaxation_top; ///< of the relaxation panel, if there is one
    double height;
    std::vector<std::string> notes; ///< at the foot, the caution last
};

Layout laid_out(const CurvePlot& plot, const PlotStyle& style, const std::vector<Panel>& panels) {
    Layout layout{};
    const double title = 40.0 + (plot.subtitle.empty() ? 0.0 : 20.0);
    layout.top = title + legend(nullptr, plot, style, title) + panel_head;
    layout.notes = wrapped(caution_text(), plot.width_px - left - right, 10.5);
    double end = title + 12.0;
    if (!panels.empty()) {
        layout.columns = column_count(panels.size());
        layout.rows = (panels.size() + layout.columns - 1) / layout.columns;
        layout.room = label_room(plot, style);
        const auto n = static_cast<double>(layout.columns);
        layout.panel.x = (plot.width_px - left - right - (n - 1.0) * gap - n * layout.room) / n;
        layout.panel.y =
            std::clamp((layout.columns == 1 ? 0.55 : 1.05) * layout.panel.x, 180.0, 460.0);
        if (const std::string note = cut_note(plot, style); !note.empty())
            layout.notes.insert(layout.notes.begin(), note);
        const auto rows = static_cast<double>(layout.rows);
        end = layout.top + rows * layout.panel.y + (rows - 1.0) * (panel_head + gap) + foot;
    }
    layout.relaxation_top = end + panel_head;
    if (!plot.relaxation.empty())
        end = layout.relaxation_top + relaxation_height + foot;
    layout.height = end + 14.0 * static_cast<double>(layout.notes.size()) + 12.0;
    return layout;
}

bool can_be_drawn(const PlotCurve& curve) {
    return curve.curve.nominal_strain.size() > 1;
}

void draw_panels(Svg& svg,
                 const CurvePlot& plot,
                 const PlotStyle& style,
                 const std::vector<Panel>& panels,
                 const Layout& layout) {
    PlotFrame frame{
        .size = layout.panel, .strain = strain_axis(plot), .stress = stress_axis(plot, style)};
    for (std::size_t i = 0; i < panels.size(); ++i) {
        const auto column = static_cast<double>(i % layout.columns);
        const auto row = static_cast<double>(i / layout.columns);
        frame.corner = {left + column * (layout.panel.x + layout.room + gap),
                        layout.top + row * (layout.panel.y + panel_head + gap)};
        const Neighbours where{.first_column = i % layout.columns == 0,
                               .lowest = i + layout.columns >= panels.size()};
        draw_frame(svg, frame, panels[i].name, where);
        draw_axis_names(svg, plot, frame, style, where);
        for (const PlotBand& band : plot.bands)
            if (band.panel == panels[i].name)
                draw_band(svg, frame, style, band);
        draw_curves(svg, frame, style, panels[i].curves);
    }
}

} // namespace

std::string curve_plot_svg(const CurvePlot& plot) {
    CELLGRADE_CHECK(plot.width_px >= 300.0, "a picture of {} px is too narrow; 300 are needed",
                    plot.width_px);
    for (const PlotCurve& curve : plot.curves)
        CELLGRADE_CHECK(curve.curve.nominal_strain.size() == curve.curve.nominal_stress_Pa.size(),
                        "curve '{}' has columns of different lengths", curve.label);
    const bool curves = std::any_of(plot.curves.begin(), plot.curves.end(), can_be_drawn);
    CELLGRADE_CHECK(curves || (plot.curves.empty() && !plot.relaxation.empty()),
                    "no curve of two points; nothing to draw");
    const PlotStyle style = plot_style(plot);
    const std::vector<Panel> panels = sorted_panels(plot);
    const Layout layout = laid_out(plot, style, panels);
    Svg svg(plot.width_px, layout.height, plot.title);
    svg.text({left, 28.0}, plot.title, {.size = 17.0, .bold = true});
    svg.text({left, 48.0}, plot.subtitle, {.size = 12.5, .colour = quiet_colour});
    (void)legend(&svg, plot, style, 40.0 + (plot.subtitle.empty() ? 0.0 : 20.0));
    if (curves)
        draw_panels(svg, plot, style, panels, layout);
    if (!plot.relaxation.empty())
        draw_relaxation(svg, {left, layout.relaxation_top},
                        {plot.width_px - left - right, relaxation_height}, plot.relaxation);
    double y = layout.height - 12.0 - 14.0 * static_cast<double>(layout.notes.size() - 1);
    for (const std::string& line : layout.notes) {
        svg.text({left, y}, line, {.size = 10.5, .colour = quiet_colour});
        y += 14.0;
    }
    return svg.finish();
}

namespace {

/// "octet", "octet, [110], sheared at 0.2": what the curves of one panel have in common.
std::string panel_name(const GradeCase& grade) {
    const std::string condition = condition_text(grade);
    return condition.empty() ? grade.cell : fmt::format("{}, {}", grade.cell, condition);
}

/// The curve to draw: of a sheared row the shear, from where it begins.
CrushCurve drawn_curve(const GradeRow& row) {
    if (row.grade.load != CaseLoad::Shear)
        return row.curve;
    CrushCurve shear;
    for (std::size_t i = 0; i < row.curve.shear_strain.size(); ++i) {
        const bool before =
            i + 1 < row.curve.shear_strain.size() && row.curve.shear_strain[i + 1] <= 0.0;
        if (before)
            continue;
        shear.nominal_strain.push_back(row.curve.shear_strain[i]);
        shear.nominal_stress_Pa.push_back(row.curve.shear_stress_Pa[i]);
    }
    shear.turn = static_cast<Index>(shear.nominal_strain.size());
    return shear;
}

} // namespace

CurvePlot curve_plot_of(const GradeTable& table) {
    CurvePlot plot{.title = table.study_name.empty() ? "Crush curves" : table.study_name};
    bool sheared = false, pressed = false;
    for (const GradeRow& row : table.rows) {
        CrushCurve curve = drawn_curve(row);
        if (curve.nominal_strain.size() < 2)
            continue;
        (row.grade.load == CaseLoad::Shear ? sheared : pressed) = true;
        plot.curves.push_back({.curve = std::move(curve),
                               .panel = panel_name(row.grade),
                               .label = grade_label(row.grade),
                               .relative_density = row.grade.relative_density,
                               .speed_m_per_s = row.grade.speed_m_per_s,
                               .strain_rate_per_s = row.grade.strain_rate_per_s,
                               .densification_strain = row.traits.densification_strain,
                               .trusted = row.status == "trusted"});
    }
    if (sheared) {
        plot.strain_name = pressed ? "nominal or shear strain" : "shear strain";
        plot.stress_name = pressed ? "nominal or shear stress" : "shear stress";
    }
    return plot;
}

} // namespace cellgrade
