// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/level_set_density.hpp"

#include "meshes/density/grid_pieces.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double wanted_error = 5e-4; ///< of the relative density; past it the grid is halved
constexpr double most_error = 2e-3;   ///< of the relative density
constexpr double root_tolerance = 1e-6;
constexpr int n_scan = 32; ///< offsets tried before the ends of the reach are bisected

bool is_plane(const LevelSetCell& cell) {
    return !(cell.varies[0] && cell.varies[1] && cell.varies[2]);
}

struct Range {
    double least, most; ///< of the offset
};

Range offset_range(SolidSide side, const std::vector<double>& values) {
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    if (side == SolidSide::Wall)
        return {0.0, std::max(std::abs(*least), std::abs(*most))};
    return {*least, *most};
}

/// Marks of the home cell's nodes (without the far faces) from a test on values at all nodes.
template <class Test>
std::vector<std::uint8_t>
mark_nodes(const SampleGrid& grid, const std::vector<double>& values, Test test) {
    const Vec3i n = grid.counts;
    std::vector<std::uint8_t> marked;
    for (int k = 0; k < n.z(); ++k)
        for (int j = 0; j < n.y(); ++j)
            for (int i = 0; i < n.x(); ++i)
                marked.push_back(test(
                    values[(static_cast<std::size_t>(k) * (n.y() + 1) + j) * (n.x() + 1) + i]));
    return marked;
}

/// Marks of the boxes in which |g| < t somewhere, as far as the corners tell: a wall may be thinner
/// than a box.
std::vector<std::uint8_t>
mark_wall(const SampleGrid& grid, const std::vector<double>& values, double t) {
    const Vec3i n = grid.counts;
    const std::size_t row = n.x() + 1;
    const std::size_t plane = row * (n.y() + 1);
    std::vector<std::uint8_t> marked;
    for (int k = 0; k < n.z(); ++k)
        for (int j = 0; j < n.y(); ++j)
            for (int i = 0; i < n.x(); ++i) {
                const double* at = values.data() + plane * k + row * j + i;
                double least = at[0];
                double most = at[0];
                for (const std::size_t c : {std::size_t{1}, row, row + 1, plane, plane + 1,
                                            plane + row, plane + row + 1}) {
                    least = std::min(least, at[c]);
                    most = std::max(most, at[c]);
                }
                marked.push_back(least < t && most > -t);
            }
    return marked;
}

bool is_one_endless_piece(const GridPieces& found) {
    return found.pieces.size() == 1 && found.pieces[0].winding == 3;
}

bool is_all_endless(const GridPieces& found) {
    return !found.pieces.empty() && std::all_of(found.pieces.begin(), found.pieces.end(),
                                                [](const GridPiece& p) { return p.winding > 0; });
}

} // namespace

LevelSetMeasure::LevelSetMeasure(const LevelSetCell& cell) : cell_(cell) {
    sample_all(is_plane(cell) ? 768 : 96);
}

LevelSetMeasure::Samples LevelSetMeasure::sampled(int n_boxes) const {
    Samples s{.grid = {.size = cell_.size}};
    for (int a = 0; a < 3; ++a)
        s.grid.counts[a] = cell_.varies[a] ? n_boxes : 1;
    s.values = sample_field(cell_.function, s.grid, Vec3::Ones());
    shift_to_level(cell_, s.values);
    return s;
}

void LevelSetMeasure::sample_all(int n_boxes) {
    n_boxes_ = n_boxes;
    samples_.assign(1, sampled(n_boxes));
    for (int k = 0; k < 2; ++k) {
        Samples coarse;
        coarse.values = every_other_node(samples_[k].values, samples_[k].grid, coarse.grid);
        samples_.push_back(std::move(coarse));
    }
}

BelowLevel LevelSetMeasure::solid(const Samples& samples, double offset) const {
    BelowLevel upper = measure_below(samples.values, samples.grid, offset);
    if (cell_.side != SolidSide::Wall)
        return upper;
    const BelowLevel lower = measure_below(samples.values, samples.grid, -offset);
    return {upper.volume - lower.volume, upper.slope + lower.slope, upper.area + lower.area};
}

LevelSetFraction LevelSetMeasure::extrapolated(double offset) const {
    if (cell_.side == SolidSide::Wall && offset <= 0.0)
        return {};
    std::array<BelowLevel, 3> at;
    for (int k = 0; k < 3; ++k)
        at[k] = solid(samples_[k], offset);
    const double volume = cell_.size.prod();
    const double finer = (4.0 * at[0].volume - at[1].volume) / 3.0;
    const double coarser = (4.0 * at[1].volume - at[2].volume) / 3.0;
    return {.relative_density = std::clamp(finer / volume, 0.0, 1.0),
            .slope = (4.0 * at[0].slope - at[1].slope) / 3.0 / volume,
            .surface_area = (4.0 * at[0].area - at[1].area) / 3.0,
            .error = std::abs(finer - coarser) / volume};
}

LevelSetFraction LevelSetMeasure::fraction(double offset) {
    CELLGRADE_CHECK(std::isfinite(offset), "offset {} of cell '{}' is not a number", offset,
                    cell_.name);
    LevelSetFraction at = extrapolated(offset);
    const int n_finest = is_plane(cell_) ? 1536 : 192;
    if (at.error > wanted_error * at.relative_density && n_boxes_ < n_finest) {
        sample_all(n_finest);
        at = extrapolated(offset);
    }
    CELLGRADE_CHECK(
        at.error <= most_error * at.relative_density,
        "the solid fraction {:.4g} of cell '{}' at offset {:.4g} is uncertain by {:.2g}, "
        "more than 0.2 %: the function is too rough, or the solid too thin for {} "
        "samples along an axis",
        at.relative_density, cell_.name, offset, at.error, n_boxes_);
    return at;
}

