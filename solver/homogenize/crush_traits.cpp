// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/crush_traits.hpp"

#include "solver/core/error.hpp"
#include "solver/crush/row_forces.hpp"
#include "solver/homogenize/first_rise.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace cellgrade {

namespace {

constexpr double not_reached = std::numeric_limits<double>::quiet_NaN();

// ISO 13314:2011 (from memory): plateau between 20 and 40 % strain, its end at 1.3 times it.
constexpr double plateau_from = 0.20;
constexpr double plateau_to = 0.40;
constexpr double plateau_end_ratio = 1.3;
// ISO 13314 takes 20 and 70 % of the plateau stress for its unloading loop (from memory); here they
// bound the part of the first rise that is taken as straight.
constexpr double straight_from = 0.20;
constexpr double straight_to = 0.70;
constexpr double offset_strain = 0.01; // common practice for cellular materials, no source
constexpr double grid_step = 0.001;    // ISO 13314 asks for samples at least so dense
constexpr double contact_lost = 1e-3;  // share of the largest stress below which a platen is free

struct Point {
    double strain = not_reached;
    double value = not_reached;
};

/// Values at strains grid_step apart, from 0 to the end of the curve.
template <class Function>
std::vector<double> on_grid(const LoadingBranch& branch, const Function& function) {
    const auto n = static_cast<std::size_t>(branch.last_strain() / grid_step + 1e-9) + 1;
    std::vector<double> values(n);
    for (std::size_t i = 0; i < n; ++i)
        values[i] = function(static_cast<double>(i) * grid_step);
    return values;
}

/// Strain of the top of the parabola through grid point i and its neighbours.
double refined_maximum(const std::vector<double>& values, std::size_t i) {
    double shift = 0.0;
    if (i > 0 && i + 1 < values.size()) {
        const double bend = values[i - 1] - 2.0 * values[i] + values[i + 1];
        if (bend < 0.0)
            shift = std::clamp(0.5 * (values[i - 1] - values[i + 1]) / bend, -0.5, 0.5);
    }
    return (static_cast<double>(i) + shift) * grid_step;
}

/// First maximum before the plateau that the stress leaves by `peak_drop`, and that is no ripple of
/// the first rise (at least half of `reference`).
std::optional<std::size_t>
first_maximum(const std::vector<double>& stress, double reference, double peak_drop) {
    std::size_t top = 0;
    for (std::size_t i = 1; i < stress.size(); ++i) {
        if (stress[i] > stress[top])
            top = i;
        if (static_cast<double>(top) * grid_step > plateau_from)
            return std::nullopt;
        if (stress[top] >= 0.5 * reference && stress[i] <= (1.0 - peak_drop) * stress[top])
            return top;
    }
    return std::nullopt;
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

struct Line {
    double slope = not_reached;
    double zero = not_reached; ///< strain at which the line meets zero stress
    double end = not_reached;  ///< strain at which the straight part ends
};

/// Median of the slopes of all pairs of points: a fifth of them may be wild without harm.
/// Source: Sen (1968), J. Am. Stat. Assoc. 63, 1379. At most 200 points are taken, evenly.
Line straight_part(const LoadingBranch& branch, double reference) {
    const std::vector<CurvePoint> all =
        first_rise(branch, straight_from * reference, straight_to * reference);
    std::vector<CurvePoint> points;
    const std::size_t stride = all.size() / 200 + 1;
    for (std::size_t i = 0; i < all.size(); i += stride)
        points.push_back(all[i]);
    std::vector<double> slopes;
    for (std::size_t i = 0; i < points.size(); ++i)
        for (std::size_t j = i + 1; j < points.size(); ++j)
            if (points[j].strain > points[i].strain)
                slopes.push_back((points[j].stress_Pa - points[i].stress_Pa) /
                                 (points[j].strain - points[i].strain));
    if (slopes.empty())
        return {};
    Line line{.slope = median(std::move(slopes)), .end = all.back().strain};
    std::vector<double> zeros;
    for (const CurvePoint& p : points)
        zeros.push_back(p.strain - p.stress_Pa / line.slope);
    line.zero = median(std::move(zeros));
    return line;
}

/// Where the curve falls below the straight line moved by the offset strain.
Point offset_crossing(const std::vector<double>& stress, const Line& line) {
    const auto gap = [&](std::size_t i) {
        return stress[i] -
               line.slope * (static_cast<double>(i) * grid_step - line.zero - offset_strain);
    };
    for (std::size_t i = 1; i < stress.size(); ++i) {
        const double strain = static_cast<double>(i) * grid_step;
        if (strain > line.end && gap(i) <= 0.0) {
            const double back = gap(i) < gap(i - 1) ? gap(i) / (gap(i) - gap(i - 1)) : 0.0;
            const double t = 1.0 - std::clamp(back, 0.0, 1.0);
            return {strain - (1.0 - t) * grid_step, (1.0 - t) * stress[i - 1] + t * stress[i]};
        }
    }
    return {};
}

void add_first_rise(const LoadingBranch& branch, const TraitSmoothing& smoothing, CrushTraits& t) {
    const double width = smoothing.peak_half_width;
    const std::vector<double> stress =
        on_grid(branch, [&](double e) { return branch.smooth_stress(e, width, 1); });
    const double reach = std::min(plateau_from, branch.last_strain());
    const double known =
        std::isnan(t.plateau_stress_Pa) ? branch.largest_stress_to(reach) : t.plateau_stress_Pa;
    const std::optional<std::size_t> top = first_maximum(stress, known, smoothing.peak_drop);
    if (top) {
        t.collapse_strain = refined_maximum(stress, *top);
        t.collapse_stress_Pa = branch.smooth_stress(t.collapse_strain, width, 2);
    }
    const Line line = straight_part(branch, top ? t.collapse_stress_Pa : known);
    t.quasi_elastic_gradient_Pa = line.slope;
    if (!top) {
        const Point crossing = offset_crossing(stress, line);
        t.collapse_strain = crossing.strain;
        t.collapse_stress_Pa = crossing.value;
    }
}

/// Last strain at which the smoothed stress rises through 1.3 times the plateau stress, so that a
/// serration that pokes through it is passed over.
double plateau_end(const LoadingBranch& branch, double plateau, double half_width) {
    if (std::isnan(plateau))
        return not_reached;
    const double level = plateau_end_ratio * plateau;
    const std::vector<double> stress =
        on_grid(branch, [&](double e) { return branch.smooth_stress(e, half_width, 2); });
    for (std::size_t i = stress.size() - 1; i > 0; --i) {
        const double strain = static_cast<double>(i) * grid_step;
        if (strain <= plateau_from)
            break;
        if (stress[i] >= level && stress[i - 1] < level)
            return strain - (stress[i] - level) / (stress[i] - stress[i - 1]) * grid_step;
    }
    return not_reached;
}

/// Maxima that the efficiency rises to and leaves by the share `drop`, in order; `open` is a higher
/// value at the end of the curve that has not been left yet.
struct Maxima {
    std::vector<std::size_t> left;
    double open = 0.0;
};

Maxima efficiency_maxima(const std::vector<double>& eta, double drop) {
    Maxima maxima;
    bool rising = true;
    std::size_t turn = 0; // top while rising, bottom while falling
    for (std::size_t i = 1; i < eta.size(); ++i) {
        if (rising ? eta[i] > eta[turn] : eta[i] < eta[turn])
            turn = i;
        else if (rising && eta[i] <= (1.0 - drop) * eta[turn]) {
            maxima.left.push_back(turn);
            rising = false;
            turn = i;
        } else if (!rising && (1.0 - drop) * eta[i] >= eta[turn]) {
            rising = true;
            turn = i;
        }
    }
    maxima.open = rising ? eta[turn] : 0.0;
    return maxima;
}

/// Energy over the largest smoothed stress so far, on the grid. On a rising curve that is the
/// stress itself; where the stress dips (a serration, a row of cells that snaps) the dip is no
/// gain.
std::vector<double> efficiency_curve(const LoadingBranch& branch, double half_width) {
    const double floor = 1e-6 * branch.largest_stress_to(branch.last_strain());
    double largest = 0.0;
    return on_grid(branch, [&](double e) {
        largest = std::max(largest, branch.smooth_stress(e - 2.0 * half_width, half_width, 1));
        const double stress = std::max(largest, branch.smooth_stress(e, half_width, 2));
        return stress > floor ? branch.energy_to(e) / stress : 0.0;
    });
}

double densification(const std::vector<double>& eta, double drop) {
    const Maxima maxima = efficiency_maxima(eta, drop);
    double greatest = 0.0;
    for (const std::size_t i : maxima.left)
        greatest = std::max(greatest, eta[i]);
    if (greatest <= 0.0 || maxima.open > greatest)
        return not_reached;
    for (auto i = maxima.left.rbegin(); i != maxima.left.rend(); ++i)
        if (eta[*i] >= (1.0 - drop) * greatest)
            return refined_maximum(eta, *i);
    return not_reached;
}

void add_densification(const LoadingBranch& branch,
                       const SpecimenMass& mass,
                       const TraitSmoothing& smoothing,
                       CrushTraits& t) {
    const std::vector<double> eta = efficiency_curve(branch, smoothing.efficiency_half_width);
    const double e = densification(eta, smoothing.efficiency_drop);
    t.densification_strain = e;
    t.densification_stress_Pa = not_reached;
    if (!std::isnan(e))
        t.densification_stress_Pa = branch.smooth_stress(e, smoothing.efficiency_half_width, 2);
    t.energy_J_per_m3 = branch.energy_to(e);
    t.sea_J_per_kg = specific_energy(t.energy_J_per_m3, mass);
    t.efficiency = std::isnan(e) ? not_reached : eta[static_cast<std::size_t>(e / grid_step + 0.5)];
    t.ideality = t.energy_J_per_m3 / (branch.largest_stress_to(e) * e);
}

/// Follows the unloading until the platen is free; an unloading that ends before leaves NaN.
void add_unloading(const CrushCurve& curve, const LoadingBranch& branch, CrushTraits& t) {
    t.dissipated_fraction = t.residual_strain = not_reached;
    const auto& strain = curve.nominal_strain;
    const auto& stress = curve.nominal_stress_Pa;
    const double free = contact_lost * branch.largest_stress_to(branch.last_strain());
    double returned = 0.0;
    for (std::size_t i = std::max<std::size_t>(curve.turn, 1); i < strain.size(); ++i) {
        double end = strain[i], end_stress = stress[i];
        if (end_stress < 0.0) { // the platen is taken to let go where the line meets zero
            const double part =
                stress[i - 1] > 0.0 ? stress[i - 1] / (stress[i - 1] - stress[i]) : 0.0;
            end = strain[i - 1] + part * (strain[i] - strain[i - 1]);
            end_stress = 0.0;
        }
        returned += 0.5 * (stress[i - 1] + end_stress) * (strain[i - 1] - end);
        if (end_stress <= free) {
            const double absorbed = branch.energy_to(branch.last_strain());
            t.residual_strain = end;
            t.dissipated_fraction = (absorbed - returned) / absorbed;
            return;
        }
    }
}

} // namespace

CrushCurve crush_curve(const CrushRecord& record) {
    const CrushHistory& h = record.history;
    CELLGRADE_CHECK(h.displacement_m.size() == h.force_top_N.size(),
                    "crush record has {} displacements but {} forces", h.displacement_m.size(),
                    h.force_top_N.size());
    CELLGRADE_CHECK(record.height_m > 0.0 && record.gross_area_m2 > 0.0,
                    "crush record: height {} m and gross area {} m^2 must be above 0",
                    record.height_m, record.gross_area_m2);
    CrushCurve curve;
    curve.turn = record.turn_row;
    // A leg ends where the platen turns, or where it stops to go sideways.
    const Index leg_end =
        record.sideways ? std::min(record.turn_row, record.shear_row) : record.turn_row;
    const std::vector<double> force = forces_at_rows(h.force_top_N, leg_end);
    for (std::size_t i = 0; i < h.displacement_m.size(); ++i) {
        curve.nominal_strain.push_back(h.displacement_m[i] / record.height_m);
        curve.nominal_stress_Pa.push_back(force[i] / record.gross_area_m2);
    }
    if (!record.sideways)
        return curve;
    const std::vector<double> side = forces_at_rows(h.side_force_top_N, leg_end);
    for (std::size_t i = 0; i < h.slide_m.size(); ++i) {
        curve.shear_strain.push_back(h.slide_m[i] / record.height_m);
        curve.shear_stress_Pa.push_back(side[i] / record.gross_area_m2);
    }
    return curve;
}

CrushTraits
crush_traits(const CrushCurve& curve, const SpecimenMass& mass, const TraitSmoothing& smoothing) {
    const LoadingBranch branch(curve);
    CrushTraits t;
    t.plateau_stress_Pa = mean_stress(curve, plateau_from, plateau_to);
    add_first_rise(branch, smoothing, t);
    t.plateau_end_strain =
        plateau_end(branch, t.plateau_stress_Pa, smoothing.efficiency_half_width);
    t.energy_to_50_J_per_m3 = branch.energy_to(0.5);
    add_densification(branch, mass, smoothing, t);
    add_unloading(curve, branch, t);
    return t;
}

double energy_per_volume(const CrushCurve& curve, double strain) {
    return LoadingBranch(curve).energy_to(strain);
}

double mean_stress(const CrushCurve& curve, double from, double to) {
    const LoadingBranch branch(curve);
    return (branch.energy_to(to) - branch.energy_to(from)) / (to - from);
}

double ideality_at(const CrushCurve& curve, double strain) {
    const LoadingBranch branch(curve);
    return branch.energy_to(strain) / (branch.largest_stress_to(strain) * strain);
}

double specific_energy(double energy_J_per_m3, const SpecimenMass& mass) {
    return energy_J_per_m3 / (mass.relative_density * mass.solid_density_kg_per_m3);
}

} // namespace cellgrade
