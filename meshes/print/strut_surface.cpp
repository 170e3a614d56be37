// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/strut_surface.hpp"

#include "meshes/print/thin_out.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <tuple>
#include <unordered_map>

namespace cellgrade {

namespace {

constexpr double units_per_period = 1U << 30U; ///< 5e-9 mm for a cell of 5 mm
constexpr int most_cubes = 96;                 ///< along a tile: memory
constexpr int n_offsets = 16;

/// The grid of a specimen in whole units, so that places subtract without error and neighbouring
/// tiles see the same bits of their common nodes.
struct Grid {
    Vec3 unit;   ///< [m]
    Vec3 origin; ///< of tile 0 0 0
    Vec3 tile;   ///< size
    Vec3i cubes; ///< of a tile
    double cube; ///< longest edge
    double far;  ///< values up to here must be exact: longest edge of a tetrahedron
    double least_radius;
};

Vec3 rounded(const Vec3& x) {
    return x.array().round();
}

/// Bars in whole units: the ends are rounded, so that copies of a strut are alike.
CutBar in_units(const CutBar& bar, const Vec3& unit) {
    CutBar b = bar;
    b.from = rounded(bar.from.cwiseQuotient(unit));
    b.along = rounded((bar.from + bar.along).cwiseQuotient(unit)) - b.from;
    b.radius = std::round(bar.radius / unit.maxCoeff());
    const auto share = [](double past) { // coarse, so that rounding does not tell copies apart
        return std::ceil(past * 4096.0 - 1e-6) / 4096.0;
    };
    b.first = -share(-bar.first);
    b.last = 1.0 + share(bar.last - 1.0);
    for (Vec3& normal : b.cut)
        normal = (normal * 1e9).array().round() / 1e9;
    return b;
}

/// Where the sides of the tiles run, as a share of a tile: far from struts along them, which would
/// be cut lengthwise and make tiles differ that are alike inside.
double best_offset(const std::vector<CutBar>& bars, int axis, double tile) {
    double best = 0.0, least = HUGE_VAL;
    for (int i = 0; i < n_offsets; ++i) {
        const double offset = (2 * i + 1) / (2.0 * n_offsets);
        double met = 0.0;
        for (const CutBar& bar : bars)
            for (int k = 0; k < 8; ++k) {
                const double x = (bar.from[axis] + (k + 0.5) / 8.0 * bar.along[axis]) / tile;
                const double away = std::abs(x - offset - std::round(x - offset)) * tile;
                met += bar.along.norm() / (1.0 + std::pow(away / bar.radius, 2.0));
            }
        if (met < least * (1.0 - 1e-6)) {
            least = met;
            best = offset;
        }
    }
    return best;
}

Grid grid_of(std::vector<CutBar>& bars, const Vec3& period, double cubes_per_radius) {
    Grid grid{};
    double least = HUGE_VAL;
    for (const CutBar& bar : bars)
        least = std::min(least, bar.radius);
    const double quantum = period.maxCoeff() / units_per_period;
    for (int k = 0; k < 3; ++k) {
        const int n =
            std::max(2, static_cast<int>(std::ceil(period[k] * cubes_per_radius / least)));
        const int tiles = (n + most_cubes - 1) / most_cubes;
        grid.cubes[k] = (n + tiles - 1) / tiles;
        const double halves = 2.0 * grid.cubes[k] * tiles;
        const double half = std::round(period[k] / quantum / halves);
        grid.unit[k] = period[k] / (half * halves);
        grid.tile[k] = 2.0 * half * grid.cubes[k];
        grid.cube = std::max(grid.cube, 2.0 * half);
    }
    grid.far = 1.01 * grid.cube;
    for (CutBar& bar : bars)
        bar = in_units(bar, grid.unit);
    grid.least_radius = std::round(least / grid.unit.maxCoeff());
    for (int k = 0; k < 3; ++k) {
        double low = HUGE_VAL;
        for (const CutBar& bar : bars)
            low = std::min(low, bar.from[k] + std::min(0.0, bar.along[k]) - bar.reach());
        const double offset = std::round(best_offset(bars, k, grid.tile[k]) * grid.tile[k]);
        grid.origin[k] =
            offset + grid.tile[k] * std::floor((low - grid.far - offset) / grid.tile[k]);
    }
    return grid;
}

/// Whether a bar comes near a tile, in its own place: nearer to one of the tile's 216 parts than
/// that part's half diagonal and `far`.
bool comes_near(const CutBar& bar, const Grid& grid) {
    constexpr int n = 6;
    const Vec3 part = grid.tile / n;
    for (int k = 0; k < n; ++k)
        for (int j = 0; j < n; ++j)
            for (int i = 0; i < n; ++i)
                if (bar.value(part.cwiseProduct(Vec3(i + 0.5, j + 0.5, k + 0.5))) <=
                    0.5 * part.norm() + grid.far)
                    return true;
    return false;
}

using TileNumber = std::tuple<int, int, int>; // z y x

/// The bars near each tile, in the tile's own place.
std::map<TileNumber, std::vector<CutBar>> bars_by_tile(const std::vector<CutBar>& bars,
                                                       const Grid& grid) {
    std::map<TileNumber, std::vector<CutBar>> of;
    for (const CutBar& bar : bars) {
        const Vec3 reach = Vec3::Constant(bar.reach() + grid.far);
        const Vec3 a = bar.from - grid.origin, b = a + bar.along;
        const Vec3i first =
            (a.cwiseMin(b) - reach).cwiseQuotient(grid.tile).array().floor().cast<int>();
        const Vec3i last =
            (a.cwiseMax(b) + reach).cwiseQuotient(grid.tile).array().floor().cast<int>();
        for (int z = first.z(); z <= last.z(); ++z)
            for (int y = first.y(); y <= last.y(); ++y)
                for (int x = first.x(); x <= last.x(); ++x) {
                    CutBar here = bar;
                    here.from = a - grid.tile.cwiseProduct(Vec3(x, y, z));
                    if (comes_near(here, grid))
                        of[{z, y, x}].push_back(here);
                }
    }
    return of;
}

using Content = std::vector<std::array<double, 15>>;

/// What tells a tile from another: its bars, sorted.
Content content_of(const std::vector<CutBar>& bars) {
    Content content;
    for (const CutBar& b : bars)
        content.push_back({b.from.x(), b.from.y(), b.from.z(), b.along.x(), b.along.y(),
                           b.along.z(), b.radius, b.first, b.last, b.cut[0].x(), b.cut[0].y(),
                           b.cut[0].z(), b.cut[1].x(), b.cut[1].y(), b.cut[1].z()});
    std::sort(content.begin(), content.end());
    return content;
}

/// One number for a point on the sides of tiles, wherever it is seen from.
std::uint64_t rim_number(const Vec3i& twice_place) {
    constexpr unsigned bits = 21;
    std::uint64_t number = 0;
    for (int k = 0; k < 3; ++k)
        number = number << bits | static_cast<std::uint64_t>(twice_place[k]);
    return number;
}

/// All pieces in their places; points on the sides of tiles are there once.
TileSurface joined(const TiledStruts& tiled, std::vector<bool>& at_seam) {
    TileSurface whole;
    std::unordered_map<std::uint64_t, Index> on_rim;
    for (const TiledStruts::Place& place : tiled.places) {
        const TileSurface& piece = tiled.pieces[place.piece];
        const Vec3 corner = place.at.cast<double>().cwiseProduct(tiled.tile);
        std::vector<Index> number(piece.points.size());
        for (std::size_t i = 0; i < number.size(); ++i) {
            number[i] = static_cast<Index>(whole.points.size());
            if (piece.on_rim[i]) {
                const Vec3i twice = piece.rim[i] + 2 * place.at.cwiseProduct(tiled.half_cubes);
                const auto [known, is_new] = on_rim.try_emplace(rim_number(twice), number[i]);
                number[i] = known->second;
                if (!is_new)
                    continue;
            }
            whole.points.emplace_back(piece.points[i] + corner);
            at_seam.push_back(piece.on_rim[i]);
        }
        for (const std::array<Index, 3>& t : piece.triangles)
            whole.triangles.push_back({number[t[0]], number[t[1]], number[t[2]]});
    }
    whole.on_rim.assign(whole.points.size(), false);
    whole.rim.assign(whole.points.size(), Vec3i::Zero());
    return whole;
}

/// The solid as one function, read from the tile at a place.
class SolidOfTiles {
public:
    explicit SolidOfTiles(const TiledStruts& tiled) : tiled_(tiled) {
        for (const TiledStruts::Place& place : tiled.places)
            n_ = n_.cwiseMax(place.at + Vec3i::Ones());
        piece_.assign(static_cast<std::size_t>(n_.x()) * n_.y() * n_.z(), no_index);
        for (const TiledStruts::Place& place : tiled.places)
            piece_[number(place.at)] = static_cast<Index>(place.piece);
    }

