// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/level_set_density.hpp"
#include "meshes/solids/layer_profile.hpp"
#include "meshes/solids/plan_check.hpp"
#include "meshes/solids/print_check.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

namespace cellgrade {
namespace {

constexpr double layer_tolerance = 2e-4; ///< of a layer's relative density
constexpr int most_rounds = 40;

/// One layer of one cell, sampled for densities that vary with height.
class LayerSamples {
public:
    explicit LayerSamples(const LevelSetCell& cell) : side_(cell.side) {
        fine_.size = cell.size;
        const bool plane = !(cell.varies[0] && cell.varies[1] && cell.varies[2]);
        for (int a = 0; a < 3; ++a)
            fine_.counts[a] = !plane ? 56 : cell.varies[a] ? 256 : a == 2 ? 16 : 1;
        g_ = sample_field(cell.function, fine_, Vec3::Ones());
        shift_to_level(cell, g_);
    }

    /// Mean density of layer k.
    double density(const LayerProfile& offset, std::size_t layer) const {
        double below = extrapolated(offset, layer, 1.0);
        if (side_ == SolidSide::Wall)
            below -= extrapolated(offset, layer, -1.0);
        return below / fine_.size.prod();
    }

private:
    double extrapolated(const LayerProfile& offset, std::size_t layer, double sign) const {
        std::vector<double> f = g_;
        const std::size_t plane =
            static_cast<std::size_t>(fine_.counts.x() + 1) * (fine_.counts.y() + 1);
        for (int k = 0; k <= fine_.counts.z(); ++k) {
            const double u = static_cast<double>(layer) + static_cast<double>(k) / fine_.counts.z();
            const double t = sign * offset.value(u);
            for (std::size_t i = 0; i < plane; ++i)
                f[plane * k + i] -= t;
        }
        SampleGrid coarse;
        const std::vector<double> kept = every_other_node(f, fine_, coarse);
        return (4.0 * measure_below(f, fine_, 0.0).volume -
                measure_below(kept, coarse, 0.0).volume) /
               3.0;
    }

    SolidSide side_;
    SampleGrid fine_;
    std::vector<double> g_;
};

struct Layers {
    std::vector<double> offsets;
    std::vector<double> densities;
};

/// Offsets at the middles of the layers that give each layer its mean density.
Layers graded_layers(LevelSetMeasure& measure,
                     const LevelSetCell& cell,
                     const std::vector<double>& targets,
                     bool periodic) {
    const std::size_t n = targets.size();
    Layers layers{.densities = std::vector<double>(n, 0.0)};
    std::vector<double> slopes; // those of the start will do
    for (const double rb : targets) {
        layers.offsets.push_back(measure.offset_for_density(rb));
        slopes.push_back(std::max(measure.fraction(layers.offsets.back()).slope, 1e-3));
    }
    const LayerSamples samples(cell);
    for (int round = 0; round < most_rounds; ++round) {
        const LayerProfile profile(layers.offsets, periodic);
        double worst = 0.0;
        for (std::size_t k = 0; k < n; ++k) {
            layers.densities[k] = samples.density(profile, k);
            const double lack = targets[k] - layers.densities[k];
            worst = std::max(worst, std::abs(lack) / targets[k]);
            layers.offsets[k] += lack / slopes[k];
        }
        if (worst <= layer_tolerance) {
            layers.offsets = profile.at_middles();
            return layers;
        }
        for (std::size_t k = 0; k < n; ++k) {
            const double t = layers.offsets[k];
            CELLGRADE_CHECK(t > measure.reach().least_offset && t <= measure.reach().most_offset,
                            "layer {} of cell '{}' cannot have relative density {} beside its "
                            "neighbours: the offset would leave {:.4g} to {:.4g}; grade more "
                            "gently",
                            k, cell.name, targets[k], measure.reach().least_offset,
                            measure.reach().most_offset);
        }
    }
    throw input_error("no offsets were found that give the layers of cell '{}' their densities; "
                      "grade more gently",
                      cell.name);
}

/// First-order thickness 2 t / |grad f| of the thinnest wall [m].
double thinnest_wall(const LevelSetCell& cell, double offset) {
    constexpr int n = 24;
    constexpr double step = 1e-4; // of the cell
    std::vector<Vec3> at;
    for (int k = 0; k < n * n * n; ++k) {
        const Vec3 u = (Vec3(k % n, k / n % n, k / (n * n)) + Vec3(0.31, 0.43, 0.57)) / n;
        at.push_back(u);
        for (int a = 0; a < 3; ++a)
            at.emplace_back(u + step * Vec3::Unit(a));
    }
    std::vector<double> g(at.size());
    cell.function(at, g);
    double steepest = 0.0;
    for (std::size_t k = 0; k < at.size(); k += 4) {
        const Vec3 gradient =
            Vec3(g[k + 1] - g[k], g[k + 2] - g[k], g[k + 3] - g[k]).cwiseQuotient(step * cell.size);
        if (std::abs(g[k] - cell.level) < offset + gradient.norm() * cell.size.maxCoeff() / n)
            steepest = std::max(steepest, gradient.norm());
    }
    return 2.0 * offset / steepest;
}

/// The function over a whole specimen.
class LevelSetField {
public:
    LevelSetField(LevelSetCell cell, const SolidPlan& plan, LayerProfile offset, const Vec3& box)
        : cell_(std::move(cell)), periodic_(plan.periodic), offset_(std::move(offset)), box_(box) {}

