// SPDX-License-Identifier: Apache-2.0
#include "solver/report/packed_shapes.hpp"
#include "solver/report/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

constexpr double side = 380.0, head = 56.0, edge = 20.0; // of one shape; over it; around it
constexpr double turn_deg = 32.0, tilt_deg = 20.0;       // of the eye

/// A point as the eye sees it: right, up and away, in metres.
struct Seen {
    double right, up, away;
};

Seen seen(const std::array<double, 3>& x) {
    const double turn = turn_deg * std::numbers::pi / 180.0;
    const double tilt = tilt_deg * std::numbers::pi / 180.0;
    const double right = x[0] * std::cos(turn) + x[1] * std::sin(turn);
    const double away = x[1] * std::cos(turn) - x[0] * std::sin(turn);
    return {right, x[2] * std::cos(tilt) + away * std::sin(tilt),
            away * std::cos(tilt) - x[2] * std::sin(tilt)};
}

std::string grey_blue(double light) {
    const double l = std::clamp(light, 0.0, 1.0);
    return fmt::format("#{:02x}{:02x}{:02x}", static_cast<int>(40.0 + 150.0 * l),
                       static_cast<int>(66.0 + 138.0 * l), static_cast<int>(92.0 + 126.0 * l));
}

struct View {
    std::vector<Seen> points;
    double scale = 1.0, right = 0.0, up = 0.0, near = 0.0, deep = 1.0;
    Pixel corner;

    [[nodiscard]] Pixel at(std::size_t point) const {
        return {corner.x + 0.5 * side + scale * (points[point].right - right),
                corner.y + 0.5 * side - scale * (points[point].up - up)};
    }
};

View view_of(const PackedShapes& shapes, std::size_t frame, Pixel corner) {
    View view{.points = {}, .corner = corner};
    for (std::size_t p = 0; p < shapes.n_points; ++p)
        view.points.push_back(seen(shapes.position_m(frame, p)));
    std::array<double, 2> low{1e300, 1e300}, high{-1e300, -1e300};
    double near = 1e300, far = -1e300;
    for (const double sx : {0.0, 1.0})
        for (const double sy : {0.0, 1.0})
            for (const double sz : {0.0, 1.0}) {
                const Seen s = seen({shapes.low_m[0] + sx * shapes.size_m[0],
                                     shapes.low_m[1] + sy * shapes.size_m[1],
                                     shapes.low_m[2] + sz * shapes.size_m[2]});
                low = {std::min(low[0], s.right), std::min(low[1], s.up)};
                high = {std::max(high[0], s.right), std::max(high[1], s.up)};
                near = std::min(near, s.away);
                far = std::max(far, s.away);
            }
    view.scale = (side - 2.0 * edge) / std::max({high[0] - low[0], high[1] - low[1], 1e-12});
    view.right = 0.5 * (low[0] + high[0]);
    view.up = 0.5 * (low[1] + high[1]);
    view.near = near;
    view.deep = std::max(far - near, 1e-12);
    return view;
}

/// Cells from the farthest to the nearest.
std::vector<std::size_t> far_first(const PackedShapes& shapes, const View& view) {
    const std::size_t width = shapes.points_per_cell;
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t cell = 0; cell < shapes.cells.size() / width; ++cell) {
        double away = 0.0;
        for (std::size_t k = 0; k < width; ++k)
            away += view.points[shapes.cells[cell * width + k]].away;
        order.emplace_back(-away, cell);
    }
    std::sort(order.begin(), order.end());
    std::vector<std::size_t> cells;
    for (const auto& each : order)
        cells.push_back(each.second);
    return cells;
}

void draw(Svg& svg, const PackedShapes& shapes, const View& view) {
    const std::size_t width = shapes.points_per_cell;
    for (const std::size_t cell : far_first(shapes, view)) {
        const std::uint32_t* p = &shapes.cells[cell * width];
        const double depth = (view.points[p[0]].away - view.near) / view.deep;
        if (width == 2) {
            svg.polyline({view.at(p[0]), view.at(p[1])},
                         {.colour = grey_blue(depth),
                          .width = std::max(
                              2.0 * view.scale * static_cast<double>(shapes.radius_m[cell]), 0.6)});
            continue;
        }
        const Pixel a = view.at(p[0]), b = view.at(p[1]), c = view.at(p[2]);
        const double facing = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        if (facing < 0.0) // counter-clockwise on paper, y downwards: towards the eye
            svg.polygon({a, b, c}, grey_blue(0.25 + 0.6 * depth),
                        {.colour = "#2a3f55", .width = 0.2});
    }
}

} // namespace

std::string shape_picture_svg(const std::string& title, const PackedShapes& shapes) {
    const auto crushed = static_cast<std::size_t>(
        std::max_element(shapes.nominal_strain.begin(), shapes.nominal_strain.end()) -
        shapes.nominal_strain.begin());
    Svg svg(2.0 * side + edge, head + side, title);
    svg.text({edge, 24.0}, title, {.size = 15.0, .bold = true});
    const std::array<std::size_t, 2> frames{0, crushed};
    for (std::size_t k = 0; k < frames.size(); ++k) {
        const Pixel corner{static_cast<double>(k) * (side + edge), head};
        svg.text({corner.x + edge, head - 8.0},
                 fmt::format("at a nominal strain of {:.3g}", shapes.nominal_strain[frames[k]]),
                 {.size = 12.0, .colour = "#444444"});
        draw(svg, shapes, view_of(shapes, frames[k], corner));
    }
    return svg.finish();
}

} // namespace cellgrade
