// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_setup.hpp"
#include "solver/crush/platen_path.hpp"
#include "solver/dynamics/body_dynamics.hpp"

#include <memory>

namespace cellgrade {

/// Slow waves of the specimen, estimated before the run.
///
///   c_bar = sqrt(E/rho)      c = c_bar sqrt(relative density)      T = 4 height / c
///
/// c takes the specimen's modulus as E rb^2, that of open-cell foams (references F1). Stretching
/// cells are stiffer, some bending cells up to eight times softer; CrushRun mends it by what it
/// feels.
struct SpecimenWaves {
    double bar_speed = 0.0;   ///< in the solid [m/s]
    double speed = 0.0;       ///< along the specimen [m/s]
    double slow_period = 0.0; ///< T [s]
};

/// A specimen between its platens, ready to run: builds bodies, supports, plates and contact from a
/// setup, and knows where the platen forces are read.
class CrushModel {
public:
    /// Errors (input): faces without nodes, a mesh that does not fit the ends, a bad polymer.
    explicit CrushModel(const CrushSetup& setup);

    [[nodiscard]] BodyDynamics& dynamics() { return *dynamics_; }
    [[nodiscard]] const BodyDynamics& dynamics() const { return *dynamics_; }
    [[nodiscard]] PlatenPath& path() { return *path_; }
    [[nodiscard]] const PlatenPath& path() const { return *path_; }
    [[nodiscard]] const SpecimenWaves& waves() const { return waves_; }

    /// Force on the moving and on the fixed end now, compression positive [N]. With periodic ends
    /// both are the force across the period.
    [[nodiscard]] double force_top() const;
    [[nodiscard]] double force_bottom() const;
    /// Forces along x: that moves the moving end, and that holds the fixed one [N]; 0 with periodic
    /// ends.
    [[nodiscard]] double side_force_top() const;
    [[nodiscard]] double side_force_bottom() const;

    [[nodiscard]] double gross_area() const { return area_; } ///< [m^2]
    [[nodiscard]] double height() const { return height_; }   ///< [m]
    [[nodiscard]] double mass() const { return mass_; }       ///< [kg]
    [[nodiscard]] double added_inertia() const { return added_inertia_; }
    [[nodiscard]] double free_step() const {
        return free_step_;
    } ///< stable step without contact [s]

private:
    void add_ends(const CrushSetup& setup, const ContactSettings& contact);
    void add_sides(const CrushSetup& setup, const ContactSettings& contact);
    void add_box(const CrushSetup& setup);

    std::unique_ptr<PlatenPath> path_; ///< its address is held by the rates of plates and groups
    std::unique_ptr<BodyDynamics> dynamics_;
    SpecimenWaves waves_;
    SpecimenEnds ends_ = SpecimenEnds::Platen;
    Index top_ = 0; ///< plate or group
    Index bottom_ = 0;
    double area_ = 0.0, height_ = 0.0, mass_ = 0.0, added_inertia_ = 0.0, free_step_ = 0.0;
};

} // namespace cellgrade
