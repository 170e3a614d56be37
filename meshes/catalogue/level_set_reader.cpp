// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/expression.hpp"
#include "meshes/catalogue/honeycomb.hpp"
#include "meshes/catalogue/sampled_field.hpp"
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/catalogue/surface_functions.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

Vec3 read_size(const KeyedTable& t) {
    const auto size = t.numbers("size_mm");
    if (size.size() != 3)
        throw t.error("size_mm", fmt::format("3 lengths are needed, {} given", size.size()));
    for (const double length : size)
        if (length <= 0.0)
            throw t.error("size_mm",
                          fmt::format("{} is not allowed; numbers above 0 are needed", length));
    return units::mm * Vec3(size[0], size[1], size[2]);
}

void read_honeycomb(const KeyedTable& t, LevelSetCell& cell) {
    const std::string axis = t.choice("axis", {"x", "y", "z"});
    const int along = axis[0] - 'x';
    const std::array<int, 2> across = {along == 0 ? 1 : 0, along == 2 ? 1 : 2};
    const Honeycomb shape{.width = cell.size[across[0]],
                          .height = cell.size[across[1]],
                          .junction_ratio = t.positive_or("junction_ratio", 1.0)};
    const double stretch = shape.height / shape.width;
    if (stretch < 1.2 || stretch > 3.0)
        throw t.error("size_mm", fmt::format("the box of two hexagons across {} has height / width "
                                             "{:.4g}; 1.2 to 3 is allowed, sqrt(3) is regular",
                                             axis, stretch));
    if (shape.junction_ratio < 1.0 || shape.junction_ratio > 5.0)
        throw t.error("junction_ratio",
                      fmt::format("{} is not allowed; 1 to 5 is", shape.junction_ratio));
    cell.varies[along] = false;
    cell.function = honeycomb_function(shape, across);
}

void read_expression(const KeyedTable& t, LevelSetCell& cell) {
    try {
        ExpressionField field = compile_expression(t.text("expression"));
        cell.function = std::move(field.function);
        cell.varies = field.varies;
    } catch (const Error& e) {
        if (!e.where().key.empty()) // the key itself is wrong, and the error says so
            throw;
        throw t.error("expression", e.message());
    }
}

void read_samples(const KeyedTable& t, const std::filesystem::path& folder, LevelSetCell& cell) {
    const auto rows = t.numbers("counts");
    std::array<Index, 3> counts{};
    if (rows.size() != 3)
        throw t.error("counts", fmt::format("3 numbers are needed, {} given", rows.size()));
    for (std::size_t k = 0; k < 3; ++k) {
        if (rows[k] != std::floor(rows[k]) || rows[k] < 2.0 || rows[k] > 512.0)
            throw t.error("counts", fmt::format("{} is not allowed; 2 to 512 is", rows[k]));
        counts[k] = static_cast<Index>(rows[k]);
    }
    try {
        cell.function = interpolated(read_field_samples(folder / t.text("samples_file"), counts));
    } catch (const Error& e) {
        if (!e.where().key.empty() || e.where().line > 0) // a key of ours, or a line of the samples
            throw;
        throw t.error("samples_file", fmt::format("{}: {}", e.where().file, e.message()));
    }
}

const char*
read_function(const KeyedTable& t, const std::filesystem::path& folder, LevelSetCell& cell) {
    const char* key = nullptr;
    for (const char* name : {"function", "expression", "samples_file"}) {
        if (!t.has(name))
            continue;
        if (key != nullptr)
            throw t.error(name, fmt::format("{} is given too; only one is allowed", key));
        key = name;
    }
    if (key == nullptr)
        throw t.error("", "one of function, expression and samples_file is needed");
    if (key == std::string_view("expression")) {
        read_expression(t, cell);
    } else if (key == std::string_view("samples_file")) {
        read_samples(t, folder, cell);
    } else {
        std::vector<std::string> known = surface_function_names();
        known.emplace_back("honeycomb");
        const std::string function = t.choice("function", known);
        if (function == "honeycomb")
            read_honeycomb(t, cell);
        else
            cell.function = surface_function(function);
    }
    return key;
}

