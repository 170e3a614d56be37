// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/striker_contact.hpp"
#include "solver/dynamics/node_motion.hpp"

#include <span>

namespace cellgrade {

/// A rigid body in free flight or on rails. It moves along z always; y and turns about x and z are
/// held.
struct StrikerBody {
    double mass = 0.0;    ///< [kg]
    double inertia = 0.0; ///< about y through the centre of mass [kg m^2]; 0: does not turn
    bool slides = false;  ///< moves along x too
    double gravity = 0.0; ///< downwards [m/s^2]

    /// Throws an input Error that names the value and its range.
    void check() const;
};

/// A rigid striker in step with the nodes: contact, free motion, and its energies.
///
///   m (v+ - v-)/dt = F - m g e_z      x' = x + dt_next v+
///   I (w+ - w-)/dt = M_y              turn' = turn + dt_next w+
///
/// Kinetic energy and the work of gravity in the product form of MotionSums. The work of contact
/// needs no entry: it goes from one freedom of the system to the others.
///
/// Step bound. For a contact k' (p - q)^2 <= k' ((1 + a) p^2 + (1 + 1/a) q^2), p = (1 - s) u_a + s
/// u_b with p^2 <= (1 - s) u_a^2 + s u_b^2, q the striker's point, q^2 <= (1/m + lever^2/I) times
/// its mass-weighted freedoms. So the nodes alone stay below (1 + a) A and the striker below
/// (1 + 1/a) B, and with a = B/A both below
///
///   A + B      A = max over nodes of sum((1 - s) or s) k'/m      B = sum k' (1/m_s + lever^2/I)
class StrikerMotion {
public:
    /// @param start  place and velocity at t = 0. Throws an input Error for a bad body.
    StrikerMotion(StrikerContact contact, const StrikerBody& body, const StrikerPlace& start);

    /// Moves the striker from t_n to t_n + dt_next under the contact loads of t_n.
    void advance(const StepTimes& times, MotionSums& sums);
    /// Adds the loads on the nodes at the new time; `dt` is the step that led there.
    void add_loads(std::span<const NodePose> pose,
                   std::span<const NodeRate> rate,
                   double dt,
                   std::span<NodeLoad> load);

    [[nodiscard]] const StrikerPlace& place() const { return place_; }
    [[nodiscard]] const StrikerBody& body() const { return body_; }
    [[nodiscard]] const StrikerContact& contact() const { return contact_; }
    [[nodiscard]] const StrikerReport& report() const { return contact_.report(); }
    [[nodiscard]] double kinetic_half() const;                  ///< at the last half step [J]
    [[nodiscard]] double friction() const { return friction_; } ///< lost to slip so far [J]
    [[nodiscard]] double stored() const;                        ///< in contact and stick [J]
    [[nodiscard]] double omega_squared() const;                 ///< A + B [1/s^2]
    [[nodiscard]] double speed() const { return place_.velocity.norm(); }
    /// Impulses of the contact on the striker up to the last half step: what changed its momentum,
    /// to rounding [N s].
    [[nodiscard]] const Vec3& impulse() const { return impulse_; }
    [[nodiscard]] double turning_impulse() const { return turning_impulse_; } ///< about y [N m s]

private:
    StrikerContact contact_;
    StrikerBody body_;
    StrikerPlace place_;
    Vec3 impulse_ = Vec3::Zero();
    double turning_impulse_ = 0.0;
    double friction_ = 0.0;
};

} // namespace cellgrade
