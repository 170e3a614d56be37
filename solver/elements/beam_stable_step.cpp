// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_stable_step.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/beam_lanes.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

/// Largest squared frequency of one element at rest.
double rest_omega_squared(const BeamGroup& group, int lane, const EndInertia& end) {
    const double h = group.h[lane];
    return std::max({2.0 * group.EA[lane] / (h * end.mass),
                     group.kGA[lane] * (2.0 / (h * end.mass) + 0.5 * h / end.bend),
                     2.0 * group.EI[lane] / (h * end.bend),
                     2.0 * group.GJ[lane] / (h * end.axial)});
}

/// What the bound needs to know of a strained element.
struct Strained {
    double stretch;                ///< 1 + Gamma1, cut at 0.05: the formula has no meaning below
    double shear;                  ///< |Gamma2, Gamma3|
    double turn;                   ///< z = tan^2(phi/4)
    double c;                      ///< (phi/2)/sin(phi/2)
    double N1;                     ///< [N]
    double stiffening = 1.0;       ///< of EA and EI against rest
    double shear_stiffening = 1.0; ///< of kGA
    double twist_stiffening = 1.0; ///< of GJ
};

double omega_squared(const BeamGroup& group, int lane, const EndInertia& end, const Strained& at) {
    const double h = group.h[lane], l = at.stretch, g = at.shear, z = at.turn;
    const double EA = at.stiffening * group.EA[lane], EI = at.stiffening * group.EI[lane];
    const double GJ = at.twist_stiffening * group.GJ[lane];
    // the frames of the nodes are half the turn away from the mid frame: their inertias mix
    const double mixed = 4.0 * z / ((1.0 + z) * (1.0 + z));
    const double gap = 1.0 / end.axial - 1.0 / end.bend;
    const double u_bend = 1.0 / end.bend + mixed * std::max(gap, 0.0);
    const double u_axial = 1.0 / end.axial + mixed * std::max(-gap, 0.0);
    const double s = 0.5 * (1.0 + z) * u_bend;
    const double k = std::max(at.shear_stiffening * group.kGA[lane] - at.N1 / l, 0.0);
    const double pull = 2.0 * std::max(at.N1, 0.0) / (l * h * end.mass);
    const double a11 = EA * (2.0 / (h * end.mass) + s * g * g * h);
    const double a22 = k * (2.0 / (h * end.mass) + s * l * l * h) + pull;
    const double a33 = k * (2.0 / (h * end.mass) + s * (l * l + g * g) * h) + pull;
    const double a12 = std::sqrt(EA * k) * s * l * g * h;
    const double a =
        std::max(a33, 0.5 * (a11 + a22) + std::sqrt(0.25 * (a11 - a22) * (a11 - a22) + a12 * a12));
    const double b = 2.0 * at.c * at.c * std::max(EI * u_bend, GJ * u_axial) / h;
    const double x =
        std::sqrt(k * std::max(EI, GJ) * z * (l * l + g * g)) * at.c * std::max(u_bend, u_axial);
    return 0.5 * (a + b) + std::sqrt(0.25 * (a - b) * (a - b) + x * x);
}

/// Strains of the pose, by the scalar kernel.
Strained strained_at(const BeamGroup& group, int lane, const BeamInput& input) {
    const lane::BeamState<double> s = state_of_lanes<double>(group, lane, input);
    return {.stretch = std::max(1.0 + s.Gamma.x, 0.05),
            .shear = std::hypot(s.Gamma.y, s.Gamma.z),
            .turn = s.turn,
            .c = s.c,
            .N1 = group.EA[lane] * s.Gamma.x};
}