    void operator()(std::span<const Vec3> points, std::span<double> values) const {
        constexpr std::size_t block = 128;
        std::array<Vec3, block> home;
        std::array<double, block> offset{};
        for (std::size_t first = 0; first < points.size(); first += block) {
            const std::size_t n = std::min(block, points.size() - first);
            for (std::size_t k = 0; k < n; ++k) {
                Vec3 x = points[first + k];
                for (int a = 0; a < 3; ++a)
                    if (periodic_[a])
                        x[a] = wrapped(x[a], box_[a]);
                const Vec3 u = x.cwiseQuotient(cell_.size);
                offset[k] = offset_.value(u.z());
                home[k] = u.array() - u.array().floor();
            }
            const std::span<double> out = values.subspan(first, n);
            cell_.function(std::span(home).first(n), out);
            shift_to_level(cell_, out);
            for (std::size_t k = 0; k < n; ++k)
                out[k] = (cell_.side == SolidSide::Wall ? std::abs(out[k]) : out[k]) - offset[k];
        }
    }

private:
    LevelSetCell cell_;
    std::array<bool, 3> periodic_;
    LayerProfile offset_;
    Vec3 box_;
};

/// Narrowest strut of one endless cell of a skeleton, on a grid [m].
double thinnest_strut(const LevelSetCell& cell, double offset) {
    SolidPlan one{.periodic = {true, true, true}};
    const auto field =
        std::make_shared<const LevelSetField>(cell, one, LayerProfile({offset}, true), cell.size);
    const ImplicitSolid solid{
        .field = [field](std::span<const Vec3> x, std::span<double> f) { (*field)(x, f); },
        .box = cell.size,
        .periodic = one.periodic};
    const PrintCheck found = check_print(solid, {}, cell.size.minCoeff() / 40.0);
    return found.narrowest ? found.narrowest->width : 0.05 * cell.size.minCoeff();
}

Layers choose_layers(LevelSetMeasure& measure, const LevelSetCell& cell, const SolidPlan& plan) {
    const std::vector<double> targets = layer_targets(plan);
    const auto n_layers = static_cast<std::size_t>(plan.tiles[2]);
    const bool graded =
        std::any_of(targets.begin(), targets.end(), [&](double rb) { return rb != targets[0]; });
    if (graded)
        return graded_layers(measure, cell, targets, plan.periodic[2]);
    const double offset = !targets.empty() ? measure.offset_for_density(targets[0])
                          : plan.amount    ? *plan.amount
                                           : *cell.offset;
    const LevelSetReach& reach = measure.reach();
    CELLGRADE_CHECK(offset > reach.least_offset && offset <= reach.most_offset,
                    "offset {:.4g} of cell '{}' is out of reach; above {:.4g} and at most {:.4g} "
                    "is possible",
                    offset, cell.name, reach.least_offset, reach.most_offset);
    return {std::vector<double>(n_layers, offset),
            std::vector<double>(n_layers, measure.fraction(offset).relative_density)};
}

} // namespace

TiledSolid tiled_solid(const LevelSetCell& cell, const SolidPlan& plan) {
    check_plan(plan, cell.name, cell.offset.has_value());
    CELLGRADE_CHECK(plan.fillet_radius == 0.0,
                    "cell '{}' has no struts, so no fillet radius is allowed", cell.name);
    LevelSetMeasure measure(cell);
    const Layers layers = choose_layers(measure, cell, plan);
    TiledSolid made{.amounts = layers.offsets, .densities = layers.densities};
    made.solid.periodic = plan.periodic;
    for (int a = 0; a < 3; ++a)
        made.solid.box[a] = plan.tiles[a] * cell.size[a];
    const double least = *std::min_element(layers.offsets.begin(), layers.offsets.end());
    made.solid.narrowest =
        cell.side == SolidSide::Wall ? thinnest_wall(cell, least) : thinnest_strut(cell, least);
    const auto put_field = [&](ImplicitSolid& solid, SolidSide side, double sign) {
        LevelSetCell one = cell;
        one.side = side;
        std::vector<double> offsets = layers.offsets;
        for (double& t : offsets)
            t *= sign;
        const auto field = std::make_shared<const LevelSetField>(
            one, plan, LayerProfile(offsets, plan.periodic[2]), made.solid.box);
        solid.field = [field](std::span<const Vec3> x, std::span<double> f) { (*field)(x, f); };
    };
    put_field(made.solid, cell.side, 1.0);
    if (cell.side == SolidSide::Wall)
        for (const double sign : {1.0, -1.0}) {
            made.sides.push_back(made.solid);
            put_field(made.sides.back(), SolidSide::Below, sign);
        }
    return made;
}

} // namespace cellgrade
