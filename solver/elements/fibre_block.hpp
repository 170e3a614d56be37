// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/damage.hpp"
#include "materials/laws/prony.hpp"
#include "materials/laws/uniaxial_table.hpp"
#include "meshes/beams/beam_mesh.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/disc_points.hpp"
#include "solver/elements/relaxation_step.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace cellgrade {

/// Table of the instantaneous nominal stress as cubics over its cells, one aligned record each; the
/// first and last carry the straight lines past the ends.
struct FibreTable {
    /// P = c0 + c1 t + c2 t^2 + c3 t^3 with t = 0 .. 1 over the cell [Pa]
    struct alignas(32) Cubic {
        double c0, c1, c2, c3;
    };
    std::vector<Cubic> cells;
    std::vector<double> energy; ///< at t = 0 of each cell [J/m^3]
    double per_step = 0.0;      ///< 1 / knot distance [-]
    double shift = 0.0;         ///< cell number = floor(stretch * per_step + shift)
    double youngs = 0.0;        ///< slope at stretch 1 [Pa]
    double first = 0.0;         ///< cell coordinates are cut to first .. last, NaN to first
    double last = 0.0;
};

/// State of eight fibre elements beside their BeamGroup.
struct alignas(64) FibreGroup {
    Lanes area;                        ///< stiffness factor times pi r^2 [m^2]
    Lanes radius;                      ///< [m]
    std::array<Lanes, 3> Gamma, kappa; ///< of the last call [-], [1/m]
    std::array<Lanes, 3> N, M;         ///< of the last call, viscosity left out [N], [N m]
    Lanes work;                        ///< done on the section since the start [J]
    Lanes relaxed;                     ///< work - stored at the last call with energies [J]
};

/// Two-node beams whose section is made of fibres with a uniaxial law and relaxation.
struct FibreBlock {
    BeamBlock beams; ///< geometry, shear and torsion; EA and EI are those at rest
    std::vector<FibreGroup> groups;
    FibreTable table;
    std::vector<DiscPoint> points;
    std::vector<PronyTerm> prony;
    std::optional<MullinsDamage> damage; ///< of fibres, shears and twist
    double mean_shear = 0.0;  ///< kappa G: energy of shear gamma is half of it gamma^2 [Pa]
    double mean_twist = 0.0;  ///< G/2: of twist, with R kappa1 for gamma [Pa]
    double clock_ratio = 1.0; ///< material time over the time given to beam_forces [-]
    /// For each group, channel (fibres, then two shears and the twist) and value (softened
    /// instantaneous stress or strain of the last call, then one over-stress a term, then with
    /// damage the largest energy so far [J/m^3]): eight lanes.
    std::vector<Lanes> history;

    [[nodiscard]] Index n_slots() const { return beams.n_slots(); }
    [[nodiscard]] std::size_t n_channels() const { return points.size() + 3; }
    [[nodiscard]] std::size_t n_values() const { return prony.size() + 1 + (damage ? 1 : 0); }
};

/// Block of all elements of a mesh at rest. Moduli and table are instantaneous; the terms relax
/// stress of fibres, shear and torsion alike; damage softens each of them by its own energy, that
/// of a shear or twist taken as its mean over the section. DiscRule::Twelve is the standing choice:
/// for a neo-Hookean fibre its bending moment at an outer fibre strain of 0.2 (0.5) is within 5e-6
/// (2e-3) of the exact one; that of Seven within 4e-4 (2e-2). Throws an input Error as
/// make_beam_block does, for a table without cells or whose slope at stretch 1 is not moduli.youngs
/// within 1e-6, and for bad or more than max_prony_terms terms or bad damage.
[[nodiscard]] FibreBlock make_fibre_block(const BeamMesh& mesh,
                                          const SectionModuli& moduli,
                                          const UniaxialTable& table,
                                          std::span<const PronyTerm> prony,
                                          DiscRule rule,
                                          const std::optional<MullinsDamage>& damage = {});

/// As for resultant sections, with N and M summed over fibres f of area share w_f:
///
///   lambda = 1 + Gamma1 + kappa2 z - kappa3 y      P0 from the table, with damage eta times that
///   P = g_inf P0 + sum q_i     dq_i/dt + q_i/tau_i = g_i dP0/dt
///   q_i = a^2 q_i + g_i a (P0 - P0_old)            a = exp(-dt / (2 tau_i))
///   N1 = A sum w P     M2 = A sum w P z     M3 = -A sum w P y
///   N2, N3, M1: the same relaxation of kGA Gamma2, kGA Gamma3, GJ kappa1
///   stored = integral of g_inf W0 + sum q_i^2/g_i W0/P0^2   (1/(2 E) for W0/P0^2 near rest)
///   dissipated = trapezoidal work of N, M - stored          (no terms, no damage: 0)
///
/// The second term of `stored` is exact for a linear table at any rate and for any table at once
/// after a jump.
/// Source: recurrence of Taylor, Pister & Goudreau (1970), in its midpoint form, as in
/// materials/laws; stored energy of a branch by its secant, ours. `dt` times clock_ratio is the
/// material's time step. Bulk viscosity of `beams` is added if on, with dt itself.
[[nodiscard]] Index beam_forces(FibreBlock& block,
                                std::span<const NodePose> poses,
                                const Vec3& box,
                                double dt,
                                std::span<NodeLoad> slots,
                                WithEnergy energy) noexcept;

/// The scalar oracle.
[[nodiscard]] Index beam_forces_scalar(FibreBlock& block,
                                       std::span<const NodePose> poses,
                                       const Vec3& box,
                                       double dt,
                                       std::span<NodeLoad> slots,
                                       WithEnergy energy) noexcept;

/// Flops of one element and call without energies and viscosity, counted by hand in the source:
/// element 308, resultants and work 36, a fibre 24 + 4 a term, a shear or twist 2 + 4 a term; with
/// damage 100 more each.
[[nodiscard]] double fibre_flops(const FibreBlock& block);
/// Least traffic: as a resultant element, state 14 lanes read and 13 written, history both [B].
[[nodiscard]] double fibre_bytes(const FibreBlock& block);

[[nodiscard]] BeamEnergies beam_energies(const FibreBlock& block);
void element_energies(const FibreBlock& block,
                      std::span<double> stored,
                      std::span<double> dissipated);

/// Strains and resultants of the last beam_forces.
void beam_resultants(const FibreBlock& block, std::span<BeamResultants> out) noexcept;

} // namespace cellgrade