/// d stress / d stretch of the table, and what damage adds to it when the fibre unloads [Pa].
double slope(const FibreBlock& block, double stretch) {
    const FibreTable& table = block.table;
    const double y = std::clamp(stretch * table.per_step + table.shift, table.first, table.last);
    const double cell = std::min(std::floor(y), static_cast<double>(table.cells.size() - 1));
    const auto i = static_cast<std::size_t>(cell);
    const FibreTable::Cubic& c = table.cells[i];
    const double t = y - cell;
    const double slope = table.per_step * (c.c1 + t * (2.0 * c.c2 + t * 3.0 * c.c3));
    if (!block.damage)
        return slope;
    const double P = c.c0 + t * (c.c1 + t * (c.c2 + t * c.c3));
    const double work = t * (c.c0 + t * (c.c1 / 2.0 + t * (c.c2 / 3.0 + t * c.c3 / 4.0)));
    return slope + block.damage->steepest(table.energy[i] + work / table.per_step) * P * P;
}

double stiffening(const FibreBlock& block, const FibreGroup& group, int lane) {
    const double middle = 1.0 + group.Gamma[0][lane];
    const double reach =
        group.radius[lane] * std::hypot(group.kappa[1][lane], group.kappa[2][lane]);
    double largest = block.table.youngs;
    for (const double x : {-1.0, -0.5, 0.0, 0.5, 1.0})
        largest = std::max(largest, slope(block, middle + x * reach));
    return largest / block.table.youngs;
}

/// Of a strain that goes as a stress, when it unloads under damage.
double unloading(const FibreBlock& block, double modulus, double strain) {
    if (!block.damage)
        return 1.0;
    const double W = 0.5 * modulus * strain * strain;
    return 1.0 + 2.0 * W * block.damage->steepest(W);
}

/// Strains of the last call.
Strained strained_at(const FibreBlock& block, Index e) {
    const FibreGroup& group = block.groups[e / group_lanes];
    const int lane = e % group_lanes;
    const double kappa =
        std::hypot(group.kappa[0][lane], group.kappa[1][lane], group.kappa[2][lane]);
    const double quarter = 0.25 * kappa * block.beams.groups[e / group_lanes].h[lane];
    const double t = std::tan(quarter);
    const double shear = std::hypot(group.Gamma[1][lane], group.Gamma[2][lane]);
    return {.stretch = std::max(1.0 + group.Gamma[0][lane], 0.05),
            .shear = shear,
            .turn = t * t,
            .c = t > 0.0 ? quarter * (1.0 + t * t) / t : 1.0,
            .N1 = group.N[0][lane],
            .stiffening = stiffening(block, group, lane),
            .shear_stiffening = unloading(block, block.mean_shear, shear),
            .twist_stiffening =
                unloading(block, block.mean_twist, group.radius[lane] * group.kappa[0][lane])};
}

/// Root of the largest of squared(group, lane, element) over all elements.
template <class Squared>
double largest_root(const BeamBlock& block, Squared&& squared) {
    double largest = 0.0;
#pragma omp parallel for schedule(static) reduction(max : largest) if (block.n_elements > small_job)
    for (Index e = 0; e < block.n_elements; ++e)
        largest = std::max(largest, squared(block.groups[e / group_lanes], e % group_lanes, e));
    return std::sqrt(largest);
}

} // namespace

double beam_stable_omega(const BeamBlock& block, const LumpedMass& mass) {
    CELLGRADE_ASSERT(static_cast<Index>(mass.end.size()) == block.n_elements);
    return largest_root(block, [&](const BeamGroup& group, int lane, Index e) {
        return rest_omega_squared(group, lane, mass.end[e]);
    });
}

double beam_stable_omega(const BeamBlock& block,
                         const LumpedMass& mass,
                         std::span<const NodePose> poses,
                         const Vec3& box) {
    CELLGRADE_ASSERT(static_cast<Index>(mass.end.size()) == block.n_elements);
    const BeamInput input(poses, box, 0.0);
    return largest_root(block, [&](const BeamGroup& group, int lane, Index e) {
        return omega_squared(group, lane, mass.end[e], strained_at(group, lane, input));
    });
}

double beam_stable_omega(const FibreBlock& block, const LumpedMass& mass) {
    CELLGRADE_ASSERT(static_cast<Index>(mass.end.size()) == block.beams.n_elements);
    return largest_root(block.beams, [&](const BeamGroup& group, int lane, Index e) {
        return omega_squared(group, lane, mass.end[e], strained_at(block, e));
    });
}

} // namespace cellgrade
