// SPDX-License-Identifier: Apache-2.0
// How GradeCurves answers; how it is built stands in grade_curves.cpp.
#include "solver/core/error.hpp"
#include "solver/grades/grade_curves.hpp"
#include "solver/grades/monotone_cubic.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <set>

namespace cellgrade {

namespace {

constexpr double on_point = 1e-9;    // of a logarithm, or of a temperature in C
constexpr double same_place = 1e-12; // of u: points nearer are one
constexpr double least_locking = 0.01, most_locking = 0.99;

double u_of(double strain, double locking) {
    return strain < locking || locking >= 1.0 ? strain / locking
                                              : 1.0 + (strain - locking) / (1.0 - locking);
}

double strain_of(double u, double locking) {
    return u < 1.0 || locking >= 1.0 ? u * locking : locking + (u - 1.0) * (1.0 - locking);
}

/// Values on straight lines through points that all rise (or all fall), for rising `at`.
class LineWalk {
public:
    LineWalk(const std::vector<double>& x, const std::vector<double>& y) : x_(x), y_(y) {}
    double at(double x) {
        while (i_ + 2 < x_.size() && x_[i_ + 1] < x)
            ++i_;
        const double t = std::clamp((x - x_[i_]) / (x_[i_ + 1] - x_[i_]), 0.0, 1.0);
        return (1.0 - t) * y_[i_] + t * y_[i_ + 1];
    }

private:
    const std::vector<double>& x_;
    const std::vector<double>& y_;
    std::size_t i_ = 0;
};

/// One axis of the table around a point: places, and where between them the point lies.
struct AxisPart {
    std::vector<double> x;
    double at = 0.0;

    [[nodiscard]] double cubic(const std::vector<double>& y) const {
        return monotone_cubic(x, y, at);
    }
    /// Straight lines, ends held.
    [[nodiscard]] double straight(const std::vector<double>& y) const {
        std::size_t i = 0;
        while (i + 2 < x.size() && x[i + 1] < at)
            ++i;
        if (x.size() == 1 || at <= x[i])
            return y[i];
        const double t = std::min((at - x[i]) / (x[i + 1] - x[i]), 1.0);
        return t < 1.0 ? (1.0 - t) * y[i] + t * y[i + 1] : y[i + 1];
    }
};

std::vector<double> merged(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const auto same = [](double a, double b) { return b - a < same_place; };
    values.erase(std::unique(values.begin(), values.end(), same), values.end());
    return values;
}

} // namespace

struct GradeCurves::Use {
    struct LinePart {
        AxisPart density;                   ///< logarithms
        double lowest = 0.0, highest = 1.0; ///< densities of the line
        std::vector<const GradeNode*> nodes;
    };
    struct LayerPart {
        AxisPart rate; ///< logarithms
        std::vector<LinePart> lines;
    };
    AxisPart temperature;
    std::vector<LayerPart> layers;
    std::vector<std::string> outside; ///< names of what is extrapolated