    double operator()(const Vec3& x) const {
        const Vec3i at = x.cwiseQuotient(tiled_.tile).array().floor().cast<int>();
        if ((at.array() < 0).any() || (at.array() >= n_.array()).any())
            return HUGE_VAL;
        const Index piece = piece_[number(at)];
        return piece == no_index
                   ? HUGE_VAL
                   : tiled_.solids[piece].value(x - at.cast<double>().cwiseProduct(tiled_.tile));
    }

private:
    [[nodiscard]] std::size_t number(const Vec3i& at) const {
        return (static_cast<std::size_t>(at.z()) * n_.y() + at.y()) * n_.x() + at.x();
    }

    const TiledStruts& tiled_;
    Vec3i n_ = Vec3i::Zero(); ///< tiles
    std::vector<Index> piece_;
};

} // namespace

std::size_t TiledStruts::n_triangles() const {
    std::size_t n = 0;
    for (const Place& place : places)
        n += pieces[place.piece].triangles.size();
    return n;
}

TiledStruts
tile_struts(const BeamMesh& mesh, const Vec3& period, const StrutSurfaceOptions& options) {
    CELLGRADE_CHECK(options.cubes_per_radius >= 1.0 && options.tolerance >= 0.0,
                    "{} cubes a radius and a tolerance of {} radii are not allowed; at least 1 and "
                    "0 are",
                    options.cubes_per_radius, options.tolerance);
    std::vector<CutBar> bars = cut_bars(mesh);
    const Grid grid = grid_of(bars, period, options.cubes_per_radius);
    TiledStruts tiled{.half_cubes = 2 * grid.cubes,
                      .tile = grid.tile,
                      .unit = grid.unit,
                      .tolerance = options.tolerance * grid.least_radius};
    std::map<Content, std::size_t> known;
    for (auto& [at, near] : bars_by_tile(bars, grid)) {
        const auto [kind, is_new] = known.try_emplace(content_of(near), tiled.pieces.size());
        if (is_new) {
            const BarTile& tile =
                tiled.solids.emplace_back(std::move(near), grid.tile, grid.cube, grid.far);
            tiled.pieces.push_back(march_tile(tile, grid.cubes));
            if (tiled.tolerance > 0.0)
                thin_out(
                    tiled.pieces.back(), {}, grid.tile,
                    [&](const Vec3& x) { return tile.value(x); }, tiled.tolerance);
        }
        const auto [z, y, x] = at;
        if (!tiled.pieces[kind->second].triangles.empty())
            tiled.places.push_back({Vec3i(x, y, z), kind->second});
    }
    return tiled;
}

PrintSurface strut_surface(const TiledStruts& tiled) {
    CELLGRADE_CHECK(tiled.n_triangles() < static_cast<std::size_t>(no_index),
                    "a surface of {} triangles is too large", tiled.n_triangles());
    std::vector<bool> at_seam;
    TileSurface whole = joined(tiled, at_seam);
    if (tiled.tolerance > 0.0)
        thin_out(whole, at_seam, Vec3::Constant(HUGE_VAL), SolidOfTiles(tiled), tiled.tolerance);
    Vec3 lowest = Vec3::Constant(HUGE_VAL);
    for (const Vec3& point : whole.points)
        lowest = lowest.cwiseMin(point);
    PrintSurface surface;
    for (const Vec3& point : whole.points) {
        const Eigen::Vector3f x =
            ((point - lowest).cwiseProduct(tiled.unit) / units::mm).cast<float>();
        surface.points.push_back({x.x(), x.y(), x.z()});
    }
    surface.triangles = std::move(whole.triangles);
    check_closed(surface);
    return surface;
}

} // namespace cellgrade
