// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/drop_setup.hpp"
#include "solver/dynamics/body_dynamics.hpp"

#include <memory>

namespace cellgrade {

/// A pad on its support and the striker at the height of the first touch, ready to run.
///
/// The support is rigid and at rest: a platen with friction, or glue. Gravity acts on the striker
/// alone; the pad weighs grams.
class DropModel {
public:
    /// Errors (input): a setup that cannot be run, naming the value and its range; a striker that
    /// would pass the pad by; as the builders of the bodies.
    explicit DropModel(const DropSetup& setup);

    /// One step of all; keeps the sums below.
    void step();

    [[nodiscard]] BodyDynamics& dynamics() { return *dynamics_; }
    [[nodiscard]] const BodyDynamics& dynamics() const { return *dynamics_; }
    [[nodiscard]] const StrikerMotion& striker() const { return *dynamics_->striker(); }

    /// Impulse of the support on the pad, up, up to the last half step [N s].
    [[nodiscard]] double support_impulse() const { return support_impulse_; }
    /// Time of the last half step [s].
    [[nodiscard]] double half_time() const { return half_time_; }
    /// |momentum along z - first momentum - impulses of support and weight| at the last half step
    /// over the first momentum [-]; rounding alone.
    [[nodiscard]] double momentum_defect() const;
    /// Of the striker's lowest point below the upper face [m].
    [[nodiscard]] double depth() const { return height_ - lowest(); }
    [[nodiscard]] double lowest() const { return striker().contact().lowest(striker().place()); }

    [[nodiscard]] double gross_area() const { return area_; } ///< [m^2]
    [[nodiscard]] double height() const { return height_; }   ///< of the pad [m]
    [[nodiscard]] double pad_mass() const { return mass_; }   ///< [kg]
    [[nodiscard]] double added_inertia() const { return added_inertia_; }
    [[nodiscard]] double free_step() const {
        return free_step_;
    } ///< stable step without contact [s]

private:
    void add_support(const DropSetup& setup, const ContactSettings& contact);
    void add_sides(const DropSetup& setup, const ContactSettings& contact);
    void add_striker(const DropSetup& setup, const ContactSettings& contact);

    std::unique_ptr<BodyDynamics> dynamics_;
    bool bonded_ = false;
    Index bottom_ = 0; ///< group, where bonded
    double area_ = 0.0, height_ = 0.0, mass_ = 0.0, added_inertia_ = 0.0, free_step_ = 0.0;
    double last_dt_ = 0.0, half_time_ = 0.0, support_impulse_ = 0.0;
    double first_momentum_ = 0.0, weight_ = 0.0;
};

} // namespace cellgrade
