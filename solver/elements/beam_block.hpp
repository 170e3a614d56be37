// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/core/types.hpp"

#include <array>
#include <span>
#include <vector>

namespace cellgrade {

/// Elements a group holds; a whole number of packs on every machine we build for.
inline constexpr int group_lanes = 8;
/// One quantity of the elements of a group, aligned for any pack.
struct alignas(64) Lanes : std::array<double, group_lanes> {};

/// Elastic moduli of a shear-deformable round section.
struct SectionModuli {
    double youngs;       ///< E [Pa]
    double shear;        ///< G [Pa]
    double shear_factor; ///< kappa in kappa G A [-]

    void check() const; ///< throws an input Error naming the modulus and its range
};

/// Shear factor of a solid circle, kappa = 6 (1 + nu) / (7 + 6 nu).
///
/// Source: Cowper (1966), J. Appl. Mech. 33:335. Valid for 0 <= nu <= 0.5.
[[nodiscard]] double cowper_shear_factor(double poisson);

/// E, G = E / (2 (1 + nu)) and Cowper's shear factor.
[[nodiscard]] SectionModuli section_moduli(double youngs, double poisson);

/// Eight elements side by side. Unused lanes of the last group have no stiffness, unit length and
/// both ends at node 0, so that they compute zeros.
struct alignas(64) BeamGroup {
    Lanes h;                    ///< reference length [m]
    Lanes inv_h;                ///< [1/m]
    std::array<Lanes, 4> q0;    ///< reference frame, w x y z: its e1 runs from a to b
    std::array<Lanes, 3> image; ///< end b lies at x_b + image * box [-]
    Lanes EA, kGA;              ///< [N], times the element's stiffness factor
    Lanes GJ, EI;               ///< [N m^2], times the element's stiffness factor
    Lanes viscosity;            ///< axial bulk viscosity: N = viscosity dGamma1/dt [N s]
    Lanes Gamma1;               ///< axial strain of the last call [-]; kept only with viscosity
    Lanes viscous_N;            ///< viscous axial force of the last call [N]
    Lanes stored;               ///< energy at the last call that asked for it [J]
    Lanes dissipated;           ///< energy dissipated since the start [J]
    std::array<Index, group_lanes> node_a, node_b;
};
static_assert(sizeof(BeamGroup) == 18 * 64 + 64);

/// Two-node beams in groups; element e is lane e % 8 of group e / 8.
struct BeamBlock {
    std::vector<BeamGroup> groups;
    Index n_elements = 0;
    Index n_nodes = 0;
    bool has_viscosity = false;

    [[nodiscard]] Index n_slots() const { return 2 * n_elements; }
};

/// Block of all elements of a mesh at rest, in the order of the mesh; section A = pi r^2,
/// I = pi r^4 / 4, J = 2 I. Allocates; throws an input Error for a bad modulus, radius, factor,
/// node or an element without length (naming the element).
[[nodiscard]] BeamBlock make_beam_block(const BeamMesh& mesh, const SectionModuli& moduli);

/// Turns on linear bulk viscosity of the axial strain, N = b rho A c h dGamma1/dt with
/// c = sqrt(E/rho). Adds damping to the axial waves of one element only; b = 0.06 is common
/// practice, no source.
void set_bulk_viscosity(BeamBlock& block,
                        double coefficient,
                        double density,
                        const SectionModuli& moduli);

struct BeamEnergies {
    double stored = 0.0;     ///< [J]
    double dissipated = 0.0; ///< [J]
};

/// Sums over the block in a fixed order; `stored` is that of the last call with energies.
[[nodiscard]] BeamEnergies beam_energies(const BeamBlock& block);

/// The same for each element [J]; spans as long as the block.
void element_energies(const BeamBlock& block,
                      std::span<double> stored,
                      std::span<double> dissipated);

} // namespace cellgrade
