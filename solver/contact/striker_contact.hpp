// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/striker_members.hpp"
#include "solver/elements/node_arrays.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Surface of a rigid striker in its own axes, which turn about y. A sphere has its centre in the
/// centre of mass; a flat face lies `centre_height` below it.
struct StrikerSurface {
    StrikerFace face = StrikerFace::Flat;
    double radius = 0.0;        ///< of a sphere [m]
    double centre_height = 0.0; ///< of a flat striker [m]

    /// Throws an input Error that names the value and its range.
    void check() const;
};

/// A striker now.
struct StrikerPlace {
    Vec3 centre = Vec3::Zero();   ///< of mass [m]
    double turn = 0.0;            ///< about y [rad]
    Vec3 velocity = Vec3::Zero(); ///< of the step that led here [m/s]
    double spin = 0.0;            ///< about y, likewise [rad/s]
};

/// What the striker felt in the last call.
struct StrikerReport {
    Vec3 force = Vec3::Zero();          ///< on the striker [N]
    double torque = 0.0;                ///< on it, about y through its centre of mass [N m]
    double normal_energy = 0.0;         ///< stored [J]
    double tangential_energy = 0.0;     ///< stored in the stick springs [J]
    double friction_dissipation = 0.0;  ///< lost to slip in this call [J], >= 0
    double deepest_share = 0.0;         ///< deepest penetration / member size [-]
    double tangent = 0.0;               ///< sum of contact stiffnesses k' [N/m]
    double tangent_lever_squared = 0.0; ///< sum of k' |contact - centre of mass|^2 [N m]
    Index n_touching = 0;
};

/// Contact of a rigid striker with the struts of a net or the surface of a solid, with friction and
/// history.
///
///   off  = distance of the member's line from the striker's surface, n its direction away from
///          the striker; at the place s of the line where reach(s) - off(s) is largest
///   d    = reach - off                                       U = penalty(d) (penalty.hpp)
///   f    = F(d) n on the member, shared by its ends as (1 - s, s); -f on the striker
///   T    = -k_t x, |T| <= friction F (friction_spring.hpp), at the striker's surface, so with
///          moments on the nodes; force and moment balance
///
/// For a straight line and a reach that changes by g a length the largest depth under a sphere is
/// at h g / sqrt(1 - g^2) beyond the foot of its centre, h the distance of the centre from the
/// line. Being a largest value it does not move at first order, so f is minus the gradient of U
/// exactly and U has no kink. At a node between two members both act.
///
/// The members and their stiffness: striker_members.hpp. Same bits for any number of threads.
/// Allocates at construction, and while more members touch than ever before. A drop is run in one
/// go, so the state is not saved.
class StrikerContact {
public:
    /// @param mesh  reference shape  @param node_mass  one a node [kg]
    /// Throws an input Error for bad settings, masses or surface, and as striker_members().
    StrikerContact(const BeamMesh& mesh,
                   std::span<const double> node_mass,
                   const StrikerSurface& surface,
                   const ContactSettings& settings);
    StrikerContact(const TetMesh& mesh,
                   std::span<const double> node_mass,
                   const StrikerSurface& surface,
                   const ContactSettings& settings);

    /// Lowest height of the centre of mass, straight above (x, y), at which an upright striker does
    /// not touch the resting specimen [m]. Throws an input Error when it would pass by.
    [[nodiscard]] double first_touch(std::span<const Vec3> rest, double x, double y) const;

    /// Adds loads at t_n to `load` and advances the stick springs by `dt`.
    /// @param rate, dt  of the step that led to t_n
    void add_loads(std::span<const NodePose> pose,
                   std::span<const NodeRate> rate,
                   const StrikerPlace& striker,
                   double dt,
                   std::span<NodeLoad> load);

    [[nodiscard]] const StrikerSurface& surface() const noexcept { return surface_; }
    [[nodiscard]] const StrikerReport& report() const noexcept { return report_; }
    [[nodiscard]] std::span<const StrikerMember> members() const noexcept { return members_; }

    /// Largest over the nodes of sum(w k')/m of the last call, w = (1 - s) or s [1/s^2].
    [[nodiscard]] double node_omega_squared() const noexcept { return node_omega_squared_; }

    /// Height of the lowest point of the striker [m]; of a tilted flat face that of its middle.
    [[nodiscard]] double lowest(const StrikerPlace& striker) const;

private:
    /// Where a member is nearest.
    struct Nearest {
        double s = 0.0, depth = 0.0, off = 0.0;
        Vec3 point = Vec3::Zero(), normal = Vec3::Zero();
    };
    /// A member that touches, or whose spring was held.
    struct Touch {
        Index member = no_index;
        double s = 0.0, depth = 0.0, tangent = 0.0;
        Vec3 force = Vec3::Zero();  ///< on the member [N]
        Vec3 moment = Vec3::Zero(); ///< on the member's line [N m]
        Vec3 contact = Vec3::Zero();
        double normal_energy = 0.0, tangential_energy = 0.0, dissipation = 0.0;
    };

    StrikerContact(std::vector<StrikerMember> members,
                   std::span<const double> node_mass,
                   const Vec3& box,
                   const StrikerSurface& surface,
                   const ContactSettings& settings);

    [[nodiscard]] Nearest nearest(const StrikerMember& member,
                                  const Vec3& a,
                                  const Vec3& b,
                                  const StrikerPlace& striker) const;
    [[nodiscard]] Touch touch(Index m,
                              const Nearest& at,
                              std::span<const NodeRate> rate,
                              const StrikerPlace& striker,
                              double dt);
    void add_touch(const Touch& t, const StrikerPlace& striker, std::span<NodeLoad> load);
    void close_nodes();

    static constexpr Index chunk = 512; ///< members; fixed, so sums keep their bits

    std::vector<StrikerMember> members_;
    std::vector<double> node_mass_;
    Vec3 box_;
    StrikerSurface surface_;
    ContactSettings settings_;
    std::vector<Vec3> spring_;                ///< one a member
    std::vector<std::vector<Touch>> touches_; ///< one list a chunk
    std::vector<double> node_tangent_;        ///< all 0 between calls [N/m]
    StrikerReport report_;
    double node_omega_squared_ = 0.0;
};

} // namespace cellgrade
