// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/contact_settings.hpp"
#include "solver/contact/platen_nodes.hpp"
#include "solver/elements/node_arrays.hpp"

#include <array>
#include <span>
#include <utility>
#include <vector>

namespace cellgrade {

/// A rigid plane across one axis; the specimen is on the side its normal points to.
struct RigidPlane {
    int axis = 2;          ///< 0, 1, 2 for x, y, z
    int normal = 1;        ///< +1 or -1: outward normal along the axis
    double position = 0.0; ///< along the axis in the reference shape [m]
};

/// A plane now.
struct PlaneMotion {
    double position = 0.0;        ///< along its axis [m]
    Vec3 velocity = Vec3::Zero(); ///< of the step that led here [m/s]; tangential part drags nodes
};

/// What one plane felt in the last call.
struct PlaneReport {
    Vec3 force = Vec3::Zero();         ///< on the plane [N]
    double normal_energy = 0.0;        ///< stored [J]
    double tangential_energy = 0.0;    ///< stored in the stick springs [J]
    double friction_dissipation = 0.0; ///< lost to slip in this call [J], >= 0
    double deepest_share = 0.0;        ///< deepest penetration / node size [-]
    Index deepest_node = no_index;
    Index n_touching = 0;
};

/// Plane z = 0 with the specimen above.
template <class Mesh>
[[nodiscard]] RigidPlane lower_platen(const Mesh&) {
    return {.axis = 2, .normal = 1, .position = 0.0};
}
/// Plane z = box.z with the specimen below.
template <class Mesh>
[[nodiscard]] RigidPlane upper_platen(const Mesh& mesh) {
    return {.axis = 2, .normal = -1, .position = mesh.box.z()};
}
[[nodiscard]] std::vector<RigidPlane>
side_walls(const Vec3& box, const std::array<bool, 3>& periodic, std::array<bool, 2> confined);
/// Walls at 0 and box along each non-periodic axis of `confined` (x, y).
template <class Mesh>
[[nodiscard]] std::vector<RigidPlane> side_walls(const Mesh& mesh, std::array<bool, 2> confined) {
    return side_walls(mesh.box, mesh.periodic, confined);
}

/// Contact of nodes with rigid planes, with friction and history.
///
///   d = r_c - n (x - plane)      r_c = min(reach, reference distance)
///   there U = penalty(d) (penalty.hpp), k = min(node stiffness, step bound) T = -k_t x,
///   |T| <= friction F, at the plane, so with a moment on the node
///
/// Nothing touches at the start, nodes on a face rest on themselves. What nodes are, for nets and
/// for solids: platen_nodes.hpp.
/// The driver accounts for the work of the planes from `force` and their motion.
///
/// Same bits for any number of threads. Allocates at construction and restore only.
class PlatenContact {
public:
    /// @param x  reference positions [m]  @param nodes  one a position
    /// @param node_mass  one a node [kg], > 0 for nodes with stiffness
    /// Throws an input Error for bad settings, masses, planes, or nodes behind a plane.
    PlatenContact(std::span<const Vec3> x,
                  std::span<const PlatenNode> nodes,
                  std::span<const double> node_mass,
                  std::vector<RigidPlane> planes,
                  const ContactSettings& settings);

    /// For the nodes of a net or a solid.
    template <class Mesh>
    PlatenContact(const Mesh& mesh,
                  std::span<const double> node_mass,
                  std::vector<RigidPlane> planes,
                  const ContactSettings& settings)
        : PlatenContact(
              mesh.nodes, platen_nodes(mesh, settings), node_mass, std::move(planes), settings) {}

    /// Adds loads at t_n to `load` and advances the stick springs by `dt`.
    /// @param motion  one a plane  @param rate, dt  of the step that led to t_n
    /// Throws a run Error for a node that is not finite.
    void add_loads(std::span<const NodePose> pose,
                   std::span<const NodeRate> rate,
                   std::span<const PlaneMotion> motion,
                   double dt,
                   std::span<NodeLoad> load);

    [[nodiscard]] std::span<const RigidPlane> planes() const noexcept { return planes_; }
    /// One a plane, of the last call.
    [[nodiscard]] std::span<const PlaneReport> report() const noexcept { return report_; }

    /// Largest over the nodes of sum(k_tangent)/m [1/s^2]; see StrutContact for its use. The two
    /// bounds add up.
    [[nodiscard]] double stable_omega_squared_bound() const noexcept { return omega_squared_; }

    /// Share of nodes with stiffness whose stiffness is held down by the step bound [-].
    [[nodiscard]] double budget_bound_share() const noexcept { return budget_bound_share_; }

    /// Stick springs, 3 doubles a node and plane [m]: all the history there is.
    [[nodiscard]] std::vector<double> save() const;
    /// Throws an input Error if the length does not fit.
    void restore(std::span<const double> springs);

private:
    struct Node {
        double size = 0.0, cap = 0.0, mass = 0.0, stiffness = 0.0;
    };
    struct Part { // of one fixed chunk of nodes
        double omega_squared = 0.0;
        Index not_finite = no_index;
    };
    struct Move {
        const NodePose& pose;
        const NodeRate& rate;
        double dt = 0.0;
    };

    void set_up_nodes(std::span<const Vec3> x,
                      std::span<const PlatenNode> nodes,
                      std::span<const double> node_mass);
    double load_node(Index i,
                     std::size_t p,
                     const Move& move,
                     const PlaneMotion& motion,
                     NodeLoad& load,
                     PlaneReport& part);
    void join_parts();

    static constexpr Index node_chunk = 1024; ///< fixed, so sums keep their bits

    ContactSettings settings_;
    std::vector<RigidPlane> planes_;
    std::vector<Node> nodes_;
    std::vector<Index> stiff_;  ///< nodes that may touch, sorted
    std::vector<double> reach_; ///< node-major, one a plane [m]
    std::vector<double> near_;  ///< reach, or infinity while a spring holds the node, so alike [m]
    std::vector<Vec3> springs_; ///< node-major, one a plane [m]
    std::vector<Part> parts_;
    std::vector<PlaneReport> part_reports_; ///< part-major, one a plane
    std::vector<PlaneReport> report_;
    double omega_squared_ = 0.0, budget_bound_share_ = 0.0;
};

} // namespace cellgrade