bool LevelSetMeasure::is_lattice(const Samples& samples, double offset) const {
    const std::array<bool, 3> periodic = {true, true, true};
    const auto pieces = [&](const std::vector<std::uint8_t>& marked, Joined joined) {
        return find_pieces(samples.grid.counts, periodic, marked, joined);
    };
    const auto nodes = [&](auto test) {
        return pieces(mark_nodes(samples.grid, samples.values, test), Joined::Diagonals);
    };
    if (!is_all_endless(nodes([=](double g) { return g >= offset; })))
        return false;
    if (cell_.side != SolidSide::Wall)
        return is_one_endless_piece(nodes([=](double g) { return g < offset; }));
    const GridPieces other = nodes([=](double g) { return g <= -offset; }); // none for a distance
    return (other.pieces.empty() || is_all_endless(other)) &&
           is_one_endless_piece(
               pieces(mark_wall(samples.grid, samples.values, offset), Joined::Faces));
}

std::string LevelSetMeasure::pieces_text(const Samples& samples, double offset) const {
    const auto is_solid = [&](double g) {
        return g < offset && (cell_.side != SolidSide::Wall || g > -offset);
    };
    const auto count = [&](bool solid) {
        return find_pieces(samples.grid.counts, {true, true, true},
                           mark_nodes(samples.grid, samples.values,
                                      [&](double g) { return is_solid(g) == solid; }),
                           Joined::Diagonals);
    };
    const GridPieces solid = count(true), open = count(false);
    const auto n_endless = [](const GridPieces& found, int directions) {
        return std::count_if(found.pieces.begin(), found.pieces.end(),
                             [=](const GridPiece& p) { return p.winding >= directions; });
    };
    return fmt::format("half way, at offset {:.3g}, the solid has {} pieces, {} endless in all "
                       "directions, and the void {}, {} closed in;",
                       offset, solid.pieces.size(), n_endless(solid, 3), open.pieces.size(),
                       static_cast<std::ptrdiff_t>(open.pieces.size()) - n_endless(open, 1));
}

double LevelSetMeasure::last_good(const Samples& samples, double good, double bad) const {
    for (int k = 0; k < 8; ++k) {
        const double middle = 0.5 * (good + bad);
        (is_lattice(samples, middle) ? good : bad) = middle;
    }
    return good;
}

const LevelSetReach& LevelSetMeasure::reach() {
    if (reach_)
        return *reach_;
    const Samples fine = sampled(is_plane(cell_) ? 384 : 64);
    Samples coarse;
    coarse.values = every_other_node(fine.values, fine.grid, coarse.grid);
    const Range range = offset_range(cell_.side, fine.values);
    const auto at = [&](int k) {
        return range.least + (range.most - range.least) * (k + 0.5) / n_scan;
    };
    int first = 0;
    int length = 0;
    for (int k = 0, run = 0; k < n_scan; ++k) {
        run = is_lattice(coarse, at(k)) ? run + 1 : 0;
        if (run > length) {
            length = run;
            first = k - run + 1;
        }
    }
    CELLGRADE_CHECK(length > 0 && is_lattice(fine, at(first)) &&
                        is_lattice(fine, at(first + length - 1)),
                    "cell '{}' is at no offset one solid, endless in all directions, with open "
                    "pores; {} another function, side or level is needed",
                    cell_.name, pieces_text(fine, at(n_scan / 2)));
    LevelSetReach reach;
    reach.least_offset = last_good(fine, at(first), first == 0 ? range.least : at(first - 1));
    reach.most_offset = last_good(fine, at(first + length - 1), at(first + length));
    if (cell_.side == SolidSide::Wall && first == 0) // a wall of one piece is one at any thickness
        reach.least_offset = 0.0;
    reach.least_density = reach.least_offset == 0.0 && cell_.side == SolidSide::Wall
                              ? 0.0
                              : extrapolated(reach.least_offset).relative_density;
    reach.most_density = extrapolated(reach.most_offset).relative_density;
    reach_ = reach;
    return *reach_;
}

double LevelSetMeasure::offset_for_density(double rb) {
    const LevelSetReach ends = reach();
    CELLGRADE_CHECK(rb > ends.least_density && rb <= ends.most_density,
                    "relative density {} of cell '{}' cannot be reached; above {:.4f} and at most "
                    "{:.4f} is possible: below, the solid falls apart, above, pores are closed in",
                    rb, cell_.name, ends.least_density, ends.most_density);
    double low = ends.least_offset;
    double high = ends.most_offset;
    double t = 0.5 * (low + high);
    for (int n = 0; n < 60; ++n) {
        const LevelSetFraction at = extrapolated(t);
        const double excess = at.relative_density - rb;
        if (std::abs(excess) <= root_tolerance * rb)
            break;
        (excess < 0.0 ? low : high) = t;
        const double next = at.slope > 0.0 ? t - excess / at.slope : HUGE_VAL;
        t = next > low && next < high ? next : 0.5 * (low + high);
    }
    const int n_before = n_boxes_;
    (void)fraction(t); // refuses what is too uncertain, after refining once
    return n_boxes_ == n_before ? t : offset_for_density(rb);
}

LevelSetFraction level_set_fraction(const LevelSetCell& cell, double offset) {
    return LevelSetMeasure(cell).fraction(offset);
}

double offset_for_density(const LevelSetCell& cell, double rb) {
    return LevelSetMeasure(cell).offset_for_density(rb);
}

} // namespace cellgrade
