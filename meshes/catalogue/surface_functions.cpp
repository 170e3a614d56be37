// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/surface_functions.hpp"

#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {
namespace {

/// Sines and cosines of the three angles at one point.
struct Waves {
    double sx, cx, sy, cy, sz, cz;
};

double gyroid(const Waves& w) {
    return w.sx * w.cy + w.sy * w.cz + w.sz * w.cx;
}
double schwarz_primitive(const Waves& w) {
    return w.cx + w.cy + w.cz;
}
double schwarz_diamond(const Waves& w) {
    return w.cx * w.cy * w.cz - w.sx * w.sy * w.sz;
}
double doubled(double c) { // cos 2x from cos x
    return 2.0 * c * c - 1.0;
}
double i_wp(const Waves& w) {
    return 2.0 * (w.cx * w.cy + w.cy * w.cz + w.cz * w.cx) - doubled(w.cx) - doubled(w.cy) -
           doubled(w.cz);
}
double neovius(const Waves& w) {
    return 3.0 * (w.cx + w.cy + w.cz) + 4.0 * w.cx * w.cy * w.cz;
}
double fischer_koch_s(const Waves& w) {
    return doubled(w.cx) * w.sy * w.cz + w.cx * doubled(w.cy) * w.sz + w.sx * w.cy * doubled(w.cz);
}

/// In blocks that stay in the first cache level: angles to waves, then the products.
template <double (*formula)(const Waves&)>
void evaluate(std::span<const Vec3> points, std::span<double> values) {
    constexpr std::size_t block = 64;
    constexpr double turn = 2.0 * std::numbers::pi;
    std::array<Waves, block> waves; // not cleared: single points would pay for it
    for (std::size_t first = 0; first < points.size(); first += block) {
        const std::size_t n = std::min(block, points.size() - first);
        for (std::size_t k = 0; k < n; ++k) {
            const Vec3 angle = turn * points[first + k];
            waves[k] = {std::sin(angle.x()), std::cos(angle.x()), std::sin(angle.y()),
                        std::cos(angle.y()), std::sin(angle.z()), std::cos(angle.z())};
        }
        for (std::size_t k = 0; k < n; ++k)
            values[first + k] = formula(waves[k]);
    }
}

struct NamedFunction {
    const char* name;
    void (*evaluate)(std::span<const Vec3>, std::span<double>);
};

constexpr std::array<NamedFunction, 6> functions = {{
    {"fischer_koch_s", &evaluate<fischer_koch_s>},
    {"gyroid", &evaluate<gyroid>},
    {"i_wp", &evaluate<i_wp>},
    {"neovius", &evaluate<neovius>},
    {"schwarz_diamond", &evaluate<schwarz_diamond>},
    {"schwarz_primitive", &evaluate<schwarz_primitive>},
}};

} // namespace

std::vector<std::string> surface_function_names() {
    std::vector<std::string> names;
    for (const NamedFunction& f : functions)
        names.emplace_back(f.name);
    return names;
}

PointField surface_function(const std::string& name) {
    for (const NamedFunction& f : functions)
        if (name == f.name)
            return f.evaluate;
    throw input_error("surface function '{}' is not known{}", name,
                      did_you_mean(name, surface_function_names()));
}

} // namespace cellgrade
