// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_stable_step.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/tet_lanes.hpp"
#include "solver/elements/tet_point.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {
namespace {

/// What acts on volume at a point: p = mean + variation (v_q - volume).
struct VolumeStress {
    double mean;      ///< U'(volume) [Pa]
    double variation; ///< [Pa]
    double volume;    ///< mean of the element [-]
};

/// Principal nominal stresses of the isochoric part and of the mean stress.
template <class Law>
Vec3 principal_stress(const Law& law, const Vec3& stretch, const VolumeStress& on_volume) {
    const Vec3 squared = stretch.cwiseAbs2();
    const lane::Symmetric<double> C = {squared[0], squared[1], squared[2], 0.0, 0.0, 0.0};
    const ShapeResponse<double> at = law.shape(C, stretch.prod());
    const double p = on_volume.mean + on_volume.variation * (at.volume - on_volume.volume);
    return stretch.cwiseProduct(Vec3(at.isochoric.xx + p * at.spread.xx,
                                     at.isochoric.yy + p * at.spread.yy,
                                     at.isochoric.zz + p * at.spread.zz));
}

/// Largest eigenvalue of the second derivative by F of W_iso and the volume terms, the element's
/// mean held [Pa].
template <class Law>
double largest_stiffness(const Law& law, const Vec3& stretch, const VolumeStress& p) {
    const Vec3 T = principal_stress(law, stretch, p);
    constexpr double step = 1e-6;
    Mat3 by_stretch;
    for (int j = 0; j < 3; ++j) {
        Vec3 up = stretch, down = stretch;
        up[j] *= 1.0 + step;
        down[j] *= 1.0 - step;
        by_stretch.col(j) = (principal_stress(law, up, p) - principal_stress(law, down, p)) /
                            (2.0 * step * stretch[j]);
    }
    const Mat3 normal = 0.5 * (by_stretch + by_stretch.transpose());
    Eigen::SelfAdjointEigenSolver<Mat3> solver;
    double largest = solver.computeDirect(normal, Eigen::EigenvaluesOnly).eigenvalues()[2];
    for (int i = 0; i < 3; ++i) {
        const int j = (i + 1) % 3;
        const double apart = stretch[i] - stretch[j], sum = stretch[i] + stretch[j];
        const double shear = std::abs(apart) > 1e-4 * sum
                                 ? (T[i] - T[j]) / apart
                                 : 0.5 * (normal(i, i) + normal(j, j)) - normal(i, j);
        largest = std::max({largest, shear, (T[i] + T[j]) / sum});
    }
    return largest;
}

/// What damage adds when the point unloads from here: (d eta/dW) P (x) P has one eigenvalue [Pa].
template <class Law>
double unloading_stiffness(const Law& law, const Vec3& stretch, const MullinsDamage& damage) {
    const Vec3 squared = stretch.cwiseAbs2();
    const lane::Symmetric<double> C = {squared[0], squared[1], squared[2], 0.0, 0.0, 0.0};
    const double J = stretch.prod();
    const lane::Symmetric<double> S = law.shape(C, J).isochoric;
    const Vec3 P = stretch.cwiseProduct(Vec3(S.xx, S.yy, S.zz));
    return damage.steepest(law.shape_energy(C, J)) * P.squaredNorm();
}

/// One element as it lies.
struct TetState {
    std::array<lane::Columns<double>, 4> F;
    std::array<Vec3, 4> stretch;
    std::array<double, 4> axes_stiffness = {}; ///< of a law that knows axes, beside its stretches
    double volume = 0.0;                       ///< mean of the law's volume measure
    double mobility = 0.0;                     ///< sum |dv/dx_a|^2 / m_a [1/(m^2 kg)]
};

template <class Law>
TetState
state_of(const Law& law, const TetGroup& group, int lane, double mass, const NodePoint* x) {
    const lane::TetNodeVectors<double> nodes = load_nodes<double>(group, lane, x);
    const lane::Columns<double> shared = lane::shared_slopes(nodes);
    const double V = tet_volume(group, lane);
    TetState state;
    std::array<lane::Columns<double>, 4> H;
    for (int q = 0; q < 4; ++q) {
        const std::array<double, 9> A = load_inverse<double>(group, lane, q);
        const double share = group.weight[q][lane] / V;
        const lane::Columns<double> F = lane::gradient(lane::slopes_at(nodes, shared, q), A);
        const lane::Symmetric<double> C = lane::right_cauchy_green(F);
        const double J = lane::determinant(F);
        const ShapeResponse<double> at =
            law.shape(C, J > 0.0 ? J : std::numeric_limits<double>::quiet_NaN());
        state.volume += share * at.volume;
        H[q] = lane::slope_forces(lane::times(F, at.spread), A, share);
        if constexpr (requires { law.axes_stiffness(Mat3(), J); })
            state.axes_stiffness[q] = law.axes_stiffness(lane::matrix_of(C), J);
        Eigen::SelfAdjointEigenSolver<Mat3> solver;
        state.stretch[q] = solver.computeDirect(lane::matrix_of(C), Eigen::EigenvaluesOnly)
                               .eigenvalues()
                               .cwiseMax(1e-12)
                               .cwiseSqrt();
    }
    const lane::TetNodeVectors<double> g = lane::node_forces(H);
    for (int a = 0; a < 10; ++a)
        state.mobility += lane::dot(g[a], g[a]) / (tet::mass_share(a) * mass);
    return state;
}

template <class Law>
double element_omega(
    const Law& law, const TetBlock& block, const TetMass& mass, const NodePoint* x, Index e) {
    const TetGroup& group = block.groups[e / group_lanes];
    const int lane = e % group_lanes;
    const TetState state = state_of(law, group, lane, mass.element[e], x);
    constexpr double step = 1e-6;
    const double bulk = (law.mean_stress(state.volume * (1.0 + step)) -
                         law.mean_stress(state.volume * (1.0 - step))) /
                        (2.0 * step * state.volume);
    const VolumeStress p = {.mean = law.mean_stress(state.volume),
                            .variation = tet::variation_stiffness * law.initial_moduli().mu0,
                            .volume = state.volume};
    double stiffness = 0.0;
    for (int q = 0; q < 4; ++q) {
        double at_point = largest_stiffness(law, state.stretch[q], p) + state.axes_stiffness[q];
        if (block.damage)
            at_point += unloading_stiffness(law, state.stretch[q], *block.damage);
        stiffness = std::max(stiffness, at_point);
    }
    const double volumetric = tet_volume(group, lane) * bulk * state.mobility;
    double omega = std::sqrt(volumetric + mass.laplacian[e] * stiffness);
    if (!block.viscosity.empty()) {
        // c/(2 omega) of the mode in which the volume changes; with its own omega in place of the
        // element's, the larger b of the two, where the law's bulk modulus is in mean_stress
        const double linear = block.viscosity[e / group_lanes].linear[lane];
        const double b = volume_in_shape<Law>
                             ? 0.5 * tet_volume(group, lane) * linear * state.mobility / omega
                             : 0.5 * omega * linear / bulk;
        omega *= std::sqrt(1.0 + b * b) + b;
    }
    return omega;
}

} // namespace

void tet_element_omegas(const TetBlock& block,
                        const TetMass& mass,
                        std::span<const NodePoint> x,
                        std::span<double> omega) {
    CELLGRADE_ASSERT(static_cast<Index>(omega.size()) == block.n_elements);
    std::visit(
        [&](const auto& law) {
#pragma omp parallel for schedule(static) if (block.n_elements > small_job)
            for (Index e = 0; e < block.n_elements; ++e)
                omega[e] = element_omega(law, block, mass, x.data(), e);
        },
        block.law);
}

double tet_stable_omega(const TetBlock& block, const TetMass& mass, std::span<const NodePoint> x) {
    std::vector<double> omega(block.n_elements);
    tet_element_omegas(block, mass, x, omega);
    double largest = 0.0;
    for (const double each : omega)
        largest = std::isnan(each) ? each : std::max(largest, each);
    return largest;
}

} // namespace cellgrade
