// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/registry.hpp"
#include "meshes/tets/tet_mesh.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/node_arrays.hpp"

#include <array>
#include <optional>
#include <span>
#include <vector>

namespace cellgrade {

/// Eight ten-node tetrahedra side by side. Unused lanes of the last group repeat its last element.
struct alignas(64) TetGroup {
    /// dxi_k/dX_j at each integration point, entry 3 k + j, with xi the barycentric coordinates of
    /// corners 1 to 3 [1/m]
    std::array<std::array<Lanes, 9>, 4> inv_J0;
    std::array<Lanes, 4> weight; ///< reference volume of each integration point [m^3]
    std::array<std::array<Index, group_lanes>, 10> nodes;
};
static_assert(sizeof(TetGroup) == 40 * 64 + 320);

/// Bulk viscosity of eight elements.
struct alignas(64) TetViscosity {
    Lanes linear;      ///< p = linear dv/dt [Pa s]
    Lanes quadratic;   ///< p = quadratic |dv/dt| dv/dt where dv/dt < 0 [Pa s^2]
    Lanes volume;      ///< v of the last call [-]
    Lanes mean_stress; ///< viscous p of the last call [Pa]
    Lanes dissipated;  ///< since the start [J]
};

/// Ten-node tetrahedra of one law; element e is lane e % 8 of group e / 8, in the order of the
/// mesh.
struct TetBlock {
    std::vector<TetGroup> groups;
    AnyLaw law; ///< instantaneous
    std::vector<PronyTerm> prony;
    std::optional<MullinsDamage> damage; ///< of the isochoric stress
    double clock_ratio = 1.0;            ///< material time over the time given to tet_forces [-]
    /// For each group: for each integration point and value (instantaneous isochoric stress of the
    /// last call, then one over-stress a term), six components xx yy zz yz xz xy [Pa], none without
    /// terms; then with damage the largest isochoric energy of each point so far [J/m^3]. Eight
    /// lanes each.
    std::vector<Lanes> history;
    std::vector<TetViscosity> viscosity; ///< one a group; empty: off
    std::vector<Lanes> stored;           ///< energy at the last call that asked for it [J]
    Index n_elements = 0;
    Index n_nodes = 0;

    [[nodiscard]] Index n_slots() const { return 10 * n_elements; }
    [[nodiscard]] std::size_t n_values() const { return prony.empty() ? 0 : prony.size() + 1; }
    /// Lanes of a group's history.
    [[nodiscard]] std::size_t n_history() const {
        return 24 * n_values() + (damage.has_value() ? 4 : 0);
    }
    /// First of the lanes of a group's history.
    [[nodiscard]] Lanes* history_of(Index group) {
        return history.data() + static_cast<std::size_t>(group) * n_history();
    }
    /// Whether stress depends on more than the present shape.
    [[nodiscard]] bool remembers() const { return !prony.empty() || damage.has_value(); }
};

/// Block of all elements of a mesh at rest. Allocates; throws an input Error for a bad law, term or
/// damage, a node outside the mesh, or an element whose map is turned inside out at an integration
/// point (naming it).
[[nodiscard]] TetBlock make_tet_block(const TetMesh& mesh,
                                      const AnyLaw& law,
                                      std::span<const PronyTerm> prony,
                                      const std::optional<MullinsDamage>& damage = {});

/// Turns on bulk viscosity of each element's mean volume measure v (1 at rest),
///
///   p = (b1 rho c h + b2^2 rho h'^2 |dv/dt|) dv/dt      c^2 = kappa/rho      h = 2 c/omega
///   h'^3 = volume      omega^2 = kappa V sum_a |dv/dx_a|^2 / m_a
///
/// the quadratic part only while the element is pressed. omega is the frequency of the mode in
/// which the element changes volume, so b1 is its damping ratio at rest. Adds nothing to shear.
/// Source: von Neumann & Richtmyer (1950), J. Appl. Phys. 21:232; b1 = 0.06, b2 = 1.2 are common
/// practice, no source.
/// @param density [kg/m^3]
void set_bulk_viscosity(TetBlock& block, double linear, double quadratic, double density);

/// Node positions of a mesh at rest, for the kernels.
[[nodiscard]] std::vector<NodePoint> rest_positions(const TetMesh& mesh);

/// Puts every periodic copy where its original is, moved by image * box [m].
void place_copies(std::span<const NodeCopy> copies,
                  const Vec3& box,
                  std::span<NodePoint> x) noexcept;

struct TetEnergies {
    double stored = 0.0;     ///< of the last call with energies [J]
    double dissipated = 0.0; ///< by bulk viscosity since the start [J]
};

/// Sums over the block in a fixed order. What Prony terms and damage dissipate is the work of the
/// node forces less these two: the caller's ledger sums that work at the nodes.
[[nodiscard]] TetEnergies tet_energies(const TetBlock& block);

/// Stored energy of each element at the last call with energies [J].
void element_energies(const TetBlock& block, std::span<double> stored);

} // namespace cellgrade
