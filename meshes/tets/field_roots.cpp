// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/field_roots.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr int secant_rounds = 30;               // then halving, which ends for sure:
constexpr int most_rounds = secant_rounds + 34; // 2^-34 < 1e-10

/// A bracket [a, b] of shares of one line.
struct Bracket {
    double a = 0.0, b = 1.0, f_a, f_b, scale;
    int last_side = 0;
    double share = 0.5;
    bool done = false;

    void propose(bool halve) {
        share = (a * f_b - b * f_a) / (f_b - f_a);
        if (halve || !(share > a && share < b))
            share = 0.5 * (a + b);
    }
    void take(double f) {
        if (std::abs(f) <= 1e-13 * scale) {
            done = true;
            return;
        }
        const int side = (f > 0.0) == (f_b > 0.0) ? 1 : -1;
        if (side > 0) {
            b = share;
            f_b = f;
            f_a *= last_side == 1 ? 0.5 : 1.0;
        } else {
            a = share;
            f_a = f;
            f_b *= last_side == -1 ? 0.5 : 1.0;
        }
        last_side = side;
        done = b - a < 1e-10;
    }
};

} // namespace

std::vector<double> field_roots(const ImplicitSolid::Field& field,
                                std::span<const Crossing> lines) {
    std::vector<Bracket> brackets;
    brackets.reserve(lines.size());
    std::vector<std::size_t> open(lines.size());
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const Crossing& line = lines[i];
        CELLGRADE_ASSERT((line.f_from < 0.0) != (line.f_to < 0.0));
        brackets.push_back({.f_a = line.f_from,
                            .f_b = line.f_to,
                            .scale = std::max(std::abs(line.f_from), std::abs(line.f_to))});
        open[i] = i;
    }
    std::vector<Vec3> points;
    for (int round = 0; round < most_rounds && !open.empty(); ++round) {
        points.clear();
        for (const std::size_t i : open) {
            brackets[i].propose(round >= secant_rounds);
            points.emplace_back(lines[i].from + brackets[i].share * (lines[i].to - lines[i].from));
        }
        const std::vector<double> values = field_values(field, points);
        for (std::size_t k = 0; k < open.size(); ++k)
            brackets[open[k]].take(values[k]);
        std::erase_if(open, [&](std::size_t i) { return brackets[i].done; });
    }
    std::vector<double> shares;
    shares.reserve(lines.size());
    for (const Bracket& bracket : brackets)
        shares.push_back(bracket.share);
    return shares;
}

std::vector<double> field_values(const ImplicitSolid::Field& field, std::span<const Vec3> points) {
    constexpr std::size_t piece = 4096;
    std::vector<double> values(points.size());
    for (std::size_t from = 0; from < points.size(); from += piece) {
        const std::size_t n = std::min(piece, points.size() - from);
        field(points.subspan(from, n), std::span(values).subspan(from, n));
    }
    for (std::size_t i = 0; i < values.size(); ++i)
        CELLGRADE_CHECK(std::isfinite(values[i]),
                        "the field of the solid is not a finite number at ({:.6g}, {:.6g}, {:.6g}) "
                        "m of the specimen",
                        points[i].x(), points[i].y(), points[i].z());
    return values;
}

} // namespace cellgrade
