// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/contact_settings.hpp"
#include "solver/contact/platen_nodes.hpp"
#include "solver/core/pack.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/node_arrays.hpp"

#include <array>
#include <cstdint>
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
/// Nodes run on vector lanes. Same bits for any number of threads. Allocates at construction and
/// restore only.
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

    /// Stick springs, 3 doubles a plane and node that may touch [m]: all the history there is.
    [[nodiscard]] std::vector<double> save() const;
    /// Throws an input Error if the length does not fit.
    void restore(std::span<const double> springs);

private:
    /// Eight nodes that may touch, side by side; unused lanes of the last group repeat its last
    /// node and are near no plane.
    struct alignas(64) NodeGroup {
        Lanes size, cap, mass, stiffness;
        std::array<std::int32_t, group_lanes> number; ///< twice the node: its pose is two quads
    };
    /// The same eight and one plane.
    struct alignas(64) GroupAtPlane {
        Lanes reach;                 ///< [m]
        Lanes near;                  ///< reach, or infinity while a spring holds the node [m]
        std::array<Lanes, 3> spring; ///< [m]
    };
    struct Part { // of one fixed chunk of groups
        double omega_squared = 0.0;
        Index not_finite = no_index;
    };
    struct Step {
        const NodePose* pose;
        const NodeRate* rate;
        double dt;
        NodeLoad* load;
    };

    /// Lanes of a group at a plane.
    struct Place {
        Index group;
        int first_lane;
        std::size_t plane;
        unsigned lanes; ///< near it: bits from first_lane on
    };

    void set_up_nodes(std::span<const Vec3> x,
                      std::span<const PlatenNode> nodes,
                      std::span<const double> node_mass);
    void add_lane(const Vec3& x, const PlatenNode& node, double mass, double stiffness, Index i);
    void load_group(Index g,
                    const Step& step,
                    std::span<const PlaneMotion> motion,
                    Part& part,
                    std::span<PlaneReport> reports);
    /// Stiffness of the lanes against the plane [N/m].
    Pack load_at_plane(const Place& place,
                       const Pack& off,
                       const Step& step,
                       const PlaneMotion& motion,
                       PlaneReport& report);
    void join_parts();

    static constexpr Index chunk_groups = 128; ///< fixed, so sums keep their bits

    ContactSettings settings_;
    std::vector<RigidPlane> planes_;
    std::size_t n_nodes_ = 0; ///< of the mesh
    Index n_stiff_ = 0;       ///< that may touch, in order
    std::vector<NodeGroup> groups_;
    std::vector<GroupAtPlane> at_plane_; ///< group-major, one a plane
    std::vector<Part> parts_;
    std::vector<PlaneReport> part_reports_; ///< part-major, one a plane
    std::vector<PlaneReport> report_;
    double omega_squared_ = 0.0, budget_bound_share_ = 0.0;
};

} // namespace cellgrade
