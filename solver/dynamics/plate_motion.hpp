// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/platen_contact.hpp"
#include "solver/dynamics/node_motion.hpp"

#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace cellgrade {

/// Rigid plates in step with the nodes: contact, prescribed motion, and the work that it takes.
///
/// The work of a plate over a step is taken by the trapezoidal rule, -(G_n + G_{n+1})/2 . v dt with
/// G the force of the nodes on the plate: the order of the scheme itself.
class PlateMotion {
public:
    PlateMotion() = default;
    explicit PlateMotion(PlatenContact contact);

    /// Velocity along its axis of plate `i`, asked for at the half step [m/s]; empty: rest.
    void set_rate(Index i, std::function<double(double time)> rate);
    /// Velocity in its own plane of plate `i`, asked for at the half step [m/s]: it drags the nodes
    /// by friction. The component along its axis is not used.
    void set_drag(Index i, std::function<Vec3(double time)> drag);

    [[nodiscard]] bool empty() const { return !contact_.has_value(); }
    /// Moves the plates from t_n to t_n + dt_next.
    void advance(const StepTimes& times);
    /// Adds the loads on the nodes at the new time; `dt` is the step that led there. Updates work.
    void add_loads(std::span<const NodePose> pose,
                   std::span<const NodeRate> rate,
                   double dt,
                   std::span<NodeLoad> load);

    [[nodiscard]] double work() const { return work_; }         ///< done on the body so far [J]
    [[nodiscard]] double friction() const { return friction_; } ///< lost to slip so far [J]
    [[nodiscard]] double stored() const;                        ///< in contact and stick [J]
    [[nodiscard]] double deepest_share() const;
    [[nodiscard]] double omega_squared() const {
        return contact_ ? contact_->stable_omega_squared_bound() : 0.0;
    }
    /// Force of the body on plate `i` in the last call [N].
    [[nodiscard]] Vec3 force(Index i) const {
        return contact_ ? contact_->report()[i].force : Vec3::Zero().eval();
    }
    /// Speed of the fastest plate in the last step [m/s].
    [[nodiscard]] double fastest() const;
    [[nodiscard]] double position(Index i) const { return motion_[i].position; }

    struct State {
        std::vector<double> position;
        std::vector<double> speed; ///< x, y, z of each plate
        std::vector<Vec3> force;
        std::vector<double> springs;
        double work = 0.0;
        double friction = 0.0;
    };
    [[nodiscard]] State save() const;
    void restore(const State& state);

private:
    std::optional<PlatenContact> contact_;
    std::vector<PlaneMotion> motion_;
    std::vector<std::function<double(double)>> rate_;
    std::vector<std::function<Vec3(double)>> drag_;
    std::vector<Vec3> force_; ///< on the plates at the last call [N]
    double work_ = 0.0;
    double friction_ = 0.0;
};

} // namespace cellgrade