    /// A quantity of the nodes at the point: first over density, then rate, then temperature.
    template <class OfNode, class Interpolate>
    [[nodiscard]] double value(OfNode of_node, Interpolate interpolate) const {
        std::vector<double> layer_values;
        std::size_t index = 0;
        for (const LayerPart& layer : layers) {
            std::vector<double> line_values;
            for (const LinePart& line : layer.lines) {
                std::vector<double> values;
                for (const GradeNode* node : line.nodes)
                    values.push_back(of_node(*node, index++));
                line_values.push_back(interpolate(line.density, values));
            }
            layer_values.push_back(interpolate(layer.rate, line_values));
        }
        return interpolate(temperature, layer_values);
    }
    template <class OfNode>
    [[nodiscard]] double cubic(OfNode of_node) const {
        return value(of_node, [](const AxisPart& axis, const std::vector<double>& y) {
            return axis.cubic(y);
        });
    }
    template <class OfNode>
    [[nodiscard]] double straight(OfNode of_node) const {
        return value(of_node, [](const AxisPart& axis, const std::vector<double>& y) {
            return axis.straight(y);
        });
    }
    [[nodiscard]] std::vector<const GradeNode*> nodes() const {
        std::vector<const GradeNode*> all;
        for (const LayerPart& layer : layers)
            for (const LinePart& line : layer.lines)
                all.insert(all.end(), line.nodes.begin(), line.nodes.end());
        return all;
    }
};

namespace {

/// The part of an axis that `at` needs, or the refusal. NaN asks for the only place there is.
struct AxisQuery {
    const char* name;
    const char* unit;
    std::string where; ///< the rest of the place, for the message
    Extrapolation outside;
};

struct AxisFound {
    AxisStencil stencil;
    AxisPart part;
};

AxisFound find_on_axis(const std::vector<double>& places,
                       double at,
                       bool logarithmic,
                       const AxisQuery& query) {
    const auto scaled = [&](double v) { return logarithmic ? std::log(v) : v; };
    if (places.size() == 1 && (std::isnan(at) || std::isnan(places[0]))) {
        CELLGRADE_CHECK(std::isnan(at), "{} {:g}{} is asked for, but the table tells none{}",
                        query.name, at, query.unit, query.where);
        return {{}, {{0.0}, 0.0}};
    }
    CELLGRADE_CHECK(!std::isnan(at), "the table has {} {:.4g} to {:.4g}{}{}: one must be given",
                    query.name, places.front(), places.back(), query.unit, query.where);
    CELLGRADE_CHECK(!logarithmic || at > 0.0, "{} {:g}{} must be above 0", query.name, at,
                    query.unit);
    std::vector<double> x;
    for (const double place : places)
        x.push_back(scaled(place));
    const AxisStencil stencil = stencil_at(x, scaled(at), on_point);
    if (stencil.outside && query.outside == Extrapolation::Refuse)
        throw input_error("{} {:g}{} is outside {:.4g} to {:.4g} of the table{}; it is "
                          "extrapolated only when that is asked for",
                          query.name, at, query.unit, places.front(), places.back(), query.where);
    const auto first = x.begin() + static_cast<std::ptrdiff_t>(stencil.first);
    return {stencil, {{first, first + static_cast<std::ptrdiff_t>(stencil.count)}, scaled(at)}};
}

void hold_inside(AxisPart& part) {
    part.at = std::clamp(part.at, part.x.front(), part.x.back());
}

void note_outside(std::vector<std::string>& list, const AxisStencil& stencil, const char* name) {
    if (stencil.outside && std::find(list.begin(), list.end(), name) == list.end())
        list.emplace_back(name);
}

} // namespace

std::string GradeCurves::place(const Layer& layer, const Line& line) const {
    std::string text = fmt::format(" ({}, {:g} 1/s", selection_.cell, line.strain_rate_per_s);
    if (std::isfinite(layer.temperature_C))
        text += fmt::format(", {:g} C", layer.temperature_C);
    return text + ")";
}

GradeCurves::Use GradeCurves::use_at(const GradePoint& at, Extrapolation outside) const {
    Use use;
    std::vector<double> temperatures;
    for (const Layer& layer : layers_)
        temperatures.push_back(layer.temperature_C);
    const std::string cell = fmt::format(" ({})", selection_.cell);
    AxisFound layers =
        find_on_axis(temperatures, at.temperature_C, false, {"temperature", " C", cell, outside});
    note_outside(use.outside, layers.stencil, "temperature");
    hold_inside(layers.part);
    use.temperature = layers.part;
    for (std::size_t t = 0; t < layers.stencil.count; ++t) {
        const Layer& layer = layers_[layers.stencil.first + t];
        std::vector<double> rates;
        for (const Line& line : layer.lines)
            rates.push_back(line.strain_rate_per_s);
        AxisFound lines =
            find_on_axis(rates, at.strain_rate_per_s, true, {"strain rate", " 1/s", cell, outside});
        note_outside(use.outside, lines.stencil, "strain rate");
        hold_inside(lines.part);
        Use::LayerPart part{.rate = lines.part};
        for (std::size_t r = 0; r < lines.stencil.count; ++r) {
            const Line& line = layer.lines[lines.stencil.first + r];
            std::vector<double> densities;
            for (const GradeNode& node : line.nodes)
                densities.push_back(node.relative_density);
            const AxisFound nodes =
                find_on_axis(densities, at.relative_density, true,
                             {"relative density", "", place(layer, line), outside});
            note_outside(use.outside, nodes.stencil, "relative density");
            Use::LinePart grades{
                .density = nodes.part, .lowest = densities.front(), .highest = densities.back()};
            for (std::size_t d = 0; d < nodes.stencil.count; ++d)
                grades.nodes.push_back(&line.nodes[nodes.stencil.first + d]);
            part.lines.push_back(std::move(grades));
        }
        use.layers.push_back(std::move(part));
    }
    return use;
}

std::vector<double> GradeCurves::strain_rates() const {
    double lowest = 0.0, highest = std::numeric_limits<double>::infinity();
    std::set<double> all;
    for (const Layer& layer : layers_) {
        lowest = std::max(lowest, layer.lines.front().strain_rate_per_s);
        highest = std::min(highest, layer.lines.back().strain_rate_per_s);
        for (const Line& line : layer.lines)
            all.insert(line.strain_rate_per_s);
    }
    CELLGRADE_CHECK(lowest <= highest,
                    "the temperatures of the table have no strain rate in common ({})",
                    selection_.cell);
    return {all.lower_bound(lowest), all.upper_bound(highest)};
}

std::array<double, 2> GradeCurves::density_range(const GradePoint& at) const {
    GradePoint any = at;
    any.relative_density = layers_.front().lines.front().nodes.front().relative_density;
    std::array<double, 2> range{0.0, 1.0};
    for (const Use::LayerPart& layer : use_at(any, Extrapolation::Allow).layers)
        for (const Use::LinePart& line : layer.lines) {
            range[0] = std::max(range[0], line.lowest);
            range[1] = std::min(range[1], line.highest);
        }
    CELLGRADE_CHECK(range[0] <= range[1],
                    "no relative density lies inside the table at every strain rate and "
                    "temperature that is needed there ({})",
                    selection_.cell);
    return range;
}

namespace {

/// y of a stress, and back.
double y_of(double stress, double soft) {
    return std::asinh(stress / (2.0 * soft));
}

double stress_of(double y, double soft) {
    return 2.0 * soft * std::sinh(y);
}

/// Share of the way from the end of the unloading to its turn.
double back_share(const GradeNode& node, double strain) {
    return (strain - node.back_strain.back()) /
           (node.back_strain.front() - node.back_strain.back());
}

/// The points of all loading curves at their places u, up to where the first of them ends.
std::vector<double> loading_places(const std::vector<const GradeNode*>& nodes) {
    double last = std::numeric_limits<double>::infinity();
    for (const GradeNode* node : nodes)
        last = std::min(last, u_of(node->strain.back(), node->locking_strain));
    std::vector<double> places{last};
    for (const GradeNode* node : nodes)
        for (const double strain : node->strain)
            if (const double u = u_of(strain, node->locking_strain); u < last)
                places.push_back(u);
    return merged(std::move(places));
}

} // namespace

GradeCurve GradeCurves::curve_at(const GradePoint& at, Extrapolation outside) const {
    const Use use = use_at(at, outside);
    GradeCurve curve{.relative_density = at.relative_density,
                     .strain_rate_per_s = at.strain_rate_per_s,
                     .temperature_C = at.temperature_C,
                     .extrapolated = fmt::format("{}", fmt::join(use.outside, ", "))};
    curve.solid_density_kg_per_m3 =
        use.straight([](const GradeNode& n, std::size_t) { return n.solid_density_kg_per_m3; });
    if (use.outside.empty()) {
        curve.stress_uncertainty_share =
            use.straight([](const GradeNode& n, std::size_t) { return n.stress_share; });
        curve.energy_uncertainty_share =
            use.straight([](const GradeNode& n, std::size_t) { return n.energy_share; });
    }
    add_loading(use, curve);
    const std::vector<const GradeNode*> nodes = use.nodes();
    if (std::none_of(nodes.begin(), nodes.end(),
                     [](const GradeNode* node) { return node->back_strain.empty(); }))
        add_unloading(use, curve);
    return curve;
}

void GradeCurves::add_loading(const Use& use, GradeCurve& curve) const {
    const std::vector<const GradeNode*> nodes = use.nodes();
    double locking = nodes.front()->locking_strain;
    if (locking < 1.0)
        locking =
            std::clamp(use.cubic([](const GradeNode& n, std::size_t) { return n.locking_strain; }),
                       least_locking, most_locking);
    std::vector<LineWalk> walks;
    for (const GradeNode* node : nodes)
        walks.emplace_back(node->strain, node->stress_Pa);
    double energy = 0.0;
    for (const double u : loading_places(nodes)) {
        const double y = use.cubic([&](const GradeNode& node, std::size_t i) {
            return y_of(walks[i].at(strain_of(u, node.locking_strain)), soft_stress_Pa_);
        });
        const double strain = strain_of(u, locking), stress = stress_of(y, soft_stress_Pa_);
        if (!curve.nominal_strain.empty()) {
            if (strain <= curve.nominal_strain.back())
                continue;
            energy += 0.5 * (stress + curve.nominal_stress_Pa.back()) *
                      (strain - curve.nominal_strain.back());
        }
        curve.nominal_strain.push_back(strain);
        curve.nominal_stress_Pa.push_back(stress);
        curve.energy_J_per_m3.push_back(energy);
    }
}

void GradeCurves::add_unloading(const Use& use, GradeCurve& curve) const {
    const std::vector<const GradeNode*> nodes = use.nodes();
    std::vector<double> places;
    std::vector<std::vector<double>> own_places, own_stresses; // rising
    for (const GradeNode* node : nodes) {
        std::vector<double> own;
        for (const double strain : node->back_strain)
            own.push_back(back_share(*node, strain));
        places.insert(places.end(), own.begin(), own.end());
        own_places.emplace_back(own.rbegin(), own.rend());
        own_stresses.emplace_back(node->back_stress_Pa.rbegin(), node->back_stress_Pa.rend());
    }
    places = merged(std::move(places));
    const double turn =
        use.cubic([](const GradeNode& n, std::size_t) { return n.back_strain.front(); });
    const double end =
        use.cubic([](const GradeNode& n, std::size_t) { return n.back_strain.back(); });
    std::vector<LineWalk> walks;
    for (std::size_t i = 0; i < nodes.size(); ++i)
        walks.emplace_back(own_places[i], own_stresses[i]);
    for (const double v : places) {
        const double y = use.cubic(
            [&](const GradeNode&, std::size_t i) { return y_of(walks[i].at(v), soft_stress_Pa_); });
        curve.unloading_strain.push_back(end + v * (turn - end));
        curve.unloading_stress_Pa.push_back(stress_of(y, soft_stress_Pa_));
    }
    std::reverse(curve.unloading_strain.begin(), curve.unloading_strain.end());
    std::reverse(curve.unloading_stress_Pa.begin(), curve.unloading_stress_Pa.end());
}

GradeValue GradeCurves::stress(double strain, const GradePoint& at, Extrapolation outside) const {
    const GradeCurve curve = curve_at(at, outside);
    const double value = curve.stress_at(strain);
    return {value, std::abs(value) * curve.stress_uncertainty_share, curve.extrapolated};
}

GradeValue
GradeCurves::unloading_stress(double strain, const GradePoint& at, Extrapolation outside) const {
    const GradeCurve curve = curve_at(at, outside);
    const double value = curve.unloading_stress_at(strain);
    return {value, std::abs(value) * curve.stress_uncertainty_share, curve.extrapolated};
}

GradeValue GradeCurves::energy(double strain, const GradePoint& at, Extrapolation outside) const {
    const GradeCurve curve = curve_at(at, outside);
    const double value = curve.energy_to(strain);
    return {value, value * curve.energy_uncertainty_share, curve.extrapolated};
}

} // namespace cellgrade
