// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/striker_members.hpp"
#include "solver/crush/crush_setup.hpp"

#include <functional>
#include <optional>

namespace cellgrade {

/// The rigid body that falls; SI.
struct DropStriker {
    StrikerFace face = StrikerFace::Flat;
    double radius_m = 0.0;        ///< of a sphere
    double centre_height_m = 0.0; ///< of a flat striker: its centre of mass above its face
    double mass_kg = 0.0;
    double speed_m_per_s = 0.0; ///< along its path, at the first touch
    double path_angle = 0.0;    ///< of the path off the normal of the pad, towards x [rad]
    /// On rails along z: neither slides nor turns. Else free along x too.
    bool guided = true;
    double inertia_kg_m2 = 0.0;     ///< about y; 0: does not turn
    double offset_x_m = 0.0;        ///< of the path's end from the middle of the pad
    double offset_y_m = 0.0;        ///< likewise
    std::optional<double> friction; ///< Coulomb; unset: that of the support
    bool with_weight = false;       ///< whether gravity goes on to press
};

/// What is written down, and when the run ends.
struct DropNumerics {
    double row_interval_s = 1e-5; ///< between recorded rows
    /// Channel frequency class of the filter on the acceleration [Hz]; 0: no filter.
    double channel_class_Hz = 1000.0;
    /// Longest time; unset: that in which the speed of the touch would pass 20 heights of the pad.
    std::optional<double> time_limit_s;
};

/// A pad on a rigid support and what falls on it. Of `pad` the loading, the quasi-static numerics
/// and the limits for quasi-static runs are not used; `ends` tells how it lies on the support.
struct DropSetup {
    CrushSetup pad;
    DropStriker striker;
    DropNumerics numerics;
};

/// A look at a running drop, a few times a second at most.
struct DropProgress {
    double time_s = 0.0;
    double depth_m = 0.0;
    double speed_m_per_s = 0.0; ///< into the pad
    double share_done = 0.0;    ///< 0..1, a guess from speed and depth
    Index steps = 0;
    double step_s = 0.0;
};

struct DropHooks {
    std::function<void(const DropProgress&)> progress; ///< may be empty
    std::function<bool()> stop;                        ///< true: end the run as Interrupted
    Log log;
};

} // namespace cellgrade