/// Values at scattered points of the cell (golden-ratio sequence), some of them on the faces.
void check_function(const KeyedTable& t, const char* key, const LevelSetCell& cell) {
    constexpr int n = 4000;
    constexpr int n_face = 60;
    std::vector<Vec3> at;
    for (int k = 0; k < n; ++k) // R3 sequence: powers of 1 / 1.2207440846 (root of x^4 = x + 1)
        at.emplace_back(std::fmod(0.5 + 0.8191725134 * k, 1.0),
                        std::fmod(0.5 + 0.6710436067 * k, 1.0),
                        std::fmod(0.5 + 0.5497004779 * k, 1.0));
    for (int axis = 0; axis < 3; ++axis)
        for (int k = 0; k < n_face; ++k)
            for (const double end : {0.0, 1.0}) {
                Vec3 x = k == 0 ? Vec3(Vec3::Zero()) : at[k];
                x[axis] = end;
                at.push_back(x);
            }
    std::vector<double> f(at.size());
    cell.function(at, f);
    for (std::size_t k = 0; k < at.size(); ++k)
        if (!std::isfinite(f[k]))
            throw t.error(key, fmt::format("the function is {} at {:.3f}, {:.3f}, {:.3f} of the "
                                           "cell; it must be finite everywhere",
                                           std::isnan(f[k]) ? "not a number" : "infinite",
                                           at[k].x(), at[k].y(), at[k].z()));
    const auto [least, most] = std::minmax_element(f.begin(), f.end());
    const double range = *most - *least;
    if (!(range > 1e-12 * std::max(std::abs(*most), std::abs(*least))))
        throw t.error(key, "the function does not vary over the cell");
    // a distance touches its level without passing it
    if (cell.side == SolidSide::Wall &&
        !(*least - 0.02 * range <= cell.level && cell.level < *most))
        throw t.error(t.has("level") ? "level" : key,
                      fmt::format("the function runs from {:.4g} to {:.4g} over the cell and never "
                                  "meets the level {:.4g}",
                                  *least, *most, cell.level));
    for (std::size_t k = n; k < at.size(); k += 2)
        if (std::abs(f[k] - f[k + 1]) > 1e-9 * range) {
            const std::size_t axis = (k - n) / (2 * n_face);
            throw t.error(key, fmt::format("the function is not periodic along {}: {:.6g} at one "
                                           "face, {:.6g} at the other",
                                           "xyz"[axis], f[k], f[k + 1]));
        }
}

LevelSetCell to_level_set_cell(const KeyedTable& t,
                               const std::string& default_name,
                               const std::filesystem::path& folder) {
    LevelSetCell cell;
    cell.varies = {true, true, true};
    if (t.integer_or("schema", 1) != 1)
        throw t.error("schema", "only schema 1 is known");
    (void)t.choice("kind", {"level_set"});
    cell.name = t.text_or("name", default_name);
    cell.source = t.text_or("source", "");
    const std::string side = t.choice("side", {"wall", "below", "above"});
    cell.side = side == "wall"    ? SolidSide::Wall
                : side == "below" ? SolidSide::Below
                                  : SolidSide::Above;
    cell.level = t.number_or("level", 0.0);
    if (t.has("offset"))
        cell.offset = cell.side == SolidSide::Wall ? t.positive("offset") : t.number("offset");
    cell.size = read_size(t);
    const char* key = read_function(t, folder, cell);
    t.finish();
    check_function(t, key, cell);
    return cell;
}

} // namespace

LevelSetCell parse_level_set_cell(std::string_view text,
                                  const std::string& name,
                                  const std::filesystem::path& folder) {
    return to_level_set_cell(parse_keyed_text(text, name), name, folder);
}

LevelSetCell read_level_set_cell(const std::filesystem::path& path) {
    return to_level_set_cell(read_keyed_file(path), path.stem().string(), path.parent_path());
}

} // namespace cellgrade
